//! Paper cards in the database, and what was typed from them.
//! Not here: the codes themselves (`science::cards`).

use sqlx::sqlite::SqliteRow;
use sqlx::{Row, SqliteConnection};
use uuid::Uuid;

use super::ledger::{Arrival, Entry, read_entry};
use super::{Read, StoreError, row};
use crate::science::cards::{Card, CardCode};

/// A card with the record it belongs to.
#[derive(Clone, Debug, PartialEq)]
pub struct CardListed {
    pub id: Uuid,
    pub card: Card,
    /// Something was typed under its code and not taken back.
    pub has_entries: bool,
}

pub(super) async fn put_card(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    card: &Card,
) -> Result<(), StoreError> {
    let walk = card.walk.as_ref();
    sqlx::query(
        "INSERT INTO card (id, entry, code, what, block, on_date, walk, arrival)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)
         ON CONFLICT (id) DO UPDATE
         SET entry = ?2, code = ?3, what = ?4, block = ?5, on_date = ?6, walk = ?7",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(card.code.to_string())
    .bind(row::word("card", &card.what)?)
    .bind(card.block)
    .bind(card.day)
    .bind(walk.map(|walk| row::json("card", walk)).transpose()?)
    .bind(arrival.arrival_no)
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn take_out_card(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    row::delete(connection, "DELETE FROM card WHERE id = ?", record).await
}

/// Cards, the newest first: all, or the one that has the code asked for.
const CARDS: &str = "SELECT card.*, EXISTS (
       SELECT 1 FROM ledger WHERE card_code = card.code AND state <> 'void') AS has_entries
     FROM card WHERE code = coalesce(?, code) ORDER BY on_date DESC, arrival DESC";

impl Read {
    /// All cards, the newest first.
    pub async fn cards(&mut self) -> Result<Vec<CardListed>, StoreError> {
        let rows = sqlx::query(CARDS)
            .bind(None::<String>)
            .fetch_all(&mut *self.tx)
            .await?;
        rows.iter().map(listed).collect()
    }

    /// The card that has a code.
    pub async fn card(&mut self, code: CardCode) -> Result<Option<CardListed>, StoreError> {
        let found = sqlx::query(CARDS)
            .bind(code.to_string())
            .fetch_optional(&mut *self.tx)
            .await?;
        found.as_ref().map(listed).transpose()
    }

    /// The first entry of every record that was typed under a code, whatever became of it, oldest
    /// first.
    pub async fn entries_of_card(&mut self, code: CardCode) -> Result<Vec<Entry>, StoreError> {
        let rows = sqlx::query(
            "SELECT * FROM ledger WHERE card_code = ? AND id = record ORDER BY arrival_no",
        )
        .bind(code.to_string())
        .fetch_all(&mut *self.tx)
        .await?;
        rows.iter().map(read_entry).collect()
    }
}

fn listed(row: &SqliteRow) -> Result<CardListed, StoreError> {
    let code: String = row.try_get("code")?;
    let code = code
        .parse()
        .map_err(|error| StoreError::unreadable("card", error))?;
    let walk: Option<&str> = row.try_get("walk")?;
    Ok(CardListed {
        id: row.try_get("id")?,
        card: Card {
            code,
            what: row::of_word("card", row.try_get("what")?)?,
            block: row.try_get("block")?,
            day: row.try_get("on_date")?,
            walk: walk.map(|json| row::of_json("card", json)).transpose()?,
        },
        has_entries: row.try_get("has_entries")?,
    })
}
