//! How the database file is opened: one connection that writes durably, a few that only read.
//! Not here: what is written (`ledger`) and where the file lies (`program::folder`).

use std::path::Path;
use std::time::Duration;

use chrono::{DateTime, Utc};
use sqlx::migrate::Migrator;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{ConnectOptions, Connection, Row, SqliteConnection, SqlitePool};

use super::{StoreError, ledger};

static MIGRATIONS: Migrator = sqlx::migrate!("./migrations");

/// Marks the file as Endpost's ("ENDP" in ASCII).
const APPLICATION_ID: i64 = 0x454E_4450;
const OLDEST_SQLITE: (u32, u32, u32) = (3, 51, 3);
const READERS: u32 = 4;

fn options(path: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(path)
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(10))
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .pragma("trusted_schema", "OFF")
        .pragma("cell_size_check", "ON")
        .pragma("fullfsync", "ON")
        .pragma("checkpoint_fullfsync", "ON")
        .disable_statement_logging()
}

/// The one connection that writes: a phone is told "stored" only after a full sync.
pub async fn open_writer(path: &Path) -> Result<SqliteConnection, StoreError> {
    Ok(options(path)
        .create_if_missing(true)
        .optimize_on_close(true, None)
        .connect()
        .await?)
}

/// The connections that read; a write through them fails.
pub async fn open_readers(path: &Path) -> Result<SqlitePool, StoreError> {
    Ok(SqlitePoolOptions::new()
        .max_connections(READERS)
        .connect_with(options(path).read_only(true).pragma("query_only", "ON"))
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

/// Looks whether the file is ours and sound, migrates it, and gives a new one its identity.
pub async fn prepare(
    connection: &mut SqliteConnection,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    refuse_old_sqlite(connection).await?;
    refuse_foreign_file(connection).await?;
    refuse_newer_schema(connection).await?;
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
        (APPLICATION_ID, _) => Ok(()),
        (0, 0) => {
            sqlx::query("PRAGMA application_id = 0x454E4450")
                .execute(connection)
                .await?;
            Ok(())
        }
        _ => Err(StoreError::Foreign("this file".to_owned())),
    }
}

async fn refuse_newer_schema(connection: &mut SqliteConnection) -> Result<(), StoreError> {
    let migrated: i64 =
        sqlx::query("SELECT count(*) FROM sqlite_schema WHERE name = '_sqlx_migrations'")
            .fetch_one(&mut *connection)
            .await?
            .try_get(0)?;
    if migrated == 0 {
        return Ok(());
    }
    let found: i64 = sqlx::query("SELECT coalesce(max(version), 0) FROM _sqlx_migrations")
        .fetch_one(connection)
        .await?
        .try_get(0)?;
    let known = MIGRATIONS.iter().map(|one| one.version).max().unwrap_or(0);
    if found > known {
        return Err(StoreError::Newer { found, known });
    }
    Ok(())
}
