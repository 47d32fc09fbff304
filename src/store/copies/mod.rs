//! Copies of the database: one whole file made from a consistent view, looked into again before
//! anybody relies on it; and the file that is put back, which begins an epoch of its own.
//! Not here: where copies lie, what they are called, how many are kept (`program::copies`).

mod ways_in;

use std::collections::BTreeMap;
use std::path::Path;

use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use sqlx::{AssertSqlSafe, Connection, SqliteConnection};

pub use ways_in::WaysIn;

use super::newest::{Newest, SideFile};
use super::{House, Store, StoreError, begin_epoch, connection, house, ledger, newest};
use super::{damaged_if_ours, refuse_emptied};
use crate::science::zone::farm_zone;
use ways_in::{Replaced, settle};

/// So often a copy is made anew because entries came in between; then what can't have changed is
/// compared.
const TRIES: usize = 3;

/// What a database file holds, as far as two of them can be compared by it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contents {
    pub house: House,
    /// The version of its tables.
    pub schema: i64,
    pub entries: i64,
    /// The farm's time zone.
    pub zone: Tz,
    newest: i64,
    /// Every table with its rows.
    rows: BTreeMap<String, i64>,
}

impl Contents {
    /// How far its ledger had come: of two copies of one epoch that of the greater one is the newer,
    /// whatever clocks showed when they were made. Epochs sort by when they began.
    pub fn how_far(&self) -> (i64, i64) {
        (self.newest, self.entries)
    }
}

/// How many entries came in after a copy was made, as the file beside the database tells; none where
/// it tells nothing of them.
pub fn came_after(database: &Path, copy: &Contents) -> Option<i64> {
    let said = newest::said_beside(database)?;
    let more = said.arrival_no - copy.newest;
    (said.house == copy.house && more > 0).then_some(more)
}

/// Copies the whole database into a new file, as it is at one moment, also while a program writes
/// into it, and looks into the copy: it is sound, and it holds what the database holds.
pub async fn copy(database: &Path, into: &Path) -> Result<Contents, StoreError> {
    let mut source = connection::open_to_copy(database).await?;
    let made = copy_from(&mut source, into).await;
    source.close().await?;
    made
}

async fn copy_from(source: &mut SqliteConnection, into: &Path) -> Result<Contents, StoreError> {
    connection::refuse_foreign_or_newer(source).await?;
    let mut tries = 1;
    loop {
        let before = version_of_data(source).await?;
        let here = contents(source).await?;
        sqlx::query("VACUUM INTO ?")
            .bind(into.to_string_lossy().into_owned())
            .execute(&mut *source)
            .await?;
        let copied = look_into(into).await?;
        if version_of_data(source).await? == before {
            return same(&here, copied);
        }
        if tries == TRIES {
            let up_to_there = entries_up_to(source, copied.newest).await?;
            return match up_to_there == copied.entries {
                true => Ok(copied),
                false => Err(unlike("ledger", up_to_there, Some(copied.entries))),
            };
        }
        tries += 1;
        std::fs::remove_file(into).map_err(|error| StoreError::Database(error.into()))?;
    }
}

/// Looks into a copy: it is an Endpost database that this program knows, SQLite finds no fault in
/// it, and every row that names another finds it.
pub async fn look_into(file: &Path) -> Result<Contents, StoreError> {
    let mut connection = connection::open_alone(file).await?;
    let found = looked_into(&mut connection).await;
    connection.close().await?;
    found
}

async fn looked_into(connection: &mut SqliteConnection) -> Result<Contents, StoreError> {
    connection::refuse_foreign_or_newer(connection).await?;
    if connection::schema(connection).await? == 0 {
        return Err(StoreError::foreign());
    }
    let faults = faults_of(connection).await?;
    if let Some(fault) = faults.first() {
        return Err(StoreError::Damaged(fault.clone()));
    }
    contents(connection).await
}

