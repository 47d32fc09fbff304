//! Closed seasons in the database. Not here: what is marked because of them (`web::daybook`).

use chrono::{DateTime, Utc};
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::ledger::Arrival;
use super::{Read, StoreError, row};
use crate::science::daybook::SeasonClosed;

/// A season that was closed, and when in the order of the ledger.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClosedSeason {
    pub record: Uuid,
    pub year: i32,
    pub arrival_no: i64,
    pub at: DateTime<Utc>,
}

pub(super) async fn put_season_closed(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    closed: &SeasonClosed,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO season_closed (id, entry, year, note) VALUES (?1, ?2, ?3, ?4)
         ON CONFLICT (id) DO UPDATE SET entry = ?2, year = ?3, note = ?4",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(closed.year)
    .bind(closed.note.as_deref())
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn take_out_season_closed(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    row::delete(connection, "DELETE FROM season_closed WHERE id = ?", record).await
}

impl Read {
    /// The seasons that are closed, the newest first.
    pub async fn closed_seasons(&mut self) -> Result<Vec<ClosedSeason>, StoreError> {
        let rows: Vec<(Uuid, i32, i64, i64)> = sqlx::query_as(
            "SELECT season_closed.id, year, arrival_no, received_at
             FROM season_closed CROSS JOIN ledger ON ledger.id = season_closed.id
             ORDER BY year DESC",
        )
        .fetch_all(&mut *self.tx)
        .await?;
        rows.into_iter()
            .map(|(record, year, arrival_no, at)| {
                Ok(ClosedSeason {
                    record,
                    year,
                    arrival_no,
                    at: row::moment("season_closed", at)?,
                })
            })
            .collect()
    }
}
