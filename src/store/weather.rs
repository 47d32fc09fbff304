//! The weather written down, in the database. Not here: what it means for fruit.

use chrono::NaiveDate;
use sqlx::{Row, SqliteConnection};
use uuid::Uuid;

use super::ledger::Arrival;
use super::row::{self, Batch};
use super::{Read, StoreError};
use crate::science::weather::WeatherDay;

pub(super) async fn put_day(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    day: &WeatherDay,
) -> Result<(), StoreError> {
    take_out_day(connection, arrival.record).await?;
    let mut batch = Batch::default();
    insert_days(&mut batch, &[(arrival, day)]);
    batch.run(connection).await
}

/// Days that are not here yet.
pub(super) fn insert_days(batch: &mut Batch, days: &[(Arrival, &WeatherDay)]) {
    batch.insert(
        "INSERT INTO weather (id, entry, on_date, at_time, rain_mm, low_c, high_c, hard_frost,
           note, arrival) ",
        days,
        |row, (arrival, day)| {
            row.push_bind(arrival.record)
                .push_bind(arrival.entry)
                .push_bind(day.date)
                .push_bind(row::clock(day.time))
                .push_bind(day.rain_mm)
                .push_bind(day.low_c)
                .push_bind(day.high_c)
                .push_bind(day.hard_frost)
                .push_bind(day.note.clone())
                .push_bind(arrival.arrival_no);
        },
    );
}

pub(super) async fn take_out_day(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    row::delete(connection, "DELETE FROM weather WHERE id = ?", record).await
}

impl Read {
    /// The weather from `first` to `last`, by day.
    pub async fn weather_between(
        &mut self,
        first: NaiveDate,
        last: NaiveDate,
    ) -> Result<Vec<(Uuid, WeatherDay)>, StoreError> {
        let rows = sqlx::query(
            "SELECT * FROM weather WHERE on_date BETWEEN ? AND ?
             ORDER BY on_date, at_time, arrival",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        rows.iter()
            .map(|row| {
                let day = WeatherDay {
                    date: row.try_get("on_date")?,
                    time: row::time("weather", row.try_get("at_time")?)?,
                    rain_mm: row.try_get("rain_mm")?,
                    low_c: row.try_get("low_c")?,
                    high_c: row.try_get("high_c")?,
                    hard_frost: row.try_get("hard_frost")?,
                    note: row.try_get("note")?,
                };
                Ok((row.try_get("id")?, day))
            })
            .collect()
    }
}
