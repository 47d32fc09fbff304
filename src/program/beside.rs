//! Starting beside a damaged database, and bringing in what was kept beside it once a good one is
//! in its place. Not here: what is kept and how (`store::beside`), the pages (`web::beside`).

use std::io;
use std::path::PathBuf;

use anyhow::Context;

use super::folder::Folder;
use super::serve::open;
use crate::clock::Clock;
use crate::store::beside::{Lines, lines_beside, path_beside};
use crate::store::{Store, StoreError};
use crate::web::beside::{Became, replay};

/// Opens the farm's database; a damaged one is only read from.
pub async fn open_or_beside(folder: &Folder, clock: &Clock) -> anyhow::Result<Store> {
    let error = match open(folder, clock).await {
        Ok(store) => return Ok(store),
        Err(error) => error,
    };
    let store_error = error.chain().find_map(|cause| cause.downcast_ref());
    match store_error {
        Some(StoreError::Damaged(why)) => Ok(Store::open_damaged(&folder.database(), why).await),
        _ => Err(error),
    }
}

/// What became of the entries that were kept beside.
#[derive(Debug, Default)]
pub struct Brought {
    pub entered: usize,
    /// Lines that are still in the log, or in the one that was put away, and why.
    pub left: Vec<String>,
    /// Where the log was put away; none where it is still needed.
    pub kept: Option<PathBuf>,
}

/// Brings in what was kept beside, in the order it came, and puts the log away among the copies.
/// Broken off in the middle, it begins again at the next start: the same entry is entered once.
pub async fn bring_in(
    store: &Store,
    folder: &Folder,
    clock: &Clock,
) -> anyhow::Result<Option<Brought>> {
    let database = folder.database();
    let log = lines_beside(&database)
        .with_context(|| format!("{} can't be read", path_beside(&database).display()))?;
    let Some(Lines { lines, unreadable }) = log else {
        return Ok(None);
    };
    let mut brought = Brought::default();
    let mut is_still_needed = false;
    for line in &lines {
        match replay(store, line).await {
            Ok(Became::Entered) => brought.entered += 1,
            Ok(Became::Left) => {
                let why = format!("{} is kept for another farm, or can't be read", line.id);
                brought.left.push(why);
                is_still_needed |= line.house != store.house().server_id;
            }
            Err(error) => {
                is_still_needed = true;
                tracing::error!(error = ?error, id = %line.id, "a kept entry was not entered");
                brought
                    .left
                    .push(format!("{} could not be entered", line.id));
            }
        }
    }
    if unreadable > 0 {
        let why = format!("{unreadable} lines can't be read; a line cut short was never answered");
        brought.left.push(why);
    }
    if !is_still_needed {
        let kept = put_away(folder, clock).context("the side log can't be put away")?;
        brought.kept = Some(kept);
    }
    Ok(Some(brought))
}

/// Everything in the log is on the disk twice now; it stays all the same.
fn put_away(folder: &Folder, clock: &Clock) -> io::Result<PathBuf> {
    let moment = clock.now().format("%Y-%m-%d-%H%M%S");
    let mut to = folder.copies().join(format!("beside-{moment}.jsonl"));
    let mut number = 1;
    while to.exists() {
        number += 1;
        to = folder
            .copies()
            .join(format!("beside-{moment}-{number}.jsonl"));
    }
    std::fs::rename(path_beside(&folder.database()), &to)?;
    Ok(to)
}
