//! Copies of a farm's files at an instant, as a power cut leaves them, and what lies in a copy.
//! Not here: when they are made (`phones::power_cut`).

use std::collections::BTreeSet;
use std::path::Path;

use endpost::clock::Clock;
use endpost::store::Store;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection};
use tempfile::TempDir;
use uuid::Uuid;

/// The entries that were answered, and which of them were taken back.
#[derive(Clone, Debug, Default)]
pub struct Answered {
    pub entries: BTreeSet<Uuid>,
    pub taken_back: BTreeSet<Uuid>,
}

/// The three files of a farm's data. The log is SQLite's write-ahead log.
#[derive(Clone)]
pub struct Copy {
    database: Vec<u8>,
    pub log: Vec<u8>,
    newest: Vec<u8>,
}

const FILES: [&str; 3] = ["endpost.db", "endpost.db-wal", "endpost.newest"];
/// A log begins with 32 bytes, and each page in it with 24 (sqlite.org/fileformat2.html, 4.1, 4.2).
const HEAD: usize = 32;
const HEAD_OF_PAGE: usize = 24;

impl Copy {
    pub fn of(folder: &Path) -> Self {
        let [database, log, newest] =
            FILES.map(|name| std::fs::read(folder.join(name)).unwrap_or_else(|_| panic!("{name}")));
        Self {
            database,
            log,
            newest,
        }
    }

    /// The copy in a folder of its own.
    pub fn laid_out(&self) -> TempDir {
        let folder = tempfile::tempdir().expect("a temporary folder");
        for (name, bytes) in FILES.iter().zip([&self.database, &self.log, &self.newest]) {
            std::fs::write(folder.path().join(name), bytes).expect(name);
        }
        folder
    }

    /// The numbers that change whenever the log begins anew.
    fn salts(&self) -> &[u8] {
        self.log.get(16..24).unwrap_or_default()
    }

    /// How many bytes of the log are committed: up to the last page that ends a commit.
    pub fn committed(&self) -> usize {
        let four = |at: usize| {
            let bytes: [u8; 4] = self.log[at..at + 4].try_into().expect("four bytes");
            u32::from_be_bytes(bytes) as usize
        };
        if self.log.len() < HEAD {
            return 0;
        }
        let step = HEAD_OF_PAGE + four(8);
        let (mut at, mut committed) = (HEAD, HEAD);
        while at + step <= self.log.len() && &self.log[at + 8..at + 16] == self.salts() {
            let ends_a_commit = four(at + 4) != 0;
            at += step;
            if ends_a_commit {
                committed = at;
            }
        }
        committed
    }

    /// Whether a later copy's log goes on where this one's ended.
    pub fn goes_on_in(&self, later: &Self) -> bool {
        self.salts() == later.salts() && self.committed() < later.log.len()
    }

    /// The files as they are when the power goes out while the log grows from this copy's to a
    /// later one's: so many bytes of it arrived on the disk, and beyond them whatever lay there.
    pub fn cut_on_the_way_to(&self, later: &Self, bytes: usize, beyond: &[u8]) -> Self {
        Self {
            log: [&later.log[..bytes], beyond].concat(),
            ..self.clone()
        }
    }
}

/// Holds that the copy in a folder opens as the house it was, is sound, and has all that was
/// answered; how many entries it has.
pub async fn has_it_all(folder: &Path, answered: &Answered) -> usize {
    let path = folder.join("endpost.db");
    let now = Clock::of_this_machine().now();
    let store = Store::open(&path, now).await.expect("a sound database");
    assert!(
        !store.older_copy_put_back(),
        "the side file was ahead of it"
    );
    store.close().await;
    let options = SqliteConnectOptions::new().filename(&path).read_only(true);
    let mut connection = options.connect().await.expect("a file");
    let sound: Vec<String> = sqlx::query_scalar("PRAGMA integrity_check")
        .fetch_all(&mut connection)
        .await
        .expect("SQLite's own look");
    assert_eq!(sound, ["ok"]);
    let loose = sqlx::query("PRAGMA foreign_key_check")
        .fetch_all(&mut connection)
        .await
        .expect("SQLite's own look");
    assert_eq!(loose.len(), 0, "rows point to none");
    let here: BTreeSet<Uuid> = of_ledger(&mut connection, "SELECT id FROM ledger").await;
    let lost: Vec<&Uuid> = answered.entries.difference(&here).collect();
    assert!(lost.is_empty(), "lost: {lost:?}");
    let void = "SELECT id FROM ledger WHERE state = 'void'";
    let void = of_ledger(&mut connection, void).await;
    let still: Vec<&Uuid> = answered.taken_back.difference(&void).collect();
    assert!(still.is_empty(), "taken back and still in force: {still:?}");
    connection.close().await.expect("an end");
    here.len()
}

async fn of_ledger(connection: &mut sqlx::SqliteConnection, sql: &'static str) -> BTreeSet<Uuid> {
    let ids: Vec<Uuid> = sqlx::query_scalar(sql)
        .fetch_all(connection)
        .await
        .expect("the ledger");
    ids.into_iter().collect()
}

/// Holds that the record tables of a database are what its ledger comes to.
pub async fn replays(folder: &Path) {
    let now = Clock::of_this_machine().now();
    let store = Store::open(&folder.join("endpost.db"), now).await;
    let store = store.expect("a sound database");
    let found = store.check().await.expect("a check");
    assert_eq!(found.faults, Vec::<String>::new());
    store.close().await;
}
