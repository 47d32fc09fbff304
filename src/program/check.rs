//! `endpost check`: replays the ledger and says whether the tables are what it makes of them.
//! It only looks: nothing is written or migrated, and a farm that is being served may stay so.
//! Not here: the replay itself (`store::ledger::replay`).

use std::fmt::Write;
use std::path::Path;
use std::process::ExitCode;

use anyhow::Context;

use super::folder::Folder;
use crate::store::ledger::replay::Findings;
use crate::store::{Look, Store, StoreError};

/// Checks a farm's data. Exit 0 only when all is identical.
pub async fn check(data: Option<&Path>) -> anyhow::Result<ExitCode> {
    let folder = Folder::named(data)?;
    let look = look(&folder).await?;
    let found = check_all(&look).await;
    look.close().await;
    let found = found?;
    println!("Data      {}", folder.path().display());
    print!("{}", report(&found));
    Ok(match found.faults.is_empty() {
        true => ExitCode::SUCCESS,
        false => ExitCode::from(1),
    })
}

async fn check_all(look: &Look) -> Result<Findings, StoreError> {
    look.read().await?.check().await
}

/// Looks at a farm's database and changes nothing in it.
pub async fn look(folder: &Folder) -> anyhow::Result<Look> {
    let path = folder.existing_database()?;
    Store::look(&path).await.with_context(|| {
        format!(
            "the database {} can't be looked at; look whether it and its folder can be read, or name another with --data DIR",
            path.display()
        )
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
