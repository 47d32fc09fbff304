//! Small helpers for writing and reading columns. Not here: any table.

use chrono::NaiveTime;
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

/// One statement that inserts many rows; none for no rows. `head` is the statement up to its
/// values.
pub fn rows<Item>(
    head: &'static str,
    items: impl IntoIterator<Item = Item>,
    mut bind: impl FnMut(&mut Separated<'_, Sqlite, &'static str>, Item),
) -> Option<QueryBuilder<Sqlite>> {
    let mut items = items.into_iter().peekable();
    items.peek()?;
    let mut sql = QueryBuilder::new(head);
    sql.push_values(items, |mut row, item| bind(&mut row, item));
    Some(sql)
}

/// Inserts the rows of such a statement.
pub async fn insert(
    connection: &mut SqliteConnection,
    rows: Option<QueryBuilder<Sqlite>>,
) -> Result<(), StoreError> {
    if let Some(mut rows) = rows {
        rows.build().execute(connection).await?;
    }
    Ok(())
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
