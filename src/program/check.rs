//! `endpost check`: replays the ledger and says whether the tables are what it makes of them.
//! Not here: the replay itself (`store::ledger::replay`).

use std::fmt::Write;
use std::path::Path;
use std::process::ExitCode;

use super::folder::Folder;
use super::serve::open;
use crate::clock::Clock;
use crate::store::ledger::replay::Findings;

/// Checks a farm's data. Exit 0 only when all is identical.
pub async fn check(data: Option<&Path>) -> anyhow::Result<ExitCode> {
    let folder = Folder::named(data)?;
    folder.existing_database()?;
    let store = open(&folder, &Clock::of_this_machine()).await?;
    let found = store.check().await;
    store.close().await;
    let found = found?;
    println!("Data      {}", folder.path().display());
    print!("{}", report(&found));
    Ok(match found.faults.is_empty() {
        true => ExitCode::SUCCESS,
        false => ExitCode::from(1),
    })
}

/// What was found, in lines.
pub fn report(found: &Findings) -> String {
    let mut text = String::new();
    let names = found.compared.iter().map(|(name, _)| name.len());
    let left = found.left_out.iter().map(|(name, _)| name.len());
    let width = names.chain(left).max().unwrap_or(0);
    // Writing to a String does not fail.
    let _ = writeln!(text, "Entries   {} replayed", found.entries);
    let _ = writeln!(text, "Compared");
    for (table, rows) in &found.compared {
        let _ = writeln!(text, "  {table:width$}  {rows} rows");
    }
    let _ = writeln!(text, "Left out");
    for (table, why) in &found.left_out {
        let _ = writeln!(text, "  {table:width$}  {why}");
    }
    if found.faults.is_empty() {
        let _ = writeln!(
            text,
            "Identical: the tables are what the entries make of them."
        );
        return text;
    }
    let _ = writeln!(text, "Faults");
    for fault in &found.faults {
        let _ = writeln!(text, "  {fault}");
    }
    let _ = writeln!(
        text,
        "Not identical. The ledger itself is kept; keep a copy of the folder before anything else."
    );
    text
}
