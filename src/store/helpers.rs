//! What helpers do on a day, in the database. Not here: what the farm tells them for good (`places`).

use chrono::NaiveDate;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::ledger::Arrival;
use super::{Read, StoreError, row};
use crate::science::helpers::DayList;

const TO_DO: &str = "to_do";
const NOT_TO_TOUCH: &str = "not_to_touch";

pub(super) async fn put_day_list(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    list: &DayList,
) -> Result<(), StoreError> {
    take_out_day_list(connection, arrival.record).await?;
    sqlx::query("INSERT INTO day_list (id, entry, on_date, arrival) VALUES (?, ?, ?, ?)")
        .bind(arrival.record)
        .bind(arrival.entry)
        .bind(list.date)
        .bind(arrival.arrival_no)
        .execute(&mut *connection)
        .await?;
    for (what, lines) in [(TO_DO, &list.to_do), (NOT_TO_TOUCH, &list.not_to_touch)] {
        for (place, line) in lines.iter().enumerate() {
            sqlx::query(
                "INSERT INTO day_list_line (day_list, what, place, line) VALUES (?, ?, ?, ?)",
            )
            .bind(arrival.record)
            .bind(what)
            .bind(place as i64)
            .bind(line)
            .execute(&mut *connection)
            .await?;
        }
    }
    Ok(())
}

pub(super) async fn take_out_day_list(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    for sql in [
        "DELETE FROM day_list_line WHERE day_list = ?",
        "DELETE FROM day_list WHERE id = ?",
    ] {
        row::delete(connection, sql, record).await?;
    }
    Ok(())
}

/// The record of a day's list, if there is one.
pub(super) async fn record_of_day(
    connection: &mut SqliteConnection,
    date: NaiveDate,
) -> Result<Option<Uuid>, StoreError> {
    Ok(
        sqlx::query_scalar("SELECT id FROM day_list WHERE on_date = ?")
            .bind(date)
            .fetch_optional(connection)
            .await?,
    )
}

impl Read {
    /// What helpers do on a day, with its record.
    pub async fn day_list(
        &mut self,
        date: NaiveDate,
    ) -> Result<Option<(Uuid, DayList)>, StoreError> {
        let Some(record) = record_of_day(&mut self.tx, date).await? else {
            return Ok(None);
        };
        let lines: Vec<(String, String)> = sqlx::query_as(
            "SELECT what, line FROM day_list_line WHERE day_list = ? ORDER BY place",
        )
        .bind(record)
        .fetch_all(&mut *self.tx)
        .await?;
        let (to_do, not_to_touch): (Vec<_>, Vec<_>) =
            lines.into_iter().partition(|(what, _)| what == TO_DO);
        let texts = |lines: Vec<(String, String)>| lines.into_iter().map(|(_, line)| line);
        let list = DayList {
            date,
            to_do: texts(to_do).collect(),
            not_to_touch: texts(not_to_touch).collect(),
        };
        Ok(Some((record, list)))
    }
}
