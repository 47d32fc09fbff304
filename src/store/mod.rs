//! The store: SQLite, and the only floor with SQL. Types of `science` go in and come out.
//! One writer task owns the one writing connection; pages read through a few read-only ones.
//! Not here: parsing of typed text, pages, files of the data folder (`program::folder`).

mod access;
pub mod beside;
mod cards;
pub mod catalogue;
mod commits;
mod connection;
pub mod copies;
mod crop;
mod daybook;
mod drill;
pub mod error;
pub mod export;
mod helpers;
pub mod ledger;
mod newest;
mod phones;
mod places;
mod reach;
mod ripeness;
mod row;
mod sprays;
mod stand_in;
mod weather;

use std::path::Path;
use std::sync::Arc;

use chrono::{DateTime, NaiveDate, Utc};
use sqlx::{Sqlite, SqliteConnection, SqlitePool, Transaction};
use uuid::Uuid;

use access::KeyRing;
pub use access::{Keys, Secret, Session, Share};
use beside::{Damage, SideLog};
pub use cards::CardListed;
use commits::Commits;
pub use daybook::ClosedSeason;
pub use drill::Tried;
pub use error::StoreError;
use ledger::writer::{Committed, Note, Writer};
use ledger::{NewEntry, Receipt};
use newest::{Newest, SideFile};
pub use phones::{PhoneSeen, Told};
pub use places::BlockListed;
pub use ripeness::{InstrumentListed, Recent, RecentBag, SampleCame, SampleListed, SampleTaken};
pub use sprays::SprayListed;
use stand_in::StandIn;

/// A day before all that is written down. Days are kept as text, so that only years of four
/// digits compare rightly.
pub const FIRST_DAY: NaiveDate = day(1, 1, 1);
/// A day after all that is written down.
pub const LAST_DAY: NaiveDate = day(9999, 12, 31);

const fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    match NaiveDate::from_ymd_opt(year, month, day) {
        Some(date) => date,
        None => NaiveDate::MIN,
    }
}

/// A handle on one farm's database; cheap to clone.
#[derive(Clone)]
pub struct Store {
    readers: SqlitePool,
    writer: Writer,
    commits: Arc<Commits>,
    house: House,
    older_copy_put_back: bool,
    keys: KeyRing,
    damage: Damage,
    side_log: SideLog,
    stand_in: StandIn,
    /// When the copy was made that is read here instead.
    copy_of: Option<DateTime<Utc>>,
}

/// What the house knows of itself from its first start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct House {
    pub server_id: Uuid,
    pub db_epoch: Uuid,
}

impl House {
    /// Where neither the database nor the file beside it can say.
    const UNKNOWN: Self = Self {
        server_id: Uuid::nil(),
        db_epoch: Uuid::nil(),
    };
}

/// One consistent view of the database: all that is read through it belongs together.
pub struct Read {
    tx: Transaction<'static, Sqlite>,
}

impl Store {
    /// Opens the database, making or migrating it first. `now` marks a first start. A database that
    /// is an older copy of itself gets a new epoch, by which phones know to offer again what they
    /// sent.
    pub async fn open(path: &Path, now: DateTime<Utc>) -> Result<Self, StoreError> {
        refuse_emptied(path)?;
        let opened = connection::open_writer(path).await;
        let mut writing = opened.map_err(|error| damaged_if_ours(path, error))?;
        connection::prepare(&mut writing, now).await?;
        let (mut side_file, said) = SideFile::beside(path);
        let mut house = house(&mut writing).await?;
        let arrival_no = ledger::newest_arrival_no(&mut writing).await?;
        let here = Newest { house, arrival_no };
        let older_copy_put_back = said.is_some_and(|said| said.is_of_another_copy_than(here));
        if older_copy_put_back {
            house.db_epoch = ledger::new_id(now);
            begin_epoch(&mut writing, house.db_epoch).await?;
        }
        side_file.say(Newest { house, arrival_no });
        let readers = connection::open_readers(path).await?;
        let commits = Arc::new(Commits::default());
        let damage = Damage::default();
        let committed = Committed {
            commits: commits.clone(),
            side_file,
            house,
        };
        let writer = Writer::start(writing, path.to_owned(), committed, damage.clone());
        let keys = KeyRing::of(keys_of(&readers).await?);
        Ok(Self {
            readers,
            writer,
            commits,
            house,
            older_copy_put_back,
            keys,
            damage,
            side_log: SideLog::of(path),
            stand_in: StandIn::default(),
            copy_of: None,
        })
    }

    /// Opens a damaged database to read what can still be read of it. Nothing is written into it:
    /// entries go to the side log.
    pub async fn open_damaged(path: &Path, why: &str) -> Self {
        let readers = connection::open_damaged(path);
        let damage = Damage::default();
        damage.is(why);
        let said = newest::said_beside(path).map(|said| said.house);
        let store = Self {
            writer: Writer::none(damage.clone()),
            commits: Arc::default(),
            house: match house_of(&readers).await {
                Ok(house) => house,
                Err(_) => said.unwrap_or(House::UNKNOWN),
            },
            // What can't be read lets nobody in from the network; this computer opens as before there
            // was a passphrase.
            keys: KeyRing::of(keys_left(&readers).await),
            readers,
            older_copy_put_back: false,
            damage,
            side_log: SideLog::of(path),
            stand_in: StandIn::default(),
            copy_of: None,
        };
        store.open_side_log();
        store
    }

