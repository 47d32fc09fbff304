//! Cuts a file into lines and cells under known columns.
//! Not here: what the cells mean (`samples`).

use std::collections::BTreeMap;

use super::columns;

/// One line of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// As an editor counts: the header is line 1.
    pub number: u64,
    cells: BTreeMap<&'static str, String>,
}

impl Line {
    /// A cell without blanks around it; empty where the file has none.
    pub fn cell(&self, column: &str) -> &str {
        self.cells.get(column).map_or("", |text| text.trim())
    }
}

/// Why a file can't be read at all.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SheetError {
    #[error("the file is not UTF-8 text; save it again as \"CSV UTF-8\"")]
    NotText,
    #[error(
        "the file is empty; its first line must name the columns: {}",
        columns::list()
    )]
    Empty,
    #[error(
        "line 1: there is no column \"{name}\" here; the columns are {}",
        columns::list()
    )]
    Unknown { name: String },
    #[error("line 1: the column {0} stands there twice")]
    Twice(&'static str),
    #[error(
        "line 1: the column {name} is missing; the columns are {}",
        columns::list()
    )]
    Missing { name: &'static str },
    #[error("line 1: none of the columns brix, ph and ta_g_per_l is there")]
    NoReadings,
    #[error(
        "line {0}: more cells than columns; a number with a decimal comma needs quotes, or ; as the delimiter"
    )]
    TooManyCells(u64),
    #[error("line {0} can't be read as CSV")]
    Broken(u64),
}

/// Reads a whole file.
pub fn read(bytes: &[u8]) -> Result<Vec<Line>, SheetError> {
    let text = std::str::from_utf8(bytes).map_err(|_| SheetError::NotText)?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter(text))
        .flexible(true)
        .from_reader(text.as_bytes());
    let header = reader.headers().map_err(|_| SheetError::Broken(1))?;
    let columns = columns_of(header)?;
    let mut lines = Vec::new();
    let mut counted = Counted::from_the_top_of(text);
    for record in reader.into_records() {
        let record =
            record.map_err(|error| SheetError::Broken(counted.line_at(error.position())))?;
        let number = counted.line_at(record.position());
        if record
            .iter()
            .skip(columns.len())
            .any(|cell| !cell.trim().is_empty())
        {
            return Err(SheetError::TooManyCells(number));
        }
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        let cells = columns
            .iter()
            .copied()
            .zip(record.iter().map(str::to_owned));
        lines.push(Line {
            number,
            cells: cells.collect(),
        });
    }
    Ok(lines)
}

/// Lines as an editor counts them. The reader's own count begins a record in the line end before it.
struct Counted<'a> {
    rest: &'a str,
    byte: usize,
    line: u64,
}

impl<'a> Counted<'a> {
    fn from_the_top_of(text: &'a str) -> Self {
        Self {
            rest: text,
            byte: 0,
            line: 1,
        }
    }

    /// The line of what begins at a position, or behind line ends there. Positions come in order.
    fn line_at(&mut self, position: Option<&csv::Position>) -> u64 {
        let byte = position.map_or(0, csv::Position::byte) as usize;
        let begins = byte.saturating_sub(self.byte);
        let end = self.rest.get(begins..).map_or(self.rest.len(), |from| {
            self.rest.len() - from.trim_start_matches(['\r', '\n']).len()
        });
        let (passed, rest) = self.rest.split_at(end);
        let ends = passed.matches('\n').count() + passed.matches('\r').count()
            - passed.matches("\r\n").count();
        self.line += ends as u64;
        self.byte += end;
        self.rest = rest;
        self.line
    }
}

/// Whichever of comma, semicolon and tab stands most often in the header.
fn delimiter(text: &str) -> u8 {
    let header = text.lines().next().unwrap_or("");
    let count = |delimiter: u8| header.bytes().filter(|byte| *byte == delimiter).count();
    // The last of equals wins, so that the comma comes last.
    [b'\t', b';', b',']
        .into_iter()
        .max_by_key(|delimiter| count(*delimiter))
        .unwrap_or(b',')
}

fn columns_of(header: &csv::StringRecord) -> Result<Vec<&'static str>, SheetError> {
    if header.iter().all(|name| name.trim().is_empty()) {
        return Err(SheetError::Empty);
    }
    let mut columns: Vec<&'static str> = Vec::new();
    for name in header {
        let known = columns::named(name).ok_or_else(|| SheetError::Unknown {
            name: name.trim().chars().take(40).collect(),
        })?;
        if columns.contains(&known) {
            return Err(SheetError::Twice(known));
        }
        columns.push(known);
    }
    if let Some(missing) = columns::NEEDED
        .into_iter()
        .find(|name| !columns.contains(name))
    {
        return Err(SheetError::Missing { name: missing });
    }
    if !columns::READINGS.iter().any(|name| columns.contains(name)) {
        return Err(SheetError::NoReadings);
    }
    Ok(columns)
}
