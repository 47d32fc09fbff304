//! The side log `endpost.beside.jsonl`: entries that came while the database was damaged, a line
//! each, on the disk before they are answered. Once a good database is in place they go through the
//! door like all others.
//! Not here: what becomes of a line (`web::beside`), when the log is read again (`program::beside`).

use std::collections::HashSet;
use std::fs::File;
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use tokio::task::JoinHandle;
use uuid::Uuid;

use super::ledger::Fields;
use super::{Store, StoreError, connection};
use crate::science::access::Role;

const NAME: &str = "endpost.beside.jsonl";
const BETWEEN_LOOKS: TimeDelta = TimeDelta::minutes(1);

/// One entry as it came.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    pub id: Uuid,
    /// The fingerprint of its contents, by which a repeat is known.
    pub fingerprint: [u8; 32],
    pub received_at: DateTime<Utc>,
    /// The house it was kept for.
    pub house: Uuid,
    /// Who sent it, as far as they had shown.
    #[serde(default)]
    pub by: Option<Sender>,
    pub came: Came,
}

/// What whoever sent it was let in for, and by which session.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sender {
    pub role: Role,
    pub at_the_house: bool,
    pub session: Option<Uuid>,
}

/// How it came.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Came {
    /// A phone sent it, and this is what it sent.
    Envelope(serde_json::Value),
    /// A page was posted: the word of its kind, the device, all its fields.
    Page {
        form: String,
        device: Uuid,
        fields: Fields,
    },
}

/// What a side log holds.
#[derive(Clone, Debug, Default)]
pub struct Lines {
    pub lines: Vec<Line>,
    /// Lines that can't be read: the last one, if the power went out while it was written. It was
    /// never answered.
    pub unreadable: usize,
}

/// The file beside a database.
pub fn path_beside(database: &Path) -> PathBuf {
    database.with_file_name(NAME)
}

/// Reads the log beside a database; none if there is no log.
pub fn lines_beside(database: &Path) -> io::Result<Option<Lines>> {
    let text = match std::fs::read(path_beside(database)) {
        Ok(text) => text,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(error),
    };
    Ok(Some(read(&text)))
}

fn read(text: &[u8]) -> Lines {
    let mut found = Lines::default();
    for line in text.split(|byte| *byte == b'\n') {
        if line.is_empty() {
            continue;
        }
        match serde_json::from_slice(line) {
            Ok(line) => found.lines.push(line),
            Err(_) => found.unreadable += 1,
        }
    }
    found
}

/// What is written beside a database once it is damaged; cheap to clone.
#[derive(Clone)]
pub(super) struct SideLog {
    database: Arc<Path>,
    path: Arc<Path>,
    open: Arc<Mutex<Option<Open>>>,
}

struct Open {
    file: File,
    end: u64,
    known: HashSet<(Uuid, [u8; 32])>,
}

impl SideLog {
    pub fn of(database: &Path) -> Self {
        Self {
            database: database.into(),
            path: path_beside(database).into(),
            open: Arc::default(),
        }
    }

    /// Writes a line to the disk, unless it is there already.
    fn keep(&self, line: &Line) -> io::Result<()> {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let log = match open.take() {
            Some(log) => log,
            None => Open::at(&self.path)?,
        };
        let log = open.insert(log);
        if log.known.contains(&(line.id, line.fingerprint)) {
            return Ok(());
        }
        log.append(line)
    }

    fn knows(&self, id: Uuid) -> bool {
        let open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let known = open.as_ref().map(|log| &log.known);
        known.is_some_and(|known| known.iter().any(|(one, _)| *one == id))
    }

    fn count(&self) -> usize {
        let open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        open.as_ref().map_or(0, |log| log.known.len())
    }

    /// Opens it if it is there, so that it is known what came before this start.
    fn open_if_there(&self) -> io::Result<()> {
        if self.path.exists() {
            let log = Open::at(&self.path)?;
            *self.open.lock().unwrap_or_else(PoisonError::into_inner) = Some(log);
        }
        Ok(())
    }
}

