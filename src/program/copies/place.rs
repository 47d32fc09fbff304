//! The second place: a folder on another disk, such as a stick, that holds the copies once more.
//! A stick that is not there leaves an empty folder behind where it was mounted, so that only a
//! folder with our mark is written into.
//! Not here: the copies' own folder (`copies`).

use std::collections::BTreeSet;
use std::fmt;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use chrono::DateTime;
use chrono_tz::Tz;
use uuid::Uuid;

use super::files::{self, Found, PHOTOS};
use crate::science::copies::{CopyName, no_longer_kept};

const MARK: &str = "endpost-place.txt";

/// A folder that was named as the second place.
#[derive(Clone, Debug)]
pub struct Place(PathBuf);

/// What lies in a second place now.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Brought {
    pub copies: Vec<CopyName>,
    /// Copies that are not what they were when they were made, and were not brought.
    pub spoiled: Vec<CopyName>,
}

/// Why copies can't be brought there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoPlace {
    Missing,
    Unmarked,
    OfAnotherHouse,
    Full,
    Failed(String),
}

impl fmt::Display for NoPlace {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing => write!(out, "it is not there. Put the stick back in"),
            Self::Unmarked => write!(
                out,
                "it has no mark of Endpost's. Is the stick in? The first time, type endpost backup \
                 --into and this folder"
            ),
            Self::OfAnotherHouse => write!(out, "it holds the copies of another farm"),
            Self::Full => write!(out, "it is full. Make room there"),
            Self::Failed(why) => write!(out, "it can't be written to ({why})"),
        }
    }
}

impl NoPlace {
    /// Whether the place itself is there, and only bringing copies into it failed.
    pub fn is_of_what_is_there(&self) -> bool {
        matches!(self, Self::Full | Self::Failed(_))
    }
}

impl From<io::Error> for NoPlace {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => Self::Full,
            ErrorKind::NotFound => Self::Missing,
            _ => Self::Failed(error.to_string()),
        }
    }
}

impl Place {
    pub fn at(path: &Path) -> Self {
        Self(path.to_owned())
    }

    pub fn path(&self) -> &Path {
        &self.0
    }

    /// Marks the folder as a place for one house's copies. The last part of its name is made if it
    /// is not there; a folder of another house stays that house's.
    pub fn mark(&self, house: Uuid) -> Result<(), NoPlace> {
        match std::fs::create_dir(&self.0) {
            Err(error) if error.kind() != ErrorKind::AlreadyExists => return Err(error.into()),
            _ => {}
        }
        match self.is_for(house) {
            Err(NoPlace::Unmarked) => {}
            other => return other,
        }
        let text = format!(
            "{house}\nEndpost brings copies of a farm's data here as long as this file is here.\n"
        );
        Ok(files::write_whole(&self.0.join(MARK), &text)?)
    }

    /// Whether this house's copies may be brought there.
    pub fn is_for(&self, house: Uuid) -> Result<(), NoPlace> {
        if !self.0.is_dir() {
            return Err(NoPlace::Missing);
        }
        let text = match std::fs::read_to_string(self.0.join(MARK)) {
            Ok(text) => text,
            Err(error) if error.kind() == ErrorKind::NotFound => return Err(NoPlace::Unmarked),
            Err(error) => return Err(error.into()),
        };
        let marked = text.lines().next().map(str::parse::<Uuid>);
        match marked.and_then(Result::ok) {
            Some(marked) if house == marked => Ok(()),
            Some(_) => Err(NoPlace::OfAnotherHouse),
            None => Err(NoPlace::Unmarked),
        }
    }

    /// Brings over what is missing there of the copies and photos in a folder, reads each back, and
    /// then takes away what by the farm's clock is kept no longer, where that can be told. The newest
    /// go first; one that is spoiled here stays here and keeps no other from going.
    pub fn bring_over(
        &self,
        from: &Path,
        house: Uuid,
        now: Option<DateTime<Tz>>,
    ) -> Result<Brought, NoPlace> {
        self.is_for(house)?;
        let _alone = files::alone_in(&self.0)?;
        files::sweep(&self.0)?;
        let mut there = named(&files::copies_in(&self.0)?);
        let here = files::copies_in(from)?;
        let all: BTreeSet<CopyName> = there.iter().copied().chain(named(&here)).collect();
        let all: Vec<CopyName> = all.into_iter().collect();
        let stale_of = |all: &[CopyName]| now.map_or_else(Vec::new, |now| no_longer_kept(all, now));
        let stale = stale_of(&all);
        let mut spoiled = Vec::new();
        for copy in here.iter().rev().filter(|one| !stale.contains(&one.name)) {
            let (Some(sha256), false) = (&copy.sha256, there.contains(&copy.name)) else {
                continue;
            };
            let name = copy.name.to_string();
            let (source, path) = (from.join(&name), self.0.join(&name));
            if let Err(error) = files::bring(&source, &path, sha256) {
                // Whether the fault lies here or there, only the source can say.
                match files::sha256_of(&source) {
                    Ok(still) if still == *sha256 => return Err(error.into()),
                    Err(error) if error.kind() == ErrorKind::NotFound => {}
                    Ok(_) | Err(_) => spoiled.push(copy.name),
                }
                continue;
            }
            files::seal(&path, sha256)?;
            there.push(copy.name);
        }
        files::bring_photos(&from.join(PHOTOS), &self.0.join(PHOTOS))?;
        // What did not get there stands for no other.
        let stale = stale_of(&there);
        for name in &stale {
            files::remove(&self.0, *name)?;
        }
        there.retain(|name| !stale.contains(name));
        Ok(Brought {
            copies: there,
            spoiled,
        })
    }
}

fn named(found: &[Found]) -> Vec<CopyName> {
    found.iter().map(|one| one.name).collect()
}
