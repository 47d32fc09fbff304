//! Small helpers for writing and reading columns. Not here: any table.

use chrono::{DateTime, NaiveTime, Utc};
use serde::Serialize;
use serde::de::DeserializeOwned;
use sqlx::query_builder::Separated;
use sqlx::{QueryBuilder, Sqlite, SqliteConnection};
use uuid::Uuid;

use super::StoreError;

/// A clock time as the tables keep it.
pub fn clock(time: Option<NaiveTime>) -> Option<String> {
    time.map(|time| time.format("%H:%M").to_string())
}

/// A clock time read again.
pub fn time(table: &'static str, text: Option<String>) -> Result<Option<NaiveTime>, StoreError> {
    text.map(|text| NaiveTime::parse_from_str(&text, "%H:%M"))
        .transpose()
        .map_err(|error| StoreError::unreadable(table, error))
}

/// A moment as the tables keep it, in milliseconds.
pub fn moment(table: &'static str, ms: i64) -> Result<DateTime<Utc>, StoreError> {
    DateTime::from_timestamp_millis(ms)
        .ok_or_else(|| StoreError::unreadable(table, "a moment out of range"))
}

/// A small list kept as JSON in one column.
pub fn json<T: Serialize>(table: &'static str, value: &T) -> Result<String, StoreError> {
    serde_json::to_string(value).map_err(|error| StoreError::unreadable(table, error))
}

/// Such a list read again.
pub fn of_json<T: DeserializeOwned>(table: &'static str, text: &str) -> Result<T, StoreError> {
    serde_json::from_str(text).map_err(|error| StoreError::unreadable(table, error))
}

/// A one-word enum as its word, by the same names serde gives it.
pub fn word<T: Serialize>(table: &'static str, value: &T) -> Result<String, StoreError> {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => Ok(word),
        Ok(_) => Err(StoreError::unreadable(
            table,
            "a value that is not one word",
        )),
        Err(error) => Err(StoreError::unreadable(table, error)),
    }
}

/// Such an enum read again.
pub fn of_word<T: DeserializeOwned>(table: &'static str, word: &str) -> Result<T, StoreError> {
    serde_json::from_value(serde_json::Value::String(word.to_owned()))
        .map_err(|error| StoreError::unreadable(table, error))
}

/// Statements that insert many rows each, sent to SQLite in one go: handing over is what costs.
#[derive(Default)]
pub struct Batch(QueryBuilder<Sqlite>);

impl Batch {
    /// Statements that are a transaction of their own.
    pub fn in_a_transaction() -> Self {
        Self(QueryBuilder::new("BEGIN IMMEDIATE;"))
    }

    /// Runs and commits what began with `in_a_transaction`. After a failure the transaction may
    /// still stand open.
    pub async fn commit(mut self, connection: &mut SqliteConnection) -> Result<(), StoreError> {
        self.0.push("COMMIT");
        self.run(connection).await
    }

    /// Adds a statement; `head` is the statement up to its values. No rows need none.
    pub fn insert<Item>(
        &mut self,
        head: &'static str,
        items: impl IntoIterator<Item = Item>,
        bind: impl FnMut(&mut Separated<'_, Sqlite, &'static str>, Item),
    ) {
        self.insert_or(head, items, bind, "");
    }

    /// The same with what is to be done instead where a row is there already.
    pub fn insert_or<Item>(
        &mut self,
        head: &'static str,
        items: impl IntoIterator<Item = Item>,
        mut bind: impl FnMut(&mut Separated<'_, Sqlite, &'static str>, Item),
        tail: &'static str,
    ) {
        let mut items = items.into_iter().peekable();
        if items.peek().is_some() {
            self.0.push(head);
            self.0
                .push_values(items, |mut row, item| bind(&mut row, item));
            self.0.push(tail);
            self.0.push(";");
        }
    }

    pub async fn run(mut self, connection: &mut SqliteConnection) -> Result<(), StoreError> {
        if !self.0.sql().as_str().is_empty() {
            self.0.build().execute(connection).await?;
        }
        Ok(())
    }
}

/// Deletes the rows of one record by a statement with the record as its one value.
pub async fn delete(
    connection: &mut SqliteConnection,
    sql: &'static str,
    record: Uuid,
) -> Result<(), StoreError> {
    sqlx::query(sql).bind(record).execute(connection).await?;
    Ok(())
}
