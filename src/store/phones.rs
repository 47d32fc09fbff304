//! Phones and computers seen here: when, which of their numbers arrived, what they told of
//! themselves; and what became of entries they ask about.
//! Not here: the entries themselves (`ledger`), who may do what.

use chrono::{DateTime, Utc};
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::ledger::State;
use super::{Read, StoreError};

/// What a phone tells of itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Told {
    pub device: Uuid,
    /// The highest number it has given to an entry.
    pub seq: i64,
    /// How many entries wait on it.
    pub waiting: i64,
    pub at: DateTime<Utc>,
}

/// Notes that an entry came from a device, and the counting number it had there.
pub(super) async fn heard_from(
    connection: &mut SqliteConnection,
    device: Uuid,
    at: DateTime<Utc>,
    seq: Option<i64>,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO device (id, first_seen, last_seen, last_seq) VALUES (?1, ?2, ?2, ?3)
         ON CONFLICT (id) DO UPDATE SET last_seen = max(last_seen, ?2),
           last_seq = coalesce(max(last_seq, ?3), last_seq, ?3)",
    )
    .bind(device)
    .bind(at.timestamp_millis())
    .bind(seq)
    .execute(connection)
    .await?;
    Ok(())
}

/// Notes what a device told of itself.
pub(super) async fn told(connection: &mut SqliteConnection, told: Told) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO device (id, first_seen, last_seen, told_seq, told_waiting, told_at)
         VALUES (?1, ?2, ?2, ?3, ?4, ?2)
         ON CONFLICT (id) DO UPDATE SET last_seen = max(last_seen, ?2),
           told_seq = max(coalesce(told_seq, 0), ?3), told_waiting = ?4, told_at = ?2",
    )
    .bind(told.device)
    .bind(told.at.timestamp_millis())
    .bind(told.seq)
    .bind(told.waiting)
    .execute(connection)
    .await?;
    Ok(())
}

impl Read {
    /// What became of an entry; none if it is not here.
    pub async fn state_of(&mut self, id: Uuid) -> Result<Option<State>, StoreError> {
        let state: Option<String> = sqlx::query_scalar("SELECT state FROM ledger WHERE id = ?")
            .bind(id)
            .fetch_optional(&mut *self.tx)
            .await?;
        state
            .map(|word| {
                State::of_word(&word)
                    .ok_or_else(|| StoreError::unreadable("ledger", format!("the state {word}")))
            })
            .transpose()
    }
}
