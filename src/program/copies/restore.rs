//! `endpost restore`: puts a copy in the place of the farm's data. What lay there is kept beside the
//! copies, and the copy begins an epoch of its own, by which phones offer again what they sent.
//! Not here: the look into a copy (`verify`).

use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Context;
use chrono::{DateTime, Utc};

use super::files::{self, PHOTOS, coming};
use super::{good_copies, verify, with_ending};
use crate::clock::Clock;
use crate::program::folder::Folder;
use crate::science::copies::{CopyName, Why};
use crate::store::copies::{Contents, WaysIn, begin_anew, came_after, fold, mark_put_back};
use crate::web::copies::as_typed;
use crate::web::words::counted;

/// What SQLite may have left beside a database; it is read into whatever lies there next.
const LOGS: [&str; 3] = ["-wal", "-shm", "-journal"];

/// Puts a copy back and says what is to be done next.
pub async fn restore(from: &Path, data: Option<&Path>) -> anyhow::Result<ExitCode> {
    let folder = Folder::named(data)?;
    folder.make()?;
    let _lock = folder.lock()?;
    let copy = chosen(from).await?;
    let back = put_back(&folder, &copy, &Clock::of_this_machine()).await?;
    println!("Put back  {}", copy.display());
    println!("Data      {}", folder.database().display());
    println!("Entries   {}", back.contents.entries);
    if let Some(replaced) = &back.replaced {
        println!("Kept      {}, which lay there before", replaced.display());
    }
    if let Some(missing) = back.missing.and_then(|count| usize::try_from(count).ok()) {
        println!(
            "Missing   {} came in after this copy was made. Phones send again what was typed on \
             them;\n          what was typed on this computer, type in again from the cards.",
            counted(missing, "entry", "entries")
        );
    }
    println!("Let in    {}", back.ways_in);
    for photo in &back.spoiled {
        println!("Left out  the photo {photo}, which is not what its name says");
    }
    println!(
        "Next      Start endpost serve --data {}. Phones offer again what they sent since this copy\n\
         \x20         was made; open Endpost on each of them near the farm computer.",
        as_typed(folder.path())
    );
    Ok(ExitCode::SUCCESS)
}

/// What was put back, and what it was put in place of.
#[derive(Debug)]
pub struct Back {
    pub contents: Contents,
    /// Where that is kept now.
    pub replaced: Option<PathBuf>,
    pub ways_in: WaysIn,
    /// How many entries came in after the copy was made, where that is known.
    pub missing: Option<i64>,
    pub spoiled: Vec<String>,
}

/// The copy itself, or the best of a folder.
async fn chosen(from: &Path) -> anyhow::Result<PathBuf> {
    if !from.is_dir() {
        verify(from).await?;
        return Ok(from.to_owned());
    }
    let good = good_copies(from).await?;
    for why in &good.passed_by {
        println!("Passed by {why}");
    }
    let Some((_, best)) = good.best_first().first().copied() else {
        anyhow::bail!(
            "there is no good copy in {}; name the folder in which the files endpost-….db lie",
            from.display()
        );
    };
    if good.names().any(|name| name > *best) {
        println!(
            "Chosen    {best}: of the data that was put in place last it holds most, though others are \
             of a later date"
        );
    }
    Ok(from.join(best.to_string()))
}

