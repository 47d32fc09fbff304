//! How the database file is opened: one connection that writes durably, a few that only read.
//! Not here: what is written (`ledger`) and where the file lies (`program::folder`).

use std::path::Path;
use std::time::Duration;

use chrono::{DateTime, Utc};
use sqlx::migrate::{MigrateError, Migrator};
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{ConnectOptions, Connection, Row, SqliteConnection, SqlitePool};

use super::{StoreError, ledger};

static MIGRATIONS: Migrator = sqlx::migrate!("./migrations");

/// Marks the file as Endpost's ("ENDP" in ASCII).
const APPLICATION_ID: i64 = 0x454E_4450;
const OLDEST_SQLITE: (u32, u32, u32) = (3, 51, 3);
const READERS: u32 = 4;

fn options(path: &Path) -> SqliteConnectOptions {
    common(path)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .pragma("fullfsync", "ON")
        .pragma("checkpoint_fullfsync", "ON")
}

/// For a file that is only looked at: nothing is said that SQLite would write down in it.
fn looking(path: &Path) -> SqliteConnectOptions {
    common(path).read_only(true).pragma("query_only", "ON")
}

fn common(path: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(path)
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(10))
        .pragma("trusted_schema", "OFF")
        .pragma("cell_size_check", "ON")
        .disable_statement_logging()
}

/// The one connection that writes: a phone is told "stored" only after a full sync. A file that
/// is there already is looked at first, since opening it to write changes how it keeps its journal.
pub async fn open_writer(path: &Path) -> Result<SqliteConnection, StoreError> {
    if path.exists() {
        end_what_was_cut_short(path).await?;
        let mut connection = looking(path).connect().await?;
        let seen = refuse_unfit(&mut connection).await;
        connection.close().await?;
        seen?;
    }
    Ok(to_write(path).create_if_missing(true).connect().await?)
}

/// A first start that was cut short before the file had its write-ahead log left a journal beside it,
/// which only a connection that may write can roll back.
async fn end_what_was_cut_short(path: &Path) -> Result<(), StoreError> {
    let mut journal = path.as_os_str().to_owned();
    journal.push("-journal");
    if !Path::new(&journal).exists() {
        return Ok(());
    }
    let mut connection = common(path).connect().await?;
    let read: Result<i64, sqlx::Error> = sqlx::query_scalar("SELECT count(*) FROM sqlite_schema")
        .fetch_one(&mut connection)
        .await;
    connection.close().await?;
    // What is wrong with the file is said when it is looked at.
    drop(read);
    Ok(())
}

/// A connection that looks whether the file would be opened, and leaves no trace beside it.
pub async fn open_unchanged(path: &Path) -> Result<SqliteConnection, StoreError> {
    let mut log = path.as_os_str().to_owned();
    log.push("-wal");
    // Without a log nobody has it open, and it can be read as it lies.
    let has_log = Path::new(&log).exists();
    let mut connection = looking(path).immutable(!has_log).connect().await?;
    refuse_unfit(&mut connection).await?;
    Ok(connection)
}

/// Reads every page of a file that is in use, and afresh: what a connection remembers of it may be
/// sound still.
pub async fn look_for_damage(path: &Path) -> Result<(), StoreError> {
    let mut connection = looking(path).connect().await?;
    let looked = refuse_damaged(&mut connection).await;
    connection.close().await?;
    looked
}

fn to_write(path: &Path) -> SqliteConnectOptions {
    options(path)
        .optimize_on_close(true, None)
        // Entries that go in together make another text for each number of them.
        .statement_cache_capacity(128)
}

/// Another connection that writes, in place of one that failed.
pub async fn reopen_writer(path: &Path) -> Result<SqliteConnection, StoreError> {
    Ok(to_write(path).connect().await?)
}

/// The connections that read; a write through them fails.
pub async fn open_readers(path: &Path) -> Result<SqlitePool, StoreError> {
    Ok(SqlitePoolOptions::new()
        .max_connections(READERS)
        .connect_with(options(path).read_only(true).pragma("query_only", "ON"))
        .await?)
}

/// Connections to a damaged file, to read what can still be read. None is opened before it is needed.
pub fn open_damaged(path: &Path) -> SqlitePool {
    SqlitePoolOptions::new()
        .max_connections(READERS)
        .connect_lazy_with(looking(path))
}

/// Connections that look at a farm's file as it is: nothing is made, migrated or marked.
pub async fn open_to_look(path: &Path) -> Result<SqlitePool, StoreError> {
    checked(looking(path)).await
}

/// Connections that show a copy, which lies still: nothing is made beside it.
pub async fn open_to_show(copy: &Path) -> Result<SqlitePool, StoreError> {
    checked(looking(copy).immutable(true)).await
}

async fn checked(options: SqliteConnectOptions) -> Result<SqlitePool, StoreError> {
    let pool = SqlitePoolOptions::new()
        .max_connections(READERS)
        .connect_with(options)
        .await?;
    let mut connection = pool.acquire().await?;
    refuse_foreign_or_newer(&mut connection).await?;
    refuse_older_schema(&mut connection).await?;
    drop(connection);
    Ok(pool)
}

/// A connection that a copy is made through. It reads, and `query_only` would forbid the copy too.
pub async fn open_to_copy(path: &Path) -> Result<SqliteConnection, StoreError> {
    Ok(common(path).read_only(true).connect().await?)
}

/// A connection to a file that lies still and alone: nothing is made beside it.
pub async fn open_alone(path: &Path) -> Result<SqliteConnection, StoreError> {
    Ok(looking(path).immutable(true).connect().await?)
}

