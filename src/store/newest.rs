//! The side file `endpost.newest`: which database it lies beside, in which epoch, and the newest
//! arrival number that was committed there. A database of another epoch, or one that is older than
//! it says, is a copy put back.
//! Not here: what follows from that (`Store::open`).

use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;

use super::House;

const NAME: &str = "endpost.newest";

/// What the side file says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Newest {
    pub house: House,
    pub arrival_no: i64,
}

impl Newest {
    /// Always of the same length, so that a newer line covers an older one in one write.
    fn line(self) -> String {
        let House {
            server_id,
            db_epoch,
        } = self.house;
        format!("{server_id} {db_epoch} {:020}\n", self.arrival_no)
    }

    fn of_line(line: &str) -> Option<Self> {
        let mut words = line.split_whitespace();
        Some(Self {
            house: House {
                server_id: words.next()?.parse().ok()?,
                db_epoch: words.next()?.parse().ok()?,
            },
            arrival_no: words.next()?.parse().ok()?,
        })
    }

    /// Whether the database that is there now is another copy than the one this was said of.
    pub fn is_of_another_copy_than(self, database: Newest) -> bool {
        let (said, here) = (self.house, database.house);
        said.server_id == here.server_id
            && (said.db_epoch != here.db_epoch || self.arrival_no > database.arrival_no)
    }
}

/// What the side file beside a database says; it is not made.
pub fn said_beside(database: &Path) -> Option<Newest> {
    let line = std::fs::read_to_string(database.with_file_name(NAME)).ok()?;
    Newest::of_line(&line)
}

/// The side file, held open by the writer. It only helps: without it entries are taken all the
/// same, so that a fault in it is told to the log and no further.
pub struct SideFile(Option<File>);

impl SideFile {
    /// The file beside a database, made if it is not there, and what it says.
    pub fn beside(database: &Path) -> (Self, Option<Newest>) {
        let opened = File::options()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(database.with_file_name(NAME));
        match opened {
            Ok(mut file) => {
                let mut line = String::new();
                let read = file.read_to_string(&mut line).ok();
                (Self(Some(file)), read.and_then(|_| Newest::of_line(&line)))
            }
            Err(error) => {
                tracing::warn!(error = ?error, "{NAME} can't be opened");
                (Self(None), None)
            }
        }
    }

    /// Says how far the database has come.
    pub fn say(&mut self, newest: Newest) {
        let Self(Some(file)) = self else { return };
        let written = file
            .seek(SeekFrom::Start(0))
            .and_then(|_| file.write_all(newest.line().as_bytes()));
        if let Err(error) = written {
            tracing::warn!(error = ?error, "{NAME} can't be written");
        }
    }
}
