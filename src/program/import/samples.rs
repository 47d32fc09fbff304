//! Makes samples of lines: those of one block and day are the bags of one sample, typed into the
//! fields of the sample form.
//! Not here: whether the values can be (`web::ripeness`), and writing (`mod`).

use uuid::Uuid;

use super::Refusal;
use super::sheet::Line;
use crate::store::ledger::{Fields, Kind, fingerprint};
use crate::web::form::Problem;

/// The most bags one sample holds, as in its form.
const MOST_BAGS: usize = 9;

/// Columns of which all lines of a sample say the same or nothing.
const SAID_ONCE: [(&str, &str); 3] = [
    ("time", "time"),
    ("instrument", "instrument"),
    ("rot_percent", "rot"),
];

/// Column and the form's field of each bag, before and after the bag's number.
const OF_A_BAG: [(&str, &str, &str); 6] = [
    ("bag", "bag", ""),
    ("berries", "berries", ""),
    ("brix", "brix", "_1"),
    ("ph", "ph", "_1"),
    ("ta_g_per_l", "ta", ""),
    ("juice_temperature_c", "temp", ""),
];

/// The lines of one block and day.
#[derive(Clone, Debug)]
pub struct Group<'a> {
    pub block: String,
    pub lines: Vec<&'a Line>,
}

/// Puts lines of the same block and day together, in the order in which they first come.
/// `block_for` says which block a name in the file stands for.
pub fn groups<'a>(lines: &'a [Line], block_for: &[(String, String)]) -> Vec<Group<'a>> {
    let mut groups: Vec<Group> = Vec::new();
    for line in lines {
        let named = line.cell("block");
        let block = block_for
            .iter()
            .find(|(from, _)| from.eq_ignore_ascii_case(named))
            .map_or(named, |(_, block)| block);
        let same = |group: &&mut Group| {
            group.block.eq_ignore_ascii_case(block)
                && group
                    .lines
                    .iter()
                    .all(|one| one.cell("date") == line.cell("date"))
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.lines.push(line),
            None => groups.push(Group {
                block: block.to_owned(),
                lines: vec![line],
            }),
        }
    }
    groups
}

impl Group<'_> {
    /// The sample as it would be typed, or what the lines contradict each other in.
    pub fn fields(&self) -> Result<Fields, Vec<Refusal>> {
        let mut refused = Vec::new();
        let mut fields = Fields::default();
        fields.set("block", &self.block);
        fields.set("date", self.first("date"));
        for (column, field) in SAID_ONCE {
            let said = self.said_once(column, &mut refused);
            set(&mut fields, field, said.to_owned());
        }
        self.said_once("person", &mut refused);
        set(&mut fields, "taste", self.joined("taste", "; "));
        set(&mut fields, "note", self.joined("note", "\n"));
        for (line, number) in self.lines.iter().zip(1..) {
            if number > MOST_BAGS {
                let text = format!("A day of one block holds {MOST_BAGS} bags here.");
                refused.push(Refusal::new(line.number, "bag", text));
                continue;
            }
            for (column, before, after) in OF_A_BAG {
                let text = typed(column, line.cell(column));
                set(&mut fields, &format!("{before}_{number}{after}"), text);
            }
        }
        match refused.is_empty() {
            true => Ok(fields),
            false => Err(refused),
        }
    }

    pub fn person(&self) -> Option<String> {
        let person = self.first("person");
        (!person.is_empty()).then(|| person.to_owned())
    }

    /// Where in the file a problem of the form lies.
    pub fn refusal(&self, problem: &Problem) -> Refusal {
        let mut parts = problem.field.split('_');
        let (what, number) = (parts.next().unwrap_or(""), parts.next());
        let bag: Option<usize> = number.and_then(|number| number.parse().ok());
        let column = OF_A_BAG
            .iter()
            .find(|(_, field, _)| *field == what && bag.is_some())
            .map(|(column, _, _)| *column)
            .or_else(|| match what {
                "rot" => Some("rot_percent"),
                _ => super::columns::named(what),
            })
            .unwrap_or("");
        let line = bag
            .and_then(|bag| self.lines.get(bag.checked_sub(1)?))
            .or_else(|| self.lines.iter().find(|line| !line.cell(column).is_empty()))
            .or(self.lines.first());
        Refusal {
            asked: problem.asked.is_some(),
            ..Refusal::new(
                line.map_or(0, |line| line.number),
                column,
                problem.text.clone(),
            )
        }
    }

    fn first(&self, column: &str) -> &str {
        let mut cells = self.lines.iter().map(|line| line.cell(column));
        cells.find(|cell| !cell.is_empty()).unwrap_or("")
    }

    fn said_once(&self, column: &'static str, refused: &mut Vec<Refusal>) -> &str {
        let first = self.first(column);
        for line in &self.lines {
            let cell = line.cell(column);
            if !cell.is_empty() && cell != first {
                let text = format!(
                    "\"{cell}\" here and \"{first}\" above: the bags of one block and day are one \
                     sample. Write the same, or leave it empty."
                );
                refused.push(Refusal::new(line.number, column, text));
            }
        }
        first
    }

    fn joined(&self, column: &str, between: &str) -> String {
        let mut texts: Vec<&str> = Vec::new();
        for line in &self.lines {
            let cell = line.cell(column);
            if !cell.is_empty() && !texts.contains(&cell) {
                texts.push(cell);
            }
        }
        texts.join(between)
    }
}

fn set(fields: &mut Fields, name: &str, text: String) {
    if !text.is_empty() {
        fields.set(name, &text);
    }
}

/// The file's unit is in the column's name; the form's may be the farm's.
fn typed(column: &str, cell: &str) -> String {
    match column {
        "juice_temperature_c" if cell.ends_with(|last: char| last.is_ascii_digit()) => {
            format!("{cell} °C")
        }
        _ => cell.to_owned(),
    }
}

/// An id that follows from what is typed, so that the same lines are known again.
pub fn id_of(kind: Kind, fields: &Fields) -> Uuid {
    let print = fingerprint(kind, 1, None, fields);
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&print[..16]);
    uuid::Builder::from_custom_bytes(bytes).into_uuid()
}