/// Puts a copy in the place of a folder's database. The folder is held by the caller. Whenever it
/// breaks off, either the old file or the new one is there. The old one is whole unless its log could
/// not be folded into it and the break falls between the removal of the log and the change of files;
/// then both lie together among the copies.
pub async fn put_back(folder: &Folder, copy: &Path, clock: &Clock) -> anyhow::Result<Back> {
    let database = folder.database();
    let growing = coming(&database);
    let now = clock.now();
    let ready = made_ready(copy, &growing, &database, now).await;
    if ready.is_err() {
        // Half a file is of no use; what can't be removed is written over next time.
        let _ = std::fs::remove_file(&growing);
    }
    let (contents, ways_in) = ready?;
    let missing = came_after(&database, &verify(copy).await?);
    let replaced = kept_aside(folder, now).await?;
    let cleared = remove_logs(&database).and_then(|()| files::sync_folder(folder.path()));
    cleared.with_context(|| format!("what lies beside {} can't be moved", database.display()))?;
    std::fs::rename(&growing, &database)
        .and_then(|()| files::sync_folder(folder.path()))
        .with_context(|| format!("{} can't be put in place", database.display()))?;
    mark_put_back(&database, &contents);
    let photos = copy.with_file_name(PHOTOS);
    let spoiled = match photos == folder.photos() {
        true => Vec::new(),
        false => files::bring_photos(&photos, &folder.photos())
            .context("the data is back, but its photos can't be brought; restore again")?,
    };
    Ok(Back {
        contents,
        replaced,
        ways_in,
        missing,
        spoiled,
    })
}

async fn made_ready(
    copy: &Path,
    growing: &Path,
    replaced: &Path,
    now: DateTime<Utc>,
) -> anyhow::Result<(Contents, WaysIn)> {
    let sha256 =
        files::sha256_of(copy).with_context(|| format!("{} can't be read", copy.display()))?;
    if let Some(parent) = growing.parent() {
        std::fs::create_dir_all(parent)?;
    }
    remove_logs(growing).context("what an earlier try left behind can't be removed")?;
    files::copy_contents(copy, growing)
        .with_context(|| format!("{} can't be copied into the data folder", copy.display()))?;
    anyhow::ensure!(
        files::sha256_of(growing)? == sha256,
        "{} reads back as something else in the data folder; the disk may be failing",
        copy.display()
    );
    let begun = begin_anew(growing, replaced, now)
        .await
        .with_context(|| format!("{} is no good copy", copy.display()))?;
    files::sync(growing)?;
    Ok(begun)
}

/// Keeps what lies in the place of the data among the copies as well, whole if it can still be read,
/// with whatever lies beside it, also where the database itself is gone. All of it stays in its place
/// until the other one takes it, so that a farm is never without its data.
async fn kept_aside(folder: &Folder, now: DateTime<Utc>) -> anyhow::Result<Option<PathBuf>> {
    let database = folder.database();
    if database.exists()
        && let Err(error) = fold(&database).await
    {
        tracing::warn!(error = ?error, "what is replaced keeps its log in a file of its own");
    }
    let name = CopyName::unused(now, Why::Replaced, &taken(&folder.copies())?);
    let path = folder.copies().join(name.to_string());
    let mut kept = None;
    for ending in ["", LOGS[0], LOGS[1], LOGS[2]] {
        let (from, to) = (with_ending(&database, ending), with_ending(&path, ending));
        if !from.exists() {
            continue;
        }
        std::fs::hard_link(&from, &to)
            .or_else(|_| files::copy_contents(&from, &to))
            .with_context(|| format!("{} can't be kept", from.display()))?;
        kept.get_or_insert(to);
    }
    files::sync_folder(&folder.copies())?;
    Ok(kept)
}

/// The names in a folder of copies, also of those of which only a log was left.
fn taken(copies: &Path) -> io::Result<Vec<CopyName>> {
    let mut names = Vec::new();
    for file in std::fs::read_dir(copies)? {
        let name = file?.file_name();
        let name = name.to_string_lossy();
        let ending = LOGS.iter().find(|ending| name.ends_with(**ending));
        let name = name.strip_suffix(ending.copied().unwrap_or_default());
        names.extend(name.and_then(|name| name.parse::<CopyName>().ok()));
    }
    Ok(names)
}

/// Takes away what SQLite would read into another file of the same name.
fn remove_logs(database: &Path) -> io::Result<()> {
    for ending in LOGS {
        match std::fs::remove_file(with_ending(database, ending)) {
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(error),
            _ => {}
        }
    }
    Ok(())
}
