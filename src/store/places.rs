//! The farm, its blocks, rows and vines in the database.
//! Not here: which rows a block has on a day (`science::places::rows_on`).

use std::collections::HashMap;

use sqlx::{Row, SqliteConnection};
use uuid::Uuid;

use super::ledger::Arrival;
use super::{Read, StoreError, row};
use crate::science::places::{
    Block, Farm, ForHelpers, RowLayout, RowsOfBlock, VineAddress, VineEvent,
};
use crate::science::units::Units;

/// A block with its id.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BlockListed {
    pub id: Uuid,
    pub block: Block,
}

pub(super) async fn put_farm(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    farm: &Farm,
) -> Result<(), StoreError> {
    row::delete(connection, "DELETE FROM farm WHERE id = ?", arrival.record).await?;
    sqlx::query(
        "INSERT INTO farm (one, id, entry, name, zone, temperature_unit, mass_unit, length_unit,
           address, keeper_phone, emergency_place, emergency_phone, emergency_address, poison_line,
           emergency_number, who_to_ask, second_person, second_phone, water, toilet, first_aid)
         VALUES (1, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(&farm.name)
    .bind(&farm.zone)
    .bind(row::word("farm", &farm.units.temperature)?)
    .bind(row::word("farm", &farm.units.mass)?)
    .bind(row::word("farm", &farm.units.length)?)
    .bind(farm.address.as_deref())
    .bind(farm.keeper_phone.as_deref())
    .bind(farm.emergency_place.as_deref())
    .bind(farm.emergency_phone.as_deref())
    .bind(farm.emergency_address.as_deref())
    .bind(farm.poison_line.as_deref())
    .bind(farm.for_helpers.emergency_number.as_deref())
    .bind(farm.for_helpers.who_to_ask.as_deref())
    .bind(farm.for_helpers.second_person.as_deref())
    .bind(farm.for_helpers.second_phone.as_deref())
    .bind(farm.for_helpers.water.as_deref())
    .bind(farm.for_helpers.toilet.as_deref())
    .bind(farm.for_helpers.first_aid.as_deref())
    .execute(connection)
    .await?;
    Ok(())
}

/// A farm that is in force stays: it can be changed, but a house without one is lost.
pub(super) async fn keep_farm(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    match farm_record(connection).await? {
        Some(farm) if farm == record => Err(StoreError::Constraint("not_to_be_voided".to_owned())),
        _ => Ok(()),
    }
}

pub(super) async fn put_block(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    block: &Block,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO block (id, entry, name, variety, note) VALUES (?1, ?2, ?3, ?4, ?5)
         ON CONFLICT (id) DO UPDATE SET entry = ?2, name = ?3, variety = ?4, note = ?5",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(&block.name)
    .bind(block.variety.as_deref())
    .bind(block.note.as_deref())
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn take_out_block(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    row::delete(connection, "DELETE FROM block WHERE id = ?", record).await
}

pub(super) async fn put_rows(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    list: &RowsOfBlock,
) -> Result<(), StoreError> {
    take_out_rows(connection, arrival.record).await?;
    sqlx::query(
        "INSERT INTO block_rows (id, entry, block, from_date, arrival) VALUES (?, ?, ?, ?, ?)",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(list.block)
    .bind(list.from)
    .bind(arrival.arrival_no)
    .execute(&mut *connection)
    .await?;
    for (place, one) in list.rows.iter().enumerate() {
        sqlx::query("INSERT INTO block_row (block_rows, place, label, panels) VALUES (?, ?, ?, ?)")
            .bind(arrival.record)
            .bind(place as i64)
            .bind(&one.label)
            .bind(row::json("block_row", &one.panels)?)
            .execute(&mut *connection)
            .await?;
    }
    Ok(())
}

pub(super) async fn take_out_rows(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    row::delete(
        connection,
        "DELETE FROM block_row WHERE block_rows = ?",
        record,
    )
    .await?;
    row::delete(connection, "DELETE FROM block_rows WHERE id = ?", record).await
}

pub(super) async fn put_vine(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    event: &VineEvent,
) -> Result<(), StoreError> {
    take_out_vine(connection, arrival.record).await?;
    sqlx::query(
        "INSERT INTO vine_event (id, entry, row_label, panel, vine, on_date, change, variety,
           bearing_from, arrival)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(&event.at.row)
    .bind(event.at.panel)
    .bind(event.at.vine)
    .bind(event.date)
    .bind(row::word("vine_event", &event.what)?)
    .bind(event.variety.as_deref())
    .bind(event.bearing_from)
    .bind(arrival.arrival_no)
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn take_out_vine(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    row::delete(connection, "DELETE FROM vine_event WHERE id = ?", record).await
}

/// The record of the farm, if there is one.
pub(super) async fn farm_record(
    connection: &mut SqliteConnection,
) -> Result<Option<Uuid>, StoreError> {
    Ok(sqlx::query_scalar("SELECT id FROM farm")
        .fetch_optional(connection)
        .await?)
}

impl Read {
    /// The farm and its record, once the first run is done.
    pub async fn farm(&mut self) -> Result<Option<(Uuid, Farm)>, StoreError> {
        let Some(found) = sqlx::query("SELECT * FROM farm")
            .fetch_optional(&mut *self.tx)
            .await?
        else {
            return Ok(None);
        };
        let farm = Farm {
            name: found.try_get("name")?,
            zone: found.try_get("zone")?,
            units: Units {
                temperature: row::of_word("farm", found.try_get("temperature_unit")?)?,
                mass: row::of_word("farm", found.try_get("mass_unit")?)?,
                length: row::of_word("farm", found.try_get("length_unit")?)?,
            },
            address: found.try_get("address")?,
            keeper_phone: found.try_get("keeper_phone")?,
            emergency_place: found.try_get("emergency_place")?,
            emergency_phone: found.try_get("emergency_phone")?,
            emergency_address: found.try_get("emergency_address")?,
            poison_line: found.try_get("poison_line")?,
            for_helpers: ForHelpers {
                emergency_number: found.try_get("emergency_number")?,
                who_to_ask: found.try_get("who_to_ask")?,
                second_person: found.try_get("second_person")?,
                second_phone: found.try_get("second_phone")?,
                water: found.try_get("water")?,
                toilet: found.try_get("toilet")?,
                first_aid: found.try_get("first_aid")?,
            },
        };
        Ok(Some((found.try_get("id")?, farm)))
    }

    /// All blocks, by name.
    pub async fn blocks(&mut self) -> Result<Vec<BlockListed>, StoreError> {
        let rows: Vec<(Uuid, String, Option<String>, Option<String>)> =
            sqlx::query_as("SELECT id, name, variety, note FROM block ORDER BY name")
                .fetch_all(&mut *self.tx)
                .await?;
        Ok(rows
            .into_iter()
            .map(|(id, name, variety, note)| BlockListed {
                id,
                block: Block {
                    name,
                    variety,
                    note,
                },
            })
            .collect())
    }

    /// The blocks that were taken back, as they were called last.
    pub async fn blocks_gone(&mut self) -> Result<Vec<BlockListed>, StoreError> {
        let rows: Vec<(Uuid, String)> = sqlx::query_as(
            r#"SELECT record, "values" FROM ledger
               WHERE kind = 'block' AND took_effect IS NOT NULL AND record IN (
                 SELECT id FROM ledger WHERE kind = 'block' AND state = 'void' AND id = record)
               ORDER BY took_effect DESC"#,
        )
        .fetch_all(&mut *self.tx)
        .await?;
        rows.into_iter()
            .map(|(id, values)| {
                let block = row::of_json("ledger", &values)?;
                Ok(BlockListed { id, block })
            })
            .collect()
    }

    /// Every list of rows of the farm, in order of arrival.
    pub async fn row_lists(&mut self) -> Result<Vec<RowsOfBlock>, StoreError> {
        let lists = sqlx::query("SELECT * FROM block_rows ORDER BY arrival")
            .fetch_all(&mut *self.tx)
            .await?;
        let rows = sqlx::query("SELECT * FROM block_row ORDER BY block_rows, place")
            .fetch_all(&mut *self.tx)
            .await?;
        let mut rows_of: HashMap<Uuid, Vec<RowLayout>> = HashMap::new();
        for found in &rows {
            rows_of
                .entry(found.try_get("block_rows")?)
                .or_default()
                .push(RowLayout {
                    label: found.try_get("label")?,
                    panels: row::of_json("block_row", found.try_get("panels")?)?,
                });
        }
        lists
            .iter()
            .map(|list| {
                let id: Uuid = list.try_get("id")?;
                Ok(RowsOfBlock {
                    block: list.try_get("block")?,
                    from: list.try_get("from_date")?,
                    rows: rows_of.remove(&id).unwrap_or_default(),
                })
            })
            .collect()
    }

    /// All that happened to single vines, by date.
    pub async fn vine_events(&mut self) -> Result<Vec<(Uuid, VineEvent)>, StoreError> {
        let rows = sqlx::query("SELECT * FROM vine_event ORDER BY on_date, arrival")
            .fetch_all(&mut *self.tx)
            .await?;
        rows.iter()
            .map(|found| {
                let event = VineEvent {
                    at: VineAddress {
                        row: found.try_get("row_label")?,
                        panel: found.try_get("panel")?,
                        vine: found.try_get("vine")?,
                    },
                    date: found.try_get("on_date")?,
                    what: row::of_word("vine_event", found.try_get("change")?)?,
                    variety: found.try_get("variety")?,
                    bearing_from: found.try_get("bearing_from")?,
                };
                Ok((found.try_get("id")?, event))
            })
            .collect()
    }
}