    /// Opens the database of a farm to look at it, also beside a program that writes into it.
    /// Nothing is migrated: a file of another Endpost is refused, with words.
    pub async fn look(path: &Path) -> Result<Look, StoreError> {
        Ok(Look {
            readers: connection::open_to_look(path).await?,
        })
    }

    /// The one door: writes the entry down and does what it says, or tells that it came before.
    pub async fn enter(&self, entry: NewEntry) -> Result<Receipt, StoreError> {
        self.writer.enter(entry).await
    }

    /// Takes in many entries in order, all or none: they are committed together.
    pub async fn enter_all(&self, entries: Vec<NewEntry>) -> Result<Vec<Receipt>, StoreError> {
        self.writer.enter_all(entries).await
    }

    /// Notes what a phone told of itself.
    pub async fn note(&self, told: Told) -> Result<(), StoreError> {
        self.writer.note(Note::Phone(told)).await
    }

    /// Who this house is. It never changes while the store is open.
    pub fn house(&self) -> House {
        self.house
    }

    /// Whether this start found an older copy of the database where a newer one had been.
    pub fn older_copy_put_back(&self) -> bool {
        self.older_copy_put_back
    }

    /// Counts commits of new entries since the start: what was worked out under one count holds until it moves.
    pub fn commits(&self) -> u64 {
        self.commits.all()
    }

    /// The same for commits that may have changed more than what is written down day by day.
    pub fn commits_to_the_ground(&self) -> u64 {
        self.commits.to_the_ground()
    }

    /// Brings what was measured last up to date, if that can be done without reading it again.
    pub fn bring_up_to_date(&self, recent: &mut Recent) -> bool {
        let Some(came) = self.commits.samples_after(recent.up_to()) else {
            return false;
        };
        for one in came {
            recent.add(&one);
        }
        true
    }

    /// Begins a consistent view.
    pub async fn read(&self) -> Result<Read, StoreError> {
        Ok(Read {
            tx: self.readers.begin().await?,
        })
    }

    /// Finishes what waits and closes the files.
    pub async fn close(self) {
        // The writer goes last: only it can fold the write-ahead log into the file.
        self.readers.close().await;
        self.writer.stop().await;
    }
}

/// A farm's database that is only looked at: for commands that must change nothing.
pub struct Look {
    readers: SqlitePool,
}

impl Look {
    /// Begins a consistent view.
    pub async fn read(&self) -> Result<Read, StoreError> {
        Ok(Read {
            tx: self.readers.begin().await?,
        })
    }

    pub async fn close(self) {
        self.readers.close().await;
    }
}

impl Read {
    /// Whether nothing but the demo ever entered anything.
    pub async fn holds_only_demo(&mut self) -> Result<bool, StoreError> {
        Ok(
            sqlx::query_scalar("SELECT NOT EXISTS (SELECT 1 FROM ledger WHERE source <> 'demo')")
                .fetch_one(&mut *self.tx)
                .await?,
        )
    }
}

/// SQLite takes an empty file for a new database: entries would go into an empty farm.
fn refuse_emptied(path: &Path) -> Result<(), StoreError> {
    let is_empty = path.metadata().is_ok_and(|file| file.len() == 0);
    let had_entries = newest::said_beside(path).is_some_and(|said| said.arrival_no > 0);
    match is_empty && had_entries {
        true => Err(StoreError::Damaged("the file is empty".to_owned())),
        false => Ok(()),
    }
}

/// A file that is no database any more, where ours lay as the file beside it says.
fn damaged_if_ours(path: &Path, error: StoreError) -> StoreError {
    match error {
        StoreError::Foreign(_) if newest::said_beside(path).is_some() => {
            StoreError::Damaged("its beginning can't be read".to_owned())
        }
        error => error,
    }
}

async fn house_of(readers: &SqlitePool) -> Result<House, StoreError> {
    house(&mut *readers.acquire().await?).await
}

async fn keys_of(readers: &SqlitePool) -> Result<Keys, StoreError> {
    let tx = readers.begin().await?;
    access::keys(&mut Read { tx }).await
}

async fn keys_left(readers: &SqlitePool) -> Keys {
    match readers.begin().await {
        Ok(tx) => access::keys_left(&mut Read { tx }).await,
        Err(_) => Keys::unreadable(),
    }
}

async fn house(connection: &mut SqliteConnection) -> Result<House, StoreError> {
    let (server_id, db_epoch) = sqlx::query_as("SELECT server_id, db_epoch FROM house")
        .fetch_one(connection)
        .await?;
    Ok(House {
        server_id,
        db_epoch,
    })
}

async fn begin_epoch(connection: &mut SqliteConnection, epoch: Uuid) -> Result<(), StoreError> {
    sqlx::query("UPDATE house SET db_epoch = ?")
        .bind(epoch)
        .execute(connection)
        .await?;
    Ok(())
}
