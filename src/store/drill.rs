//! When it was last tried to bring the data back on another machine, in the database.
//! Not here: bringing it back (`copies`).

use chrono::{DateTime, NaiveDate, Utc};
use sqlx::SqliteConnection;

use super::ledger::writer::Note;
use super::{Read, Store, StoreError};

/// A day on which it was tried.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tried {
    pub on: NaiveDate,
    pub at: DateTime<Utc>,
    pub person: Option<String>,
}

/// The same day again is the same try.
pub(super) async fn note(
    connection: &mut SqliteConnection,
    tried: Tried,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO restore_tried (tried_on, noted_at, person) VALUES (?, ?, ?)
         ON CONFLICT (tried_on) DO NOTHING",
    )
    .bind(tried.on)
    .bind(tried.at.timestamp_millis())
    .bind(tried.person)
    .execute(connection)
    .await?;
    Ok(())
}

impl Store {
    /// Somebody tried it.
    pub async fn note_restore_tried(&self, tried: Tried) -> Result<(), StoreError> {
        self.writer.note(Note::Drill(tried)).await
    }
}

impl Read {
    /// The last day on which it was tried, and by whom.
    pub async fn restore_tried(
        &mut self,
    ) -> Result<Option<(NaiveDate, Option<String>)>, StoreError> {
        Ok(sqlx::query_as(
            "SELECT tried_on, person FROM restore_tried ORDER BY tried_on DESC LIMIT 1",
        )
        .fetch_optional(&mut *self.tx)
        .await?)
    }
}