/// A connection that writes into a file which nobody serves.
pub async fn open_to_put_back(path: &Path) -> Result<SqliteConnection, StoreError> {
    Ok(common(path)
        .synchronous(SqliteSynchronous::Full)
        .connect()
        .await?)
}

/// An empty database in memory with the same tables, for the replay of `check`.
pub async fn open_in_memory(now: DateTime<Utc>) -> Result<SqliteConnection, StoreError> {
    let mut connection = SqliteConnectOptions::new()
        .in_memory(true)
        .foreign_keys(true)
        .disable_statement_logging()
        .connect()
        .await?;
    prepare(&mut connection, now).await?;
    Ok(connection)
}

/// Looks whether the file is ours, migrates it, and gives a new one its identity.
pub async fn prepare(
    connection: &mut SqliteConnection,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    refuse_old_sqlite(connection).await?;
    refuse_foreign_or_newer(connection).await?;
    sqlx::query("PRAGMA application_id = 0x454E4450")
        .execute(&mut *connection)
        .await?;
    MIGRATIONS.run(&mut *connection).await?;
    let mut tx = connection.begin().await?;
    sqlx::query(
        "INSERT INTO house (one, server_id, db_epoch, created_at) VALUES (1, ?, ?, ?)
         ON CONFLICT DO NOTHING",
    )
    .bind(ledger::new_id(now))
    .bind(ledger::new_id(now))
    .bind(now.timestamp_millis())
    .execute(&mut *tx)
    .await?;
    tx.commit().await?;
    Ok(())
}

async fn refuse_old_sqlite(connection: &mut SqliteConnection) -> Result<(), StoreError> {
    let version: String = sqlx::query("SELECT sqlite_version()")
        .fetch_one(connection)
        .await?
        .try_get(0)?;
    let mut parts = version.split('.').map(|part| part.parse().unwrap_or(0));
    let mut next = || parts.next().unwrap_or(0);
    if (next(), next(), next()) < OLDEST_SQLITE {
        return Err(StoreError::OldSqlite(version));
    }
    Ok(())
}

async fn refuse_unfit(connection: &mut SqliteConnection) -> Result<(), StoreError> {
    refuse_foreign_or_newer(connection).await?;
    refuse_damaged(connection).await
}

/// SQLite's quick look at every page. A damaged file gets worse when it is written on.
async fn refuse_damaged(connection: &mut SqliteConnection) -> Result<(), StoreError> {
    let told: Vec<String> = sqlx::query_scalar("PRAGMA quick_check(3)")
        .fetch_all(connection)
        .await?;
    match told.as_slice() {
        [fine] if fine == "ok" => Ok(()),
        faults => Err(StoreError::Damaged(faults.join("; "))),
    }
}

pub(super) async fn refuse_foreign_or_newer(
    connection: &mut SqliteConnection,
) -> Result<(), StoreError> {
    refuse_foreign_file(connection).await?;
    match applied(connection).await?.last() {
        Some(found) if found.version > newest_known() => Err(StoreError::Newer {
            found: found.version,
            known: newest_known(),
        }),
        _ => Ok(()),
    }
}

async fn refuse_foreign_file(connection: &mut SqliteConnection) -> Result<(), StoreError> {
    let found: i64 = sqlx::query("PRAGMA application_id")
        .fetch_one(&mut *connection)
        .await?
        .try_get(0)?;
    let tables: i64 = sqlx::query("SELECT count(*) FROM sqlite_schema")
        .fetch_one(&mut *connection)
        .await?
        .try_get(0)?;
    match (found, tables) {
        (APPLICATION_ID, _) | (0, 0) => Ok(()),
        _ => Err(StoreError::foreign()),
    }
}

/// A schema that is not quite ours can't be read, and whoever only looks does not migrate.
async fn refuse_older_schema(connection: &mut SqliteConnection) -> Result<(), StoreError> {
    let applied = applied(connection).await?;
    for one in MIGRATIONS.iter() {
        match applied.iter().find(|found| found.version == one.version) {
            Some(found) if found.checksum == *one.checksum => {}
            Some(_) => return Err(MigrateError::VersionMismatch(one.version).into()),
            None => {
                return Err(StoreError::Older {
                    found: applied.last().map_or(0, |newest| newest.version),
                    known: newest_known(),
                });
            }
        }
    }
    Ok(())
}

/// The version of a file's tables; 0 for a file without any.
pub(super) async fn schema(connection: &mut SqliteConnection) -> Result<i64, StoreError> {
    let applied = applied(connection).await?;
    Ok(applied.last().map_or(0, |newest| newest.version))
}

/// The first migration after a version.
pub(super) fn after(version: i64) -> Option<i64> {
    let versions = MIGRATIONS.iter().map(|one| one.version);
    versions.filter(|one| *one > version).min()
}

fn newest_known() -> i64 {
    MIGRATIONS.iter().map(|one| one.version).max().unwrap_or(0)
}

#[derive(sqlx::FromRow)]
struct Applied {
    version: i64,
    checksum: Vec<u8>,
}

/// The migrations the file has gone through, the newest last.
async fn applied(connection: &mut SqliteConnection) -> Result<Vec<Applied>, StoreError> {
    let migrated: bool = sqlx::query_scalar(
        "SELECT EXISTS (SELECT 1 FROM sqlite_schema WHERE name = '_sqlx_migrations')",
    )
    .fetch_one(&mut *connection)
    .await?;
    if !migrated {
        return Ok(Vec::new());
    }
    Ok(
        sqlx::query_as("SELECT version, checksum FROM _sqlx_migrations ORDER BY version")
            .fetch_all(connection)
            .await?,
    )
}
