//! `endpost export`: every table as a CSV file, with a dictionary of all columns beside them.
//! Moments are written as RFC 3339 in UTC, identifiers as UUIDs, yes and no as 1 and 0.
//! Not here: what the columns mean (`store::export::dictionary`).

use std::fs::File;
use std::path::Path;
use std::process::ExitCode;

use anyhow::Context;
use chrono::SecondsFormat;

use super::check::look;
use super::folder::Folder;
use crate::store::catalogue::exported;
use crate::store::export::{Cell, dictionary};
use crate::store::{Look, StoreError};

const DICTIONARY: &str = "data-dictionary.csv";

/// Writes all tables into an empty folder.
pub async fn export(into: &Path, data: Option<&Path>) -> anyhow::Result<ExitCode> {
    let folder = Folder::named(data)?;
    let look = look(&folder).await?;
    let written = write_all(&look, into).await;
    look.close().await;
    let rows = written?;
    println!(
        "{} tables with {rows} rows are in {}; {DICTIONARY} says what each column means.",
        exported().count(),
        into.display()
    );
    Ok(ExitCode::SUCCESS)
}

fn make_empty(into: &Path) -> anyhow::Result<()> {
    std::fs::create_dir_all(into)
        .with_context(|| format!("the folder {} can't be made", into.display()))?;
    let mut there = std::fs::read_dir(into)
        .with_context(|| format!("the folder {} can't be read", into.display()))?;
    anyhow::ensure!(
        there.next().is_none(),
        "{} is not empty; name a new folder, so that nothing is overwritten",
        into.display()
    );
    Ok(())
}

/// Everything comes from one view, so that the files belong together.
async fn write_all(look: &Look, into: &Path) -> anyhow::Result<usize> {
    make_empty(into)?;
    let mut read = look.read().await?;
    let mut words = file(into, DICTIONARY)?;
    words.write_record(["table", "column", "type", "unit", "meaning"])?;
    let mut rows = 0;
    for table in exported() {
        let columns = read.columns(table).await?;
        for name in &columns {
            let (is, unit, meaning) = dictionary::of(table.name, name)
                .map_or(("text", "", ""), |column| {
                    (column.is.words(), column.unit, column.meaning)
                });
            words.write_record([table.name, name, is, unit, meaning])?;
        }
        let name = format!("{}.csv", table.name);
        let mut file = file(into, &name)?;
        file.write_record(&columns)?;
        read.each_row(table, |cells| {
            rows += 1;
            file.write_record(cells.into_iter().map(text))
                .map_err(|error| StoreError::unreadable(table.name, error))
        })
        .await
        .with_context(|| format!("{name} can't be written"))?;
        file.flush()
            .with_context(|| format!("{name} can't be written"))?;
    }
    words.flush()?;
    Ok(rows)
}

fn file(into: &Path, name: &str) -> anyhow::Result<csv::Writer<File>> {
    csv::Writer::from_path(into.join(name)).with_context(|| format!("{name} can't be written"))
}

/// A cell as it stands in the file.
pub fn text(cell: Cell) -> String {
    match cell {
        Cell::Nothing => String::new(),
        Cell::Whole(number) => number.to_string(),
        Cell::Number(number) => number.to_string(),
        Cell::Text(text) => guarded(text),
        Cell::Id(id) => id.to_string(),
        Cell::Moment(at) => at.to_rfc3339_opts(SecondsFormat::Millis, true),
        Cell::Bytes(bytes) => bytes.iter().map(|byte| format!("{byte:02x}")).collect(),
    }
}

/// A text that a spreadsheet would take for a formula gets an apostrophe before it.
fn guarded(text: String) -> String {
    match text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        true => format!("'{text}"),
        false => text,
    }
}
