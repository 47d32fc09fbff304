//! What opens the door, in the database: its changes, and reading it whole.
//! Not here: what is held in memory (`keys`).

use chrono::{DateTime, Utc};
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::keys::{Keys, SecretHash, Session, Share};
use crate::science::access::{Role, Shows};
use crate::store::{Read, StoreError, row};

/// A change of what opens the door, or of what phones are called.
pub(crate) enum Change {
    Passphrase {
        hash: String,
        at: DateTime<Utc>,
    },
    SessionBegins(Session),
    SessionEnds {
        id: Uuid,
        at: DateTime<Utc>,
    },
    SessionSeen {
        id: Uuid,
        device: Uuid,
        at: DateTime<Utc>,
    },
    ShareBegins(Share),
    ShareEnds {
        id: Uuid,
        at: DateTime<Utc>,
    },
    ShareUsed {
        id: Uuid,
        at: DateTime<Utc>,
    },
    PhoneCalled {
        device: Uuid,
        called: Option<String>,
    },
    PhoneSameAs {
        device: Uuid,
        other: Option<Uuid>,
    },
}

pub(in crate::store) async fn change(
    connection: &mut SqliteConnection,
    change: Change,
) -> Result<(), StoreError> {
    let ms = |at: DateTime<Utc>| at.timestamp_millis();
    let statement = match change {
        Change::Passphrase { hash, at } => sqlx::query(
            "INSERT INTO passphrase (one, hash, set_at) VALUES (1, ?1, ?2)
             ON CONFLICT (one) DO UPDATE SET hash = ?1, set_at = ?2",
        )
        .bind(hash)
        .bind(ms(at)),
        Change::SessionBegins(one) => {
            known_device(connection, one.device, one.began_at).await?;
            sqlx::query(
                "INSERT INTO session (id, secret_hash, role, person, device, began_at, last_seen,
                   ends_at, ended_at) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, NULL)
                 ON CONFLICT (id) DO UPDATE SET secret_hash = ?2, role = ?3, person = ?4,
                   device = ?5, began_at = ?6, last_seen = ?7, ends_at = ?8, ended_at = NULL",
            )
            .bind(one.id)
            .bind(one.secret_hash.to_vec())
            .bind(one.role.word())
            .bind(one.person)
            .bind(one.device)
            .bind(ms(one.began_at))
            .bind(ms(one.last_seen))
            .bind(ms(one.ends_at))
        }
        Change::SessionEnds { id, at } => {
            sqlx::query("UPDATE session SET ended_at = ? WHERE id = ? AND ended_at IS NULL")
                .bind(ms(at))
                .bind(id)
        }
        Change::SessionSeen { id, device, at } => {
            known_device(connection, device, at).await?;
            sqlx::query("UPDATE session SET last_seen = max(last_seen, ?), device = ? WHERE id = ?")
                .bind(ms(at))
                .bind(device)
                .bind(id)
        }
        Change::ShareBegins(one) => sqlx::query(
            "INSERT INTO share (id, secret_hash, path, title, names, costs, made_at, ends_at)
             VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        )
        .bind(one.id)
        .bind(one.secret_hash.to_vec())
        .bind(one.path)
        .bind(one.title)
        .bind(one.shows.names)
        .bind(one.shows.costs)
        .bind(ms(one.made_at))
        .bind(ms(one.ends_at)),
        Change::ShareEnds { id, at } => {
            sqlx::query("UPDATE share SET ended_at = ? WHERE id = ? AND ended_at IS NULL")
                .bind(ms(at))
                .bind(id)
        }
        Change::ShareUsed { id, at } => sqlx::query("UPDATE share SET last_used = ? WHERE id = ?")
            .bind(ms(at))
            .bind(id),
        Change::PhoneCalled { device, called } => {
            sqlx::query("UPDATE device SET called = ? WHERE id = ?")
                .bind(called)
                .bind(device)
        }
        Change::PhoneSameAs { device, other } => {
            sqlx::query("UPDATE device SET same_as = ? WHERE id = ?")
                .bind(other)
                .bind(device)
        }
    };
    statement.execute(connection).await?;
    Ok(())
}

