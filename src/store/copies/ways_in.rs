//! Who may come in once a copy is put back: what was ended after it was made stays ended, and the
//! newer passphrase stays. Where the data that is replaced can't say, hardly anybody comes in.
//! Not here: the rows as they are written while the farm is served (`store::access`).

use std::fmt;
use std::path::Path;

use chrono::{DateTime, Utc};
use sqlx::{AssertSqlSafe, Connection, SqliteConnection};
use uuid::Uuid;

use super::super::{StoreError, connection, house};

/// Where those that were let in are written down.
const LET_IN: [&str; 2] = ["session", "share"];

/// What became of those that were let in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WaysIn {
    /// Whatever ended in the data that is replaced has ended.
    AsTheyWereLast,
    /// Nothing could say what has ended: every link has, and every phone but the keeper's is out.
    KeepersOnly,
}

impl fmt::Display for WaysIn {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let what = match self {
            Self::AsTheyWereLast => "Whoever was shut out since this copy was made stays out.",
            Self::KeepersOnly => {
                "Only the keeper's own phones. Helpers' phones need new codes, and shared pages new \
                 links: nothing tells who was shut out since this copy was made."
            }
        };
        write!(out, "{what} Look under House, Phones who is let in.")
    }
}

/// What the data that is replaced says of who may come in.
#[derive(Debug)]
pub(super) struct Replaced {
    passphrase: Option<(String, i64)>,
    /// For each table: what was ended, and when.
    ended: [Vec<(Uuid, i64)>; 2],
}

impl Replaced {
    /// Reads it, if it can be read and is of the same house.
    pub async fn read(database: &Path, server_id: Uuid) -> Option<Self> {
        if !database.exists() {
            return None;
        }
        match read(database, server_id).await {
            Ok(read) => read,
            Err(error) => {
                tracing::warn!(error = ?error, "what is replaced can't say who may come in");
                None
            }
        }
    }
}

async fn read(database: &Path, server_id: Uuid) -> Result<Option<Replaced>, StoreError> {
    let mut connection = connection::open_to_copy(database).await?;
    let read = read_from(&mut connection, server_id).await;
    connection.close().await?;
    read
}

async fn read_from(
    connection: &mut SqliteConnection,
    server_id: Uuid,
) -> Result<Option<Replaced>, StoreError> {
    if house(connection).await?.server_id != server_id {
        return Ok(None);
    }
    let [sessions, shares] = LET_IN;
    Ok(Some(Replaced {
        passphrase: sqlx::query_as("SELECT hash, set_at FROM passphrase")
            .fetch_optional(&mut *connection)
            .await?,
        ended: [
            ended_in(connection, sessions).await?,
            ended_in(connection, shares).await?,
        ],
    }))
}

async fn ended_in(
    connection: &mut SqliteConnection,
    table: &str,
) -> Result<Vec<(Uuid, i64)>, StoreError> {
    let sql = format!("SELECT id, ended_at FROM {table} WHERE ended_at IS NOT NULL");
    Ok(sqlx::query_as(AssertSqlSafe(sql))
        .fetch_all(connection)
        .await?)
}

/// Settles in a copy who may come in once it is put back.
pub(super) async fn settle(
    copy: &mut SqliteConnection,
    replaced: Option<Replaced>,
    now: DateTime<Utc>,
) -> Result<WaysIn, StoreError> {
    let is_there: bool = sqlx::query_scalar(
        "SELECT EXISTS (SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'session')",
    )
    .fetch_one(&mut *copy)
    .await?;
    if !is_there {
        // A copy from before anybody was let in: its tables come when it is started.
        return Ok(WaysIn::AsTheyWereLast);
    }
    let Some(replaced) = replaced else {
        for sql in [
            "UPDATE session SET ended_at = ? WHERE ended_at IS NULL AND role <> 'keeper'",
            "UPDATE share SET ended_at = ? WHERE ended_at IS NULL",
        ] {
            sqlx::query(sql)
                .bind(now.timestamp_millis())
                .execute(&mut *copy)
                .await?;
        }
        return Ok(WaysIn::KeepersOnly);
    };
    for (table, ended) in LET_IN.into_iter().zip(replaced.ended) {
        let sql = format!("UPDATE {table} SET ended_at = ? WHERE id = ? AND ended_at IS NULL");
        for (id, at) in ended {
            sqlx::query(AssertSqlSafe(sql.as_str()))
                .bind(at)
                .bind(id)
                .execute(&mut *copy)
                .await?;
        }
    }
    if let Some((hash, set_at)) = replaced.passphrase {
        sqlx::query(
            "INSERT INTO passphrase (one, hash, set_at) VALUES (1, ?1, ?2)
             ON CONFLICT (one) DO UPDATE SET hash = ?1, set_at = ?2 WHERE ?2 > set_at",
        )
        .bind(hash)
        .bind(set_at)
        .execute(copy)
        .await?;
    }
    Ok(WaysIn::AsTheyWereLast)
}
