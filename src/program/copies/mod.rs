//! Safekeeping: copies of the farm's data in its own folder and in a second place, made each night,
//! before the tables change, and by hand; and the way back.
//! Not here: the look into a copy (`store::copies`), when one is due (`science::copies`), pages.

pub mod backup;
mod files;
pub mod nightly;
pub mod place;
pub mod restore;

use std::cmp::Reverse;
use std::fs::File;
use std::path::{Path, PathBuf};

use anyhow::Context;
use tokio::task::spawn_blocking;

pub use files::{Found, copies_in, sha256_of};

use super::folder::Folder;
use crate::clock::Clock;
use crate::science::copies::{CopyName, Why, no_longer_kept};
use crate::store::copies::{self, Contents, Standing};

/// A copy that was made and found good.
#[derive(Clone, Debug)]
pub struct Made {
    pub path: PathBuf,
    pub name: CopyName,
    pub bytes: u64,
    pub sha256: String,
    pub contents: Contents,
    /// Photos that are not what their name says; they were left out.
    pub spoiled: Vec<String>,
}

/// Makes a copy of a farm's data in its folder of copies. Only when it is whole and looked into
/// does it get its name, and only then do older ones go.
pub async fn make(folder: &Folder, why: Why, clock: &Clock) -> anyhow::Result<Made> {
    let into = folder.copies();
    std::fs::create_dir_all(&into)
        .with_context(|| format!("the folder {} can't be made", into.display()))?;
    let _alone = alone_in(&into).await?;
    let growing = files::coming(&into.join("endpost.db"));
    let made = make_growing(folder, &growing, why, clock).await;
    if made.is_err() {
        // A copy that came to nothing is in nobody's way, but takes room.
        let _ = std::fs::remove_file(&growing);
    }
    made
}

/// Waits until no other program makes a copy in the folder: the one that serves, and one that was
/// asked for beside it.
async fn alone_in(copies: &Path) -> anyhow::Result<File> {
    let copies = copies.to_owned();
    let waited = spawn_blocking(move || files::alone_in(&copies));
    waited.await?.context("the folder of copies can't be held")
}

async fn make_growing(
    folder: &Folder,
    growing: &Path,
    why: Why,
    clock: &Clock,
) -> anyhow::Result<Made> {
    let into = folder.copies();
    files::sweep(&into).context("what an earlier copy left half written can't be removed")?;
    let contents = copies::copy(&folder.database(), growing)
        .await
        .with_context(|| format!("no copy of {} was made", folder.database().display()))?;
    let there = files::copies_in(&into)?;
    let there: Vec<CopyName> = there.into_iter().map(|one| one.name).collect();
    let now = clock.now();
    let name = CopyName::unused(now, why, &there);
    let path = into.join(name.to_string());
    let written = in_place(growing, &path).with_context(|| format!("{} can't be kept", name))?;
    let (sha256, bytes) = written;
    let spoiled = files::bring_photos(&folder.photos(), &into.join(files::PHOTOS))
        .context("the photos can't be copied")?;
    let all = [there.as_slice(), &[name]].concat();
    for old in no_longer_kept(&all, now.with_timezone(&contents.zone)) {
        files::remove(&into, old).with_context(|| format!("{old} can't be removed"))?;
    }
    Ok(Made {
        path,
        name,
        bytes,
        sha256,
        contents,
        spoiled,
    })
}

fn in_place(growing: &Path, path: &Path) -> std::io::Result<(String, u64)> {
    files::sync(growing)?;
    let sha256 = sha256_of(growing)?;
    let bytes = growing.metadata()?.len();
    files::seal(path, &sha256)?;
    std::fs::rename(growing, path)?;
    path.parent().map_or(Ok(()), files::sync_folder)?;
    Ok((sha256, bytes))
}

/// Before the tables are changed by a newer program, what they hold is copied as it is.
pub async fn before_migration(folder: &Folder, clock: &Clock) -> anyhow::Result<Option<Made>> {
    match copies::standing(&folder.database()).await {
        Ok(Standing::Older { next }) => {
            let made = make(folder, Why::BeforeMigration(next), clock).await;
            made.context(
                "this Endpost is newer than the data, and changes nothing of it before a copy lies \
                 in copies; make room, or start the older program again",
            )
            .map(Some)
        }
        // What is wrong with the file is said when it is opened.
        Ok(Standing::New | Standing::Current) | Err(_) => Ok(None),
    }
}

/// The file beside a database that SQLite calls so.
fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// Looks whether a copy is what it was when it was made, and sound.
pub async fn verify(path: &Path) -> anyhow::Result<Contents> {
    let copy = path.to_owned();
    // A farm may be served meanwhile.
    let sha256 = spawn_blocking(move || sha256_of(&copy)).await?;
    let sha256 = sha256.with_context(|| format!("{} can't be read", path.display()))?;
    let log = with_ending(path, "-wal");
    anyhow::ensure!(
        !log.metadata().is_ok_and(|log| log.len() > 0),
        "{} was copied by hand while it was in use: a part of it lies in {}. Take a copy that \
         Endpost made",
        path.display(),
        log.display()
    );
    if let Some(sealed) = files::sealed(path) {
        anyhow::ensure!(
            sealed == sha256,
            "{} is not what it was when it was made: its SHA-256 is another than the file beside \
             it says. Take another copy",
            path.display()
        );
    }
    copies::look_into(path)
        .await
        .with_context(|| format!("{} is no good copy", path.display()))
}

/// The copies of a folder that are what they were when they were made.
pub struct Good {
    copies: Vec<(Contents, CopyName)>,
    /// What is wrong with the others.
    pub passed_by: Vec<String>,
}

impl Good {
    /// The best first: of the data that was put in place last the one whose ledger had come furthest.
    /// Names carry what a clock showed, which may have been wrong.
    pub fn best_first(&self) -> Vec<&(Contents, CopyName)> {
        let mut all: Vec<_> = self.copies.iter().collect();
        all.sort_by_key(|(held, name)| Reverse((held.house.db_epoch, held.how_far(), *name)));
        all
    }

    pub fn names(&self) -> impl Iterator<Item = CopyName> {
        self.copies.iter().map(|(_, name)| *name)
    }
}

/// Looks into every copy of a folder. What was replaced by a copy is none.
pub async fn good_copies(folder: &Path) -> anyhow::Result<Good> {
    let found = copies_in(folder).with_context(|| format!("{} can't be read", folder.display()))?;
    let names = found.into_iter().map(|one| one.name);
    let (mut copies, mut passed_by) = (Vec::new(), Vec::new());
    for name in names.filter(|name| name.why != Why::Replaced) {
        match verify(&folder.join(name.to_string())).await {
            Ok(contents) => copies.push((contents, name)),
            Err(error) => passed_by.push(format!("{error:#}")),
        }
    }
    Ok(Good { copies, passed_by })
}