impl Open {
    fn at(path: &Path) -> io::Result<Self> {
        let mut file = File::options()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)?;
        if let (true, Some(folder)) = (cfg!(unix), path.parent()) {
            File::open(folder)?.sync_all()?;
        }
        let mut text = Vec::new();
        file.read_to_end(&mut text)?;
        let whole = text.last().is_none_or(|last| *last == b'\n');
        let lines = read(&text).lines.into_iter();
        let mut log = Self {
            file,
            end: text.len() as u64,
            known: lines.map(|line| (line.id, line.fingerprint)).collect(),
        };
        if !whole {
            // The power went out in the middle of a line: the next one begins on its own.
            log.write(b"\n")?;
        }
        Ok(log)
    }

    fn append(&mut self, line: &Line) -> io::Result<()> {
        let mut text = serde_json::to_vec(line)?;
        text.push(b'\n');
        self.write(&text)?;
        self.known.insert((line.id, line.fingerprint));
        Ok(())
    }

    /// What was written in part is taken back, so that it spoils no line after it.
    fn write(&mut self, text: &[u8]) -> io::Result<()> {
        let file = &mut self.file;
        let written = file
            .seek(SeekFrom::Start(self.end))
            .and_then(|_| file.write_all(text))
            .and_then(|()| file.sync_all());
        match written {
            Ok(()) => self.end += text.len() as u64,
            Err(_) => file.set_len(self.end)?,
        }
        written
    }
}

/// Why the database is not written on, once it is known to be damaged; cheap to clone.
#[derive(Clone, Debug, Default)]
pub(crate) struct Damage {
    why: Arc<OnceLock<String>>,
    /// When the last look for it was begun; held as long as that goes on.
    looked: Arc<tokio::sync::Mutex<Option<DateTime<Utc>>>>,
}

impl Damage {
    /// From now on nothing is written into the database. The first word stands.
    pub fn is(&self, why: &str) {
        if self.why.set(why.to_owned()).is_ok() {
            tracing::error!(why, "the database is damaged; entries are kept beside it");
        }
    }

    pub fn found(&self) -> Option<&str> {
        self.why.get().map(String::as_str)
    }

    pub fn refuse(&self) -> Result<(), StoreError> {
        match self.found() {
            Some(why) => Err(StoreError::Damaged(why.to_owned())),
            None => Ok(()),
        }
    }
}

impl Store {
    /// What is wrong with the database, if it is damaged and nothing more is written into it.
    pub fn damage(&self) -> Option<&str> {
        self.damage.found()
    }

    /// Writes an entry to the side log, on the disk, unless it is there already.
    pub async fn keep_beside(&self, line: Line) -> Result<(), StoreError> {
        let log = self.side_log.clone();
        let kept = tokio::task::spawn_blocking(move || log.keep(&line)).await;
        match kept {
            Ok(Ok(())) => Ok(()),
            Ok(Err(error)) => {
                tracing::error!(error = ?error, "the side log can't be written");
                Err(StoreError::Full)
            }
            Err(_) => Err(StoreError::Closing),
        }
    }

    /// Whether an entry of this id lies in the side log.
    pub fn is_kept_beside(&self, id: Uuid) -> bool {
        self.side_log.knows(id)
    }

    /// What lies in the side log under an id; the newest of several.
    pub async fn line_kept_beside(&self, id: Uuid) -> Result<Option<Line>, StoreError> {
        let log = self.side_log.clone();
        let read = tokio::task::spawn_blocking(move || lines_beside(&log.path)).await;
        match read {
            Ok(Ok(log)) => {
                let lines = log.unwrap_or_default().lines.into_iter();
                Ok(lines.rev().find(|line| line.id == id))
            }
            Ok(Err(error)) => Err(StoreError::unreadable("the side log", error)),
            Err(_) => Err(StoreError::Closing),
        }
    }

    /// How many entries lie in the side log.
    pub fn kept_beside(&self) -> usize {
        self.side_log.count()
    }

    /// Looks whether something that failed did so because the database is damaged. If it is,
    /// nothing more is written into it.
    pub async fn look_for_damage(&self) {
        let looked = connection::look_for_damage(&self.side_log.database).await;
        if let Some(why) = looked
            .err()
            .as_ref()
            .and_then(StoreError::damage_while_served)
        {
            self.damage.is(why);
        }
    }

    /// The same behind whatever is going on, one look at a time and at most one a minute: every page
    /// of the file is read. Gives back the look, if this began one.
    pub fn look_for_damage_behind(&self, now: DateTime<Utc>) -> Option<JoinHandle<()>> {
        let mut looked = self.damage.looked.clone().try_lock_owned().ok()?;
        if looked.is_some_and(|last| (now - last).abs() < BETWEEN_LOOKS) {
            return None;
        }
        *looked = Some(now);
        let store = self.clone();
        Some(tokio::spawn(async move {
            store.look_for_damage().await;
            drop(looked);
        }))
    }

    /// Somebody met the damage while reading. From now on nothing is written into the database.
    pub fn met_damage(&self, why: &str) {
        self.damage.is(why);
    }

    pub(super) fn open_side_log(&self) {
        if let Err(error) = self.side_log.open_if_there() {
            tracing::error!(error = ?error, "the side log can't be read");
        }
    }
}
