//! The addresses phones were told, in the database.
//! Not here: which of them still lead here.

use chrono::{DateTime, Utc};
use sqlx::SqliteConnection;

use super::ledger::writer::Note;
use super::{Read, Store, StoreError};

/// What phones are told now, and what they need not know any more.
pub(crate) struct Told {
    pub url: String,
    pub instead_of: Vec<String>,
    pub at: DateTime<Utc>,
}

pub(super) async fn tell(connection: &mut SqliteConnection, told: Told) -> Result<(), StoreError> {
    for url in told.instead_of {
        sqlx::query("DELETE FROM told_address WHERE url = ?")
            .bind(url)
            .execute(&mut *connection)
            .await?;
    }
    sqlx::query(
        "INSERT INTO told_address (url, told_at) VALUES (?1, ?2) ON CONFLICT (url) DO NOTHING",
    )
    .bind(told.url)
    .bind(told.at.timestamp_millis())
    .execute(connection)
    .await?;
    Ok(())
}

impl Store {
    /// From now on phones are told this address; those it stands for now are forgotten.
    pub async fn tell_address(
        &self,
        url: String,
        instead_of: Vec<String>,
        at: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        let told = Told {
            url,
            instead_of,
            at,
        };
        self.writer.note(Note::Address(told)).await
    }
}

impl Read {
    /// The addresses that phones were told, the first of them first.
    pub async fn told_addresses(&mut self) -> Result<Vec<String>, StoreError> {
        Ok(
            sqlx::query_scalar("SELECT url FROM told_address ORDER BY told_at, url")
                .fetch_all(&mut *self.tx)
                .await?,
        )
    }
}
