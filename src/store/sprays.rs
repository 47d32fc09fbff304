//! Sprays in the database. They are kept for ever: nothing here deletes by age.
//! Not here: the holds that follow (`science::sprays::hold`).

use std::collections::HashMap;

use chrono::{DateTime, FixedOffset, NaiveDate};
use sqlx::sqlite::SqliteRow;
use sqlx::{Row, SqliteConnection};
use uuid::Uuid;

use super::ledger::Arrival;
use super::{Read, StoreError, row};
use crate::science::sprays::{Product, Spray};

/// A spray with the record it belongs to.
#[derive(Clone, Debug, PartialEq)]
pub struct SprayListed {
    pub id: Uuid,
    pub spray: Spray,
}

type Moment = DateTime<FixedOffset>;

fn split(moment: Option<Moment>) -> (Option<i64>, Option<i32>) {
    (
        moment.map(|at| at.timestamp_millis()),
        moment.map(|at| at.offset().local_minus_utc()),
    )
}

fn joined(ms: Option<i64>, offset: Option<i32>) -> Result<Option<Moment>, StoreError> {
    let (Some(ms), Some(offset)) = (ms, offset) else {
        return Ok(None);
    };
    DateTime::from_timestamp_millis(ms)
        .zip(FixedOffset::east_opt(offset))
        .map(|(at, offset)| Some(at.with_timezone(&offset)))
        .ok_or_else(|| StoreError::unreadable("spray", "a moment out of range"))
}

pub(super) async fn put_spray(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    spray: &Spray,
) -> Result<(), StoreError> {
    take_out_spray(connection, arrival.record).await?;
    let (started, started_offset) = split(spray.start);
    let (ended, ended_offset) = split(spray.end);
    sqlx::query(
        "INSERT INTO spray (id, entry, on_date, started_at, started_offset_s, ended_at,
           ended_offset_s, volume_l, applicator, wind, temperature_c, label_read, note, arrival)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(spray.date)
    .bind(started)
    .bind(started_offset)
    .bind(ended)
    .bind(ended_offset)
    .bind(spray.volume_l)
    .bind(&spray.applicator)
    .bind(&spray.wind)
    .bind(spray.temperature_c)
    .bind(spray.label_read)
    .bind(&spray.note)
    .bind(arrival.arrival_no)
    .execute(&mut *connection)
    .await?;
    for (place, block) in spray.blocks.iter().enumerate() {
        sqlx::query("INSERT INTO spray_block (spray, place, block) VALUES (?, ?, ?)")
            .bind(arrival.record)
            .bind(place as i64)
            .bind(block)
            .execute(&mut *connection)
            .await?;
    }
    for (place, label) in spray.rows.iter().enumerate() {
        sqlx::query("INSERT INTO spray_row (spray, place, label) VALUES (?, ?, ?)")
            .bind(arrival.record)
            .bind(place as i64)
            .bind(label)
            .execute(&mut *connection)
            .await?;
    }
    for (place, product) in spray.products.iter().enumerate() {
        sqlx::query(
            "INSERT INTO spray_product (spray, place, name, registration, active_ingredients,
               rate, entry_hours, harvest_days)
             VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        )
        .bind(arrival.record)
        .bind(place as i64)
        .bind(&product.name)
        .bind(&product.registration)
        .bind(&product.active)
        .bind(&product.rate)
        .bind(product.entry_hours)
        .bind(product.harvest_days)
        .execute(&mut *connection)
        .await?;
    }
    Ok(())
}

pub(super) async fn take_out_spray(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    for sql in [
        "DELETE FROM spray_product WHERE spray = ?",
        "DELETE FROM spray_row WHERE spray = ?",
        "DELETE FROM spray_block WHERE spray = ?",
        "DELETE FROM spray WHERE id = ?",
    ] {
        row::delete(connection, sql, record).await?;
    }
    Ok(())
}

impl Read {
    /// The sprays dated from `first` to `last`, the oldest first.
    pub async fn sprays_between(
        &mut self,
        first: NaiveDate,
        last: NaiveDate,
    ) -> Result<Vec<SprayListed>, StoreError> {
        let rows = sqlx::query(
            "SELECT * FROM spray WHERE on_date BETWEEN ? AND ? ORDER BY on_date, ended_at, arrival",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        let mut blocks = self
            .parts::<Uuid>(
                "SELECT spray, block FROM spray_block JOIN spray ON spray.id = spray
                 WHERE on_date BETWEEN ? AND ? ORDER BY spray, place",
                first,
                last,
            )
            .await?;
        let mut labels = self
            .parts::<String>(
                "SELECT spray, label FROM spray_row JOIN spray ON spray.id = spray
                 WHERE on_date BETWEEN ? AND ? ORDER BY spray, place",
                first,
                last,
            )
            .await?;
        let mut products: HashMap<Uuid, Vec<Product>> = HashMap::new();
        let tank = sqlx::query(
            "SELECT spray_product.* FROM spray_product JOIN spray ON spray.id = spray
             WHERE on_date BETWEEN ? AND ? ORDER BY spray, place",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        for row in &tank {
            products
                .entry(row.try_get("spray")?)
                .or_default()
                .push(product(row)?);
        }
        rows.iter()
            .map(|row| {
                let id: Uuid = row.try_get("id")?;
                let spray = Spray {
                    blocks: blocks.remove(&id).unwrap_or_default(),
                    rows: labels.remove(&id).unwrap_or_default(),
                    date: row.try_get("on_date")?,
                    start: joined(row.try_get("started_at")?, row.try_get("started_offset_s")?)?,
                    end: joined(row.try_get("ended_at")?, row.try_get("ended_offset_s")?)?,
                    volume_l: row.try_get("volume_l")?,
                    applicator: row.try_get("applicator")?,
                    wind: row.try_get("wind")?,
                    temperature_c: row.try_get("temperature_c")?,
                    label_read: row.try_get("label_read")?,
                    products: products.remove(&id).unwrap_or_default(),
                    note: row.try_get("note")?,
                };
                Ok(SprayListed { id, spray })
            })
            .collect()
    }

    /// The years in which something was sprayed, the newest first.
    pub async fn spray_years(&mut self) -> Result<Vec<i32>, StoreError> {
        Ok(sqlx::query_scalar(
            "SELECT DISTINCT CAST(substr(on_date, 1, 4) AS INTEGER) AS year
             FROM spray ORDER BY year DESC",
        )
        .fetch_all(&mut *self.tx)
        .await?)
    }

    async fn parts<T>(
        &mut self,
        sql: &'static str,
        first: NaiveDate,
        last: NaiveDate,
    ) -> Result<HashMap<Uuid, Vec<T>>, StoreError>
    where
        T: for<'r> sqlx::Decode<'r, sqlx::Sqlite> + sqlx::Type<sqlx::Sqlite> + Send + Unpin,
    {
        let mut found: HashMap<Uuid, Vec<T>> = HashMap::new();
        let rows = sqlx::query(sql)
            .bind(first)
            .bind(last)
            .fetch_all(&mut *self.tx)
            .await?;
        for row in &rows {
            found
                .entry(row.try_get(0)?)
                .or_default()
                .push(row.try_get(1)?);
        }
        Ok(found)
    }
}

fn product(row: &SqliteRow) -> Result<Product, StoreError> {
    Ok(Product {
        name: row.try_get("name")?,
        registration: row.try_get("registration")?,
        active: row.try_get("active_ingredients")?,
        rate: row.try_get("rate")?,
        entry_hours: row.try_get("entry_hours")?,
        harvest_days: row.try_get("harvest_days")?,
    })
}