/// All that SQLite itself finds wrong in a file, and rows that name others which are not there.
pub(super) async fn faults_of(
    connection: &mut SqliteConnection,
) -> Result<Vec<String>, StoreError> {
    let told: Vec<String> = sqlx::query_scalar("PRAGMA integrity_check")
        .fetch_all(&mut *connection)
        .await?;
    let mut faults: Vec<String> = told.into_iter().filter(|line| line != "ok").collect();
    let loose: Vec<String> = sqlx::query_scalar("SELECT \"table\" FROM pragma_foreign_key_check")
        .fetch_all(connection)
        .await?;
    let loose = loose
        .into_iter()
        .map(|table| format!("{table}: a row points to one that is not there"));
    faults.extend(loose);
    Ok(faults)
}

impl Store {
    /// SQLite's full look at the file as it is served; what is wrong, in words.
    pub async fn faults(&self) -> Result<Vec<String>, StoreError> {
        faults_of(&mut self.read().await?.tx).await
    }
}

/// Moves whenever another connection has committed.
async fn version_of_data(connection: &mut SqliteConnection) -> Result<i64, StoreError> {
    Ok(sqlx::query_scalar("PRAGMA data_version")
        .fetch_one(connection)
        .await?)
}

async fn contents(connection: &mut SqliteConnection) -> Result<Contents, StoreError> {
    let mut tx = connection.begin().await?;
    let names: Vec<String> = sqlx::query_scalar(
        "SELECT name FROM sqlite_schema
         WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'",
    )
    .fetch_all(&mut *tx)
    .await?;
    let mut rows = BTreeMap::new();
    for name in names {
        let sql = format!("SELECT count(*) FROM \"{}\"", name.replace('"', "\"\""));
        let count = sqlx::query_scalar(AssertSqlSafe(sql))
            .fetch_one(&mut *tx)
            .await?;
        rows.insert(name, count);
    }
    let zone: Option<String> = sqlx::query_scalar("SELECT zone FROM farm")
        .fetch_optional(&mut *tx)
        .await?;
    Ok(Contents {
        house: house(&mut tx).await?,
        schema: connection::schema(&mut tx).await?,
        entries: rows.get("ledger").copied().unwrap_or_default(),
        zone: farm_zone(zone.as_deref()),
        newest: ledger::newest_arrival_no(&mut tx).await?,
        rows,
    })
}

async fn entries_up_to(
    connection: &mut SqliteConnection,
    arrival_no: i64,
) -> Result<i64, StoreError> {
    Ok(
        sqlx::query_scalar("SELECT count(*) FROM ledger WHERE arrival_no <= ?")
            .bind(arrival_no)
            .fetch_one(connection)
            .await?,
    )
}

fn same(here: &Contents, copied: Contents) -> Result<Contents, StoreError> {
    for (table, rows) in &here.rows {
        let there = copied.rows.get(table).copied();
        if there != Some(*rows) {
            return Err(unlike(table, *rows, there));
        }
    }
    Ok(copied)
}

fn unlike(table: &str, here: i64, there: Option<i64>) -> StoreError {
    let there = there.map_or_else(|| "none".to_owned(), |rows| rows.to_string());
    StoreError::Unlike(format!("{table} has {here} rows, and {there} in the copy"))
}

/// Makes a file ready to be put in the place of a farm's database: it begins an epoch, by which
/// phones know to offer again what they sent, and lets nobody in who was shut out in what it
/// replaces. What the file held is told.
pub async fn begin_anew(
    file: &Path,
    replaced: &Path,
    now: DateTime<Utc>,
) -> Result<(Contents, WaysIn), StoreError> {
    let mut connection = connection::open_to_put_back(file).await?;
    let begun = begun(&mut connection, replaced, now).await;
    connection.close().await?;
    begun
}

