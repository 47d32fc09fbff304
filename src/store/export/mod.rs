//! Every table read out as plain cells, for files that other programs open.
//! Not here: what columns mean (`dictionary`), and the files themselves (`program::export`).

pub mod dictionary;

use chrono::{DateTime, Utc};
use futures_util::TryStreamExt;
use sqlx::sqlite::SqliteRow;
use sqlx::{AssertSqlSafe, Row, ValueRef};
use uuid::Uuid;

use super::catalogue::Table;
use super::{Read, StoreError};
use dictionary::Is;

/// One value of one row.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    Nothing,
    Whole(i64),
    Number(f64),
    Text(String),
    Id(Uuid),
    Moment(DateTime<Utc>),
    Bytes(Vec<u8>),
}

impl Read {
    /// The names of a table's columns, in their order.
    pub async fn columns(&mut self, table: &Table) -> Result<Vec<String>, StoreError> {
        Ok(
            sqlx::query_scalar("SELECT name FROM pragma_table_info(?) ORDER BY cid")
                .bind(table.name)
                .fetch_all(&mut *self.tx)
                .await?,
        )
    }

    /// The names of all tables the file has, other than SQLite's own.
    pub async fn table_names(&mut self) -> Result<Vec<String>, StoreError> {
        Ok(sqlx::query_scalar(
            "SELECT name FROM sqlite_schema
             WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name",
        )
        .fetch_all(&mut *self.tx)
        .await?)
    }

    /// Hands over each row of a table. The name comes from the catalogue, never from outside.
    pub async fn each_row(
        &mut self,
        table: &Table,
        mut take: impl FnMut(Vec<Cell>) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let kinds: Vec<Is> = self
            .columns(table)
            .await?
            .iter()
            .map(|name| dictionary::of(table.name, name).map_or(Is::Text, |column| column.is))
            .collect();
        let sql = format!("SELECT * FROM \"{}\"", table.name);
        let mut rows = sqlx::query(AssertSqlSafe(sql)).fetch(&mut *self.tx);
        while let Some(row) = rows.try_next().await? {
            let cells = kinds.iter().enumerate();
            take(
                cells
                    .map(|(place, is)| cell(&row, place, *is, table.name))
                    .collect::<Result<_, _>>()?,
            )?;
        }
        Ok(())
    }
}

/// A cell as its column says it is; whatever else SQLite holds there is shown as it lies.
fn cell(row: &SqliteRow, place: usize, is: Is, table: &'static str) -> Result<Cell, StoreError> {
    let raw = row.try_get_raw(place)?;
    if raw.is_null() {
        return Ok(Cell::Nothing);
    }
    let stored = raw.type_info().to_string();
    Ok(match (stored.as_str(), is) {
        ("INTEGER", Is::Moment) => DateTime::from_timestamp_millis(row.try_get(place)?)
            .map(Cell::Moment)
            .ok_or_else(|| StoreError::unreadable(table, "a moment out of range"))?,
        ("INTEGER" | "BOOLEAN", _) => Cell::Whole(row.try_get_unchecked(place)?),
        ("REAL", _) => Cell::Number(row.try_get(place)?),
        ("BLOB", Is::Id) => Cell::Id(row.try_get(place)?),
        ("BLOB", _) => Cell::Bytes(row.try_get(place)?),
        _ => Cell::Text(row.try_get_unchecked(place)?),
    })
}
