//! `endpost restore`: puts a copy in the place of the farm's data. What lay there is kept beside the
//! copies, and the copy begins an epoch of its own, by which phones offer again what they sent.
//! Not here: the look into a copy (`verify`).

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Context;
use chrono::{DateTime, Utc};

use super::files::{self, PHOTOS, coming, copies_in};
use super::{on_the_farm, verify, with_ending};
use crate::clock::Clock;
use crate::program::folder::Folder;
use crate::science::copies::{CopyName, Why};
use crate::store::copies::{Contents, begin_anew, fold, mark_put_back};

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
    for photo in &back.spoiled {
        println!("Left out  the photo {photo}, which is not what its name says");
    }
    println!(
        "Next      Start endpost serve. Phones offer again what they sent since this copy was made;\n\
         \x20         open Endpost on each of them near the farm computer."
    );
    Ok(ExitCode::SUCCESS)
}

/// What was put back, and what it was put in place of.
#[derive(Debug)]
pub struct Back {
    pub contents: Contents,
    pub replaced: Option<PathBuf>,
    pub spoiled: Vec<String>,
}

/// The copy itself, or the newest good one of a folder.
async fn chosen(from: &Path) -> anyhow::Result<PathBuf> {
    if !from.is_dir() {
        verify(from).await?;
        return Ok(from.to_owned());
    }
    let copies = copies_in(from).with_context(|| format!("{} can't be read", from.display()))?;
    for copy in copies
        .iter()
        .rev()
        .filter(|one| one.name.why != Why::Replaced)
    {
        let path = from.join(copy.name.to_string());
        match verify(&path).await {
            Ok(_) => return Ok(path),
            Err(error) => println!("Passed by {error:#}"),
        }
    }
    anyhow::bail!("there is no good copy in {}", from.display())
}

/// Puts a copy in the place of a folder's database. The folder is held by the caller. Whenever it
/// breaks off, either the old file or the new one is there, whole.
pub async fn put_back(folder: &Folder, copy: &Path, clock: &Clock) -> anyhow::Result<Back> {
    let database = folder.database();
    let growing = coming(&database);
    let now = clock.now();
    let contents = made_ready(copy, &growing, now).await;
    if contents.is_err() {
        // Half a file is of no use; what can't be removed is written over next time.
        let _ = std::fs::remove_file(&growing);
    }
    let contents = contents?;
    let replaced = match database.exists() {
        true => Some(put_aside(folder, &contents, now).await?),
        false => None,
    };
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
        spoiled,
    })
}

async fn made_ready(copy: &Path, growing: &Path, now: DateTime<Utc>) -> anyhow::Result<Contents> {
    let sha256 =
        files::sha256_of(copy).with_context(|| format!("{} can't be read", copy.display()))?;
    if let Some(parent) = growing.parent() {
        std::fs::create_dir_all(parent)?;
    }
    files::copy_contents(copy, growing)
        .with_context(|| format!("{} can't be copied into the data folder", copy.display()))?;
    anyhow::ensure!(
        files::sha256_of(growing)? == sha256,
        "{} reads back as something else in the data folder; the disk may be failing",
        copy.display()
    );
    let contents = begin_anew(growing, now)
        .await
        .with_context(|| format!("{} is no good copy", copy.display()))?;
    files::sync(growing)?;
    Ok(contents)
}

/// Puts what lies in the place of the data among the copies as well, whole if it can still be read.
/// It stays in its place until the other one takes it, so that a farm is never without its data; a
/// damaged one's log goes first, or it would be read into the other one.
async fn put_aside(
    folder: &Folder,
    instead: &Contents,
    now: DateTime<Utc>,
) -> anyhow::Result<PathBuf> {
    let database = folder.database();
    if let Err(error) = fold(&database).await {
        tracing::warn!(error = ?error, "what is replaced keeps its log in a file of its own");
    }
    let there = copies_in(&folder.copies())?;
    let there: Vec<CopyName> = there.into_iter().map(|one| one.name).collect();
    let name = CopyName::unused(on_the_farm(now, instead), Why::Replaced, &there);
    let path = folder.copies().join(name.to_string());
    std::fs::hard_link(&database, &path)
        .or_else(|_| files::copy_contents(&database, &path))
        .with_context(|| format!("{} can't be kept", database.display()))?;
    for ending in ["-wal", "-shm"] {
        let from = with_ending(&database, ending);
        if from.exists() {
            std::fs::rename(&from, with_ending(&path, ending))
                .with_context(|| format!("{} can't be moved", from.display()))?;
        }
    }
    files::sync_folder(&folder.copies())?;
    Ok(path)
}