async fn begun(
    connection: &mut SqliteConnection,
    replaced: &Path,
    now: DateTime<Utc>,
) -> Result<(Contents, WaysIn), StoreError> {
    let found = looked_into(connection).await?;
    let replaced = Replaced::read(replaced, found.house.server_id).await;
    let db_epoch = ledger::new_id(now);
    let mut tx = connection.begin().await?;
    begin_epoch(&mut tx, db_epoch).await?;
    let ways_in = settle(&mut tx, replaced, now).await?;
    tx.commit().await?;
    let house = House {
        db_epoch,
        ..found.house
    };
    Ok((Contents { house, ..found }, ways_in))
}

/// From now on the side file speaks of the database that was put back, so that the next start
/// takes it for what it should find.
pub fn mark_put_back(database: &Path, put_back: &Contents) {
    let (mut side_file, _) = SideFile::beside(database);
    side_file.say(Newest {
        house: put_back.house,
        arrival_no: put_back.newest,
    });
}

/// Brings what lies in the write-ahead log beside a database into the file itself, so that the file
/// alone is whole.
pub async fn fold(database: &Path) -> Result<(), StoreError> {
    let mut connection = connection::open_to_put_back(database).await?;
    let folded = sqlx::query("PRAGMA journal_mode = DELETE")
        .execute(&mut connection)
        .await;
    connection.close().await?;
    folded?;
    Ok(())
}

/// What can be said of a database without opening it for good.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Health {
    pub house: House,
    pub entries: i64,
    /// The newest moment at which an entry came.
    pub latest: Option<DateTime<Utc>>,
    /// Its tables are those of an older program.
    pub is_older: bool,
}

/// Looks at a database, also beside a program that serves it: what would be refused is refused, and
/// nothing is changed.
pub async fn health(database: &Path) -> Result<Health, StoreError> {
    refuse_emptied(database)?;
    let found = connection::open_unchanged(database).await;
    let mut connection = found.map_err(|error| damaged_if_ours(database, error))?;
    let health = health_of(&mut connection).await;
    connection.close().await?;
    health
}

async fn health_of(connection: &mut SqliteConnection) -> Result<Health, StoreError> {
    let schema = connection::schema(connection).await?;
    if schema == 0 {
        return Err(StoreError::foreign());
    }
    let latest: Option<i64> = sqlx::query_scalar("SELECT max(received_at) FROM ledger")
        .fetch_one(&mut *connection)
        .await?;
    Ok(Health {
        house: house(connection).await?,
        entries: sqlx::query_scalar("SELECT count(*) FROM ledger")
            .fetch_one(connection)
            .await?,
        latest: latest.and_then(DateTime::from_timestamp_millis),
        is_older: connection::after(schema).is_some(),
    })
}

/// How a database stands to this program, before it is opened for good.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// There is none yet.
    New,
    /// Its tables are those of this program.
    Current,
    /// Its tables are older: starting changes them, and this is the first change.
    Older { next: i64 },
}

/// Looks how a database stands; what is wrong with it is for its opening to say.
pub async fn standing(database: &Path) -> Result<Standing, StoreError> {
    if !database.exists() {
        return Ok(Standing::New);
    }
    let mut connection = connection::open_to_copy(database).await?;
    let standing = standing_of(&mut connection).await;
    connection.close().await?;
    standing
}

async fn standing_of(connection: &mut SqliteConnection) -> Result<Standing, StoreError> {
    let schema = connection::schema(connection).await?;
    // A first start that was cut short has some tables and no house: nobody has entered anything.
    if schema == 0 || !has_house(connection).await? {
        return Ok(Standing::New);
    }
    Ok(match connection::after(schema) {
        Some(next) => Standing::Older { next },
        None => Standing::Current,
    })
}

async fn has_house(connection: &mut SqliteConnection) -> Result<bool, StoreError> {
    Ok(sqlx::query_scalar("SELECT EXISTS (SELECT 1 FROM house)")
        .fetch_one(connection)
        .await?)
}
