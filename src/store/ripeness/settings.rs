//! Targets, instruments and figures of judgement. Not here: samples.

use chrono::NaiveDate;
use sqlx::sqlite::SqliteRow;
use sqlx::{Row, SqliteConnection};
use uuid::Uuid;

use crate::science::ripeness::{Assumptions, DayOfYear, Instrument, Target, Window};
use crate::store::ledger::Arrival;
use crate::store::{Read, StoreError, row};

/// An instrument with its id.
#[derive(Clone, Debug)]
pub struct InstrumentListed {
    pub id: Uuid,
    pub instrument: Instrument,
}

pub(crate) async fn put_instrument(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    one: &Instrument,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO instrument (id, entry, name, compensated, zero_offset, zeroed_on, note)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
         ON CONFLICT (id) DO UPDATE SET entry = ?2, name = ?3, compensated = ?4,
           zero_offset = ?5, zeroed_on = ?6, note = ?7",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(&one.name)
    .bind(one.compensated)
    .bind(one.zero_offset)
    .bind(one.zeroed_on)
    .bind(one.note.as_deref())
    .execute(connection)
    .await?;
    Ok(())
}

pub(crate) async fn take_out_instrument(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    row::delete(connection, "DELETE FROM instrument WHERE id = ?", record).await
}

pub(crate) async fn put_target(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    target: &Target,
) -> Result<(), StoreError> {
    take_out_target(connection, arrival.record).await?;
    let Target { brix, ph, ta, .. } = target;
    sqlx::query(
        "INSERT INTO target (id, entry, block, from_date, brix_low, brix_aim, brix_high,
           ph_low, ph_aim, ph_high, ta_low, ta_aim, ta_high,
           season_end_month, season_end_day, arrival)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(target.block)
    .bind(target.from)
    .bind(brix.low)
    .bind(brix.aim)
    .bind(brix.high)
    .bind(ph.low)
    .bind(ph.aim)
    .bind(ph.high)
    .bind(ta.low)
    .bind(ta.aim)
    .bind(ta.high)
    .bind(target.season_end.month)
    .bind(target.season_end.day)
    .bind(arrival.arrival_no)
    .execute(connection)
    .await?;
    Ok(())
}

pub(crate) async fn take_out_target(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    row::delete(connection, "DELETE FROM target WHERE id = ?", record).await
}

pub(crate) async fn put_assumptions(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    all: &Assumptions,
) -> Result<(), StoreError> {
    take_out_assumptions(connection, arrival.record).await?;
    sqlx::query("INSERT INTO assumptions (one, id, entry, assumptions) VALUES (1, ?, ?, ?)")
        .bind(arrival.record)
        .bind(arrival.entry)
        .bind(row::json("assumptions", all)?)
        .execute(connection)
        .await?;
    Ok(())
}

pub(crate) async fn take_out_assumptions(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    row::delete(connection, "DELETE FROM assumptions WHERE id = ?", record).await
}

/// The record of the figures of judgement, if the keeper ever set any.
pub(crate) async fn assumptions_record(
    connection: &mut SqliteConnection,
) -> Result<Option<Uuid>, StoreError> {
    Ok(sqlx::query_scalar("SELECT id FROM assumptions")
        .fetch_optional(connection)
        .await?)
}

impl Read {
    /// All instruments, by name.
    pub async fn instruments(&mut self) -> Result<Vec<InstrumentListed>, StoreError> {
        let rows = sqlx::query("SELECT * FROM instrument ORDER BY name")
            .fetch_all(&mut *self.tx)
            .await?;
        rows.iter()
            .map(|row| {
                Ok(InstrumentListed {
                    id: row.try_get("id")?,
                    instrument: Instrument {
                        name: row.try_get("name")?,
                        compensated: row.try_get("compensated")?,
                        zero_offset: row.try_get("zero_offset")?,
                        zeroed_on: row.try_get("zeroed_on")?,
                        note: row.try_get("note")?,
                    },
                })
            })
            .collect()
    }

    /// The targets of a block, the earliest first.
    pub async fn targets_of(&mut self, block: Uuid) -> Result<Vec<(Uuid, Target)>, StoreError> {
        let rows = sqlx::query("SELECT * FROM target WHERE block = ? ORDER BY from_date, arrival")
            .bind(block)
            .fetch_all(&mut *self.tx)
            .await?;
        rows.iter().map(target).collect()
    }

    /// The target of each block that is in force on a day.
    pub async fn targets_on(&mut self, day: NaiveDate) -> Result<Vec<Target>, StoreError> {
        let rows = sqlx::query(
            "SELECT * FROM target AS one WHERE id =
               (SELECT id FROM target WHERE block = one.block AND from_date <= ?
                ORDER BY from_date DESC, arrival DESC LIMIT 1)",
        )
        .bind(day)
        .fetch_all(&mut *self.tx)
        .await?;
        rows.iter()
            .map(|row| target(row).map(|(_, target)| target))
            .collect()
    }

    /// The figures of judgement: the keeper's, or the ones Endpost starts with.
    pub async fn assumptions(&mut self) -> Result<Assumptions, StoreError> {
        let kept: Option<String> = sqlx::query_scalar("SELECT assumptions FROM assumptions")
            .fetch_optional(&mut *self.tx)
            .await?;
        match kept {
            Some(json) => row::of_json("assumptions", &json),
            None => Ok(Assumptions::default()),
        }
    }

    /// The record of the figures of judgement, if the keeper ever set any.
    pub async fn assumptions_record(&mut self) -> Result<Option<Uuid>, StoreError> {
        assumptions_record(&mut self.tx).await
    }
}

fn target(row: &SqliteRow) -> Result<(Uuid, Target), StoreError> {
    let window = |low, aim, high| -> Result<Window, StoreError> {
        Ok(Window {
            low: row.try_get(low)?,
            aim: row.try_get(aim)?,
            high: row.try_get(high)?,
        })
    };
    let target = Target {
        block: row.try_get("block")?,
        from: row.try_get("from_date")?,
        brix: window("brix_low", "brix_aim", "brix_high")?,
        ph: window("ph_low", "ph_aim", "ph_high")?,
        ta: window("ta_low", "ta_aim", "ta_high")?,
        season_end: DayOfYear {
            month: row.try_get("season_end_month")?,
            day: row.try_get("season_end_day")?,
        },
    };
    Ok((row.try_get("id")?, target))
}