async fn known_device(
    connection: &mut SqliteConnection,
    device: Uuid,
    at: DateTime<Utc>,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO device (id, first_seen, last_seen) VALUES (?1, ?2, ?2)
         ON CONFLICT (id) DO UPDATE SET last_seen = max(last_seen, ?2)",
    )
    .bind(device)
    .bind(at.timestamp_millis())
    .execute(connection)
    .await?;
    Ok(())
}

#[derive(sqlx::FromRow)]
struct SessionRow {
    id: Uuid,
    secret_hash: Vec<u8>,
    role: String,
    person: Option<String>,
    device: Uuid,
    began_at: i64,
    last_seen: i64,
    ends_at: i64,
    ended_at: Option<i64>,
}

#[derive(sqlx::FromRow)]
struct ShareRow {
    id: Uuid,
    secret_hash: Vec<u8>,
    path: String,
    title: String,
    names: bool,
    costs: bool,
    made_at: i64,
    ends_at: i64,
    last_used: Option<i64>,
    ended_at: Option<i64>,
}

fn hash(table: &'static str, bytes: Vec<u8>) -> Result<SecretHash, StoreError> {
    let length = bytes.len();
    SecretHash::try_from(bytes)
        .map_err(|_| StoreError::unreadable(table, format!("a hash of {length} bytes")))
}

fn maybe(table: &'static str, ms: Option<i64>) -> Result<Option<DateTime<Utc>>, StoreError> {
    ms.map(|ms| row::moment(table, ms)).transpose()
}

impl SessionRow {
    fn session(self) -> Result<Session, StoreError> {
        const TABLE: &str = "session";
        Ok(Session {
            id: self.id,
            secret_hash: hash(TABLE, self.secret_hash)?,
            role: Role::of_word(&self.role)
                .ok_or_else(|| StoreError::unreadable(TABLE, format!("the role {}", self.role)))?,
            person: self.person,
            device: self.device,
            began_at: row::moment(TABLE, self.began_at)?,
            last_seen: row::moment(TABLE, self.last_seen)?,
            ends_at: row::moment(TABLE, self.ends_at)?,
            ended_at: maybe(TABLE, self.ended_at)?,
        })
    }
}

impl ShareRow {
    fn share(self) -> Result<Share, StoreError> {
        const TABLE: &str = "share";
        Ok(Share {
            id: self.id,
            secret_hash: hash(TABLE, self.secret_hash)?,
            path: self.path,
            title: self.title,
            shows: Shows {
                names: self.names,
                costs: self.costs,
            },
            made_at: row::moment(TABLE, self.made_at)?,
            ends_at: row::moment(TABLE, self.ends_at)?,
            last_used: maybe(TABLE, self.last_used)?,
            ended_at: maybe(TABLE, self.ended_at)?,
        })
    }
}

/// Reads all that opens the door.
pub(in crate::store) async fn keys(read: &mut Read) -> Result<Keys, StoreError> {
    let mut keys = Keys::with(passphrase(read).await?);
    keys.hold_sessions(sessions(read).await?);
    keys.hold_shares(shares(read).await?);
    Ok(keys)
}

/// The same as far as it can be read of a damaged database.
pub(in crate::store) async fn keys_left(read: &mut Read) -> Keys {
    let mut keys = match passphrase(read).await {
        Ok(passphrase) => Keys::with(passphrase),
        Err(_) => Keys::unreadable(),
    };
    keys.hold_sessions(sessions(read).await.unwrap_or_default());
    keys.hold_shares(shares(read).await.unwrap_or_default());
    keys
}

async fn passphrase(read: &mut Read) -> Result<Option<String>, StoreError> {
    Ok(sqlx::query_scalar("SELECT hash FROM passphrase")
        .fetch_optional(&mut *read.tx)
        .await?)
}

async fn sessions(read: &mut Read) -> Result<Vec<Session>, StoreError> {
    let rows: Vec<SessionRow> = sqlx::query_as("SELECT * FROM session")
        .fetch_all(&mut *read.tx)
        .await?;
    rows.into_iter().map(SessionRow::session).collect()
}

async fn shares(read: &mut Read) -> Result<Vec<Share>, StoreError> {
    let rows: Vec<ShareRow> = sqlx::query_as("SELECT * FROM share")
        .fetch_all(&mut *read.tx)
        .await?;
    rows.into_iter().map(ShareRow::share).collect()
}
