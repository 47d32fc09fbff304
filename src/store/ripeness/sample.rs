//! Samples with their bags, readings and stops. Not here: targets and instruments.

use std::collections::HashMap;

use chrono::{NaiveDate, NaiveTime};
use sqlx::sqlite::SqliteRow;
use sqlx::{Row, SqliteConnection};
use uuid::Uuid;

use crate::science::places::VineAddress;
use crate::science::ripeness::{
    AcidReading, Bag, BrixReading, InstrumentUsed, Sample, Skipped, Stop, Taken,
};
use crate::store::ledger::Arrival;
use crate::store::ledger::{Came, came};
use crate::store::row::{self, Batch};
use crate::store::{Read, StoreError};

/// A sample with the record it belongs to.
#[derive(Clone, Debug, PartialEq)]
pub struct SampleListed {
    pub id: Uuid,
    pub sample: Sample,
}

/// When a sample was taken, with the record it belongs to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SampleTaken {
    pub id: Uuid,
    pub date: NaiveDate,
    pub time: Option<NaiveTime>,
    /// The numbers of its bags; none for vines that were read one by one.
    pub bags: Vec<u16>,
    /// Whose entry it is, by initials.
    pub person: Option<String>,
    pub came: Came,
}

pub(crate) async fn put_sample(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    sample: &Sample,
) -> Result<(), StoreError> {
    take_out_sample(connection, arrival.record).await?;
    let mut batch = Batch::default();
    insert_samples(&mut batch, &[(arrival, sample)])?;
    batch.run(connection).await
}

/// Samples that are not here yet.
pub(crate) fn insert_samples(
    batch: &mut Batch,
    samples: &[(Arrival, &Sample)],
) -> Result<(), StoreError> {
    let texts = samples.iter().map(|(_, sample)| {
        let used = sample.instrument.as_ref();
        Ok((
            row::json("sample", &sample.rows)?,
            used.map(|used| row::json("sample", used)).transpose()?,
        ))
    });
    let texts: Vec<_> = texts.collect::<Result<_, StoreError>>()?;
    batch.insert(
        "INSERT INTO sample (id, entry, block, on_date, at_time, method, rows_covered, instrument,
           instrument_as_used, taste, seeds, skins, rot_percent, animal_percent, rain_since_mm,
           frozen, two_crops, new_series, note, edge_rows, arrival) ",
        samples.iter().zip(texts),
        |row, ((arrival, sample), (rows, used))| {
            row.push_bind(arrival.record)
                .push_bind(arrival.entry)
                .push_bind(sample.block)
                .push_bind(sample.date)
                .push_bind(row::clock(sample.time))
                .push_bind(match sample.taken {
                    Taken::Bags(_) => "bags",
                    Taken::Stops(_) => "stops",
                })
                .push_bind(rows)
                .push_bind(sample.instrument.as_ref().map(|used| used.id))
                .push_bind(used)
                .push_bind(sample.taste.clone())
                .push_bind(sample.seeds.clone())
                .push_bind(sample.skins.clone())
                .push_bind(sample.rot_percent)
                .push_bind(sample.animal_percent)
                .push_bind(sample.rain_since_mm)
                .push_bind(sample.frozen)
                .push_bind(sample.two_crops)
                .push_bind(sample.new_series.clone())
                .push_bind(sample.note.clone())
                .push_bind(sample.edge_rows)
                .push_bind(arrival.arrival_no);
        },
    );
    let (mut bags, mut stops, mut skipped) = (Vec::new(), Vec::new(), Vec::new());
    for (arrival, sample) in samples {
        let record = arrival.record;
        match &sample.taken {
            Taken::Bags(of) => bags.extend(of.iter().map(|bag| (record, bag))),
            Taken::Stops(of) => {
                stops.extend((0i64..).zip(of).map(|(place, stop)| (record, place, stop)));
            }
        }
        let of = (0i64..).zip(&sample.skipped);
        skipped.extend(of.map(|(place, one)| (record, place, one)));
    }
    insert_bags(batch, &bags)?;
    insert_stops(batch, &stops);
    insert_skipped(batch, &skipped)?;
    Ok(())
}

fn insert_skipped(batch: &mut Batch, skipped: &[(Uuid, i64, &Skipped)]) -> Result<(), StoreError> {
    let why = skipped
        .iter()
        .map(|(_, _, one)| row::word("sample_skipped", &one.why));
    let why: Vec<_> = why.collect::<Result<_, StoreError>>()?;
    batch.insert(
        "INSERT INTO sample_skipped (sample, place, row_label, panel, vine, why, note) ",
        skipped.iter().zip(why),
        |row, ((sample, place, one), why)| {
            row.push_bind(*sample)
                .push_bind(*place)
                .push_bind(one.at.row.clone())
                .push_bind(one.at.panel)
                .push_bind(one.at.vine)
                .push_bind(why)
                .push_bind(one.note.clone());
        },
    );
    Ok(())
}

fn insert_bags(batch: &mut Batch, bags: &[(Uuid, &Bag)]) -> Result<(), StoreError> {
    let ends = bags.iter().map(|(_, bag)| {
        let end = bag.ta.as_ref().and_then(|ta| ta.end_point);
        end.map(|end| row::word("sample_bag", &end)).transpose()
    });
    let ends: Vec<_> = ends.collect::<Result<_, StoreError>>()?;
    batch.insert(
        "INSERT INTO sample_bag (sample, bag, berries, weight_g, juice_temperature_c, ta_g_per_l,
           ta_end_point) ",
        bags.iter().zip(ends),
        |row, ((sample, bag), end)| {
            row.push_bind(*sample)
                .push_bind(bag.number)
                .push_bind(bag.berries)
                .push_bind(bag.weight_g)
                .push_bind(bag.juice_temperature_c)
                .push_bind(bag.ta.as_ref().map(|ta| ta.g_per_l))
                .push_bind(end);
        },
    );
    let readings = bags.iter().flat_map(|(sample, bag)| {
        let brix = bag.brix.iter().map(|one| ("brix", one.raw, one.corrected));
        let ph = bag.ph.iter().map(|value| ("ph", *value, *value));
        (0i64..)
            .zip(brix.chain(ph))
            .map(|(place, reading)| (*sample, bag.number, place, reading))
    });
    batch.insert(
        "INSERT INTO sample_reading (sample, bag, what, reading, raw, value) ",
        readings,
        |row, (sample, bag, place, (what, raw, value))| {
            row.push_bind(sample)
                .push_bind(bag)
                .push_bind(what)
                .push_bind(place)
                .push_bind(raw)
                .push_bind(value);
        },
    );
    Ok(())
}

fn insert_stops(batch: &mut Batch, stops: &[(Uuid, i64, &Stop)]) {
    batch.insert(
        "INSERT INTO sample_stop (sample, stop, row_label, panel, vine, raw, brix) ",
        stops,
        |row, (sample, place, stop)| {
            row.push_bind(*sample)
                .push_bind(*place)
                .push_bind(stop.at.as_ref().map(|at| at.row.clone()))
                .push_bind(stop.at.as_ref().map(|at| at.panel))
                .push_bind(stop.at.as_ref().map(|at| at.vine))
                .push_bind(stop.brix.raw)
                .push_bind(stop.brix.corrected);
        },
    );
}

pub(crate) async fn take_out_sample(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    for sql in [
        "DELETE FROM sample_reading WHERE sample = ?",
        "DELETE FROM sample_bag WHERE sample = ?",
        "DELETE FROM sample_stop WHERE sample = ?",
        "DELETE FROM sample_skipped WHERE sample = ?",
        "DELETE FROM sample WHERE id = ?",
    ] {
        row::delete(connection, sql, record).await?;
    }
    Ok(())
}

impl Read {
    /// When a block's samples up to a day were taken, the newest first.
    pub async fn samples_of(
        &mut self,
        block: Uuid,
        last: NaiveDate,
    ) -> Result<Vec<SampleTaken>, StoreError> {
        let rows = sqlx::query(
            "SELECT sample.id, on_date, at_time, person, source, card_code, received_at,
                    (SELECT json_group_array(bag ORDER BY bag) FROM sample_bag
                     WHERE sample = sample.id) AS bags
             FROM sample JOIN ledger ON ledger.id = sample.id
             WHERE block = ? AND on_date <= ?
             ORDER BY on_date DESC, at_time DESC, arrival DESC LIMIT 60",
        )
        .bind(block)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        rows.iter()
            .map(|row| {
                let date = row.try_get("on_date")?;
                Ok(SampleTaken {
                    id: row.try_get("id")?,
                    date,
                    time: row::time("sample", row.try_get("at_time")?)?,
                    bags: row::of_json("sample_bag", row.try_get("bags")?)?,
                    person: row.try_get("person")?,
                    came: came(row, Some(date))?,
                })
            })
            .collect()
    }

    /// The samples of all blocks from `first` to `last`, by block, day and time.
    pub async fn samples_between(
        &mut self,
        first: NaiveDate,
        last: NaiveDate,
    ) -> Result<Vec<SampleListed>, StoreError> {
        let rows = sqlx::query(
            "SELECT * FROM sample WHERE on_date BETWEEN ? AND ?
             ORDER BY block, on_date, at_time, arrival",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        let bags = sqlx::query(
            "SELECT sample_bag.* FROM sample_bag JOIN sample ON sample.id = sample
             WHERE on_date BETWEEN ? AND ? ORDER BY sample, bag",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        let readings = sqlx::query(
            "SELECT sample_reading.* FROM sample_reading JOIN sample ON sample.id = sample
             WHERE on_date BETWEEN ? AND ? ORDER BY sample, bag, reading",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        let stops = sqlx::query(
            "SELECT sample_stop.* FROM sample_stop JOIN sample ON sample.id = sample
             WHERE on_date BETWEEN ? AND ? ORDER BY sample, stop",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        let skipped = sqlx::query(
            "SELECT sample_skipped.* FROM sample_skipped JOIN sample ON sample.id = sample
             WHERE on_date BETWEEN ? AND ? ORDER BY sample, place",
        )
        .bind(first)
        .bind(last)
        .fetch_all(&mut *self.tx)
        .await?;
        let mut listed = assemble(&rows, &bags, &readings, &stops)?;
        let mut skipped = by_sample(&skipped)?;
        for one in &mut listed {
            one.sample.skipped = skipped.remove(&one.id).unwrap_or_default();
        }
        Ok(listed)
    }
}

fn by_sample(rows: &[SqliteRow]) -> Result<HashMap<Uuid, Vec<Skipped>>, StoreError> {
    let mut found: HashMap<Uuid, Vec<Skipped>> = HashMap::new();
    for row in rows {
        let at = VineAddress {
            row: row.try_get("row_label")?,
            panel: row.try_get("panel")?,
            vine: row.try_get("vine")?,
        };
        found
            .entry(row.try_get("sample")?)
            .or_default()
            .push(Skipped {
                at,
                why: row::of_word("sample_skipped", row.try_get("why")?)?,
                note: row.try_get("note")?,
            });
    }
    Ok(found)
}

fn assemble(
    rows: &[SqliteRow],
    bags: &[SqliteRow],
    readings: &[SqliteRow],
    stops: &[SqliteRow],
) -> Result<Vec<SampleListed>, StoreError> {
    let mut read: HashMap<(Uuid, u16), (Vec<BrixReading>, Vec<f64>)> = HashMap::new();
    for row in readings {
        let bag = read
            .entry((row.try_get("sample")?, row.try_get("bag")?))
            .or_default();
        let value = row.try_get("value")?;
        match row.try_get::<&str, _>("what")? {
            "brix" => bag.0.push(BrixReading {
                raw: row.try_get("raw")?,
                corrected: value,
            }),
            _ => bag.1.push(value),
        }
    }
    let mut bags_of: HashMap<Uuid, Vec<Bag>> = HashMap::new();
    for bag in bags {
        let sample: Uuid = bag.try_get("sample")?;
        let number: u16 = bag.try_get("bag")?;
        let (brix, ph) = read.remove(&(sample, number)).unwrap_or_default();
        let g_per_l: Option<f64> = bag.try_get("ta_g_per_l")?;
        let end_point: Option<&str> = bag.try_get("ta_end_point")?;
        let end_point = end_point
            .map(|word| row::of_word("sample_bag", word))
            .transpose()?;
        bags_of.entry(sample).or_default().push(Bag {
            number,
            berries: bag.try_get("berries")?,
            weight_g: bag.try_get("weight_g")?,
            juice_temperature_c: bag.try_get("juice_temperature_c")?,
            brix,
            ph,
            ta: g_per_l.map(|g_per_l| AcidReading { g_per_l, end_point }),
        });
    }
    let mut stops_of: HashMap<Uuid, Vec<Stop>> = HashMap::new();
    for row in stops {
        let label: Option<String> = row.try_get("row_label")?;
        let panel: Option<u16> = row.try_get("panel")?;
        let vine: Option<u16> = row.try_get("vine")?;
        let at = match (label, panel, vine) {
            (Some(row), Some(panel), Some(vine)) => Some(VineAddress { row, panel, vine }),
            _ => None,
        };
        let brix = BrixReading {
            raw: row.try_get("raw")?,
            corrected: row.try_get("brix")?,
        };
        stops_of
            .entry(row.try_get("sample")?)
            .or_default()
            .push(Stop { at, brix });
    }
    rows.iter()
        .map(|row| {
            let id: Uuid = row.try_get("id")?;
            let taken = match row.try_get::<&str, _>("method")? {
                "bags" => Taken::Bags(bags_of.remove(&id).unwrap_or_default()),
                _ => Taken::Stops(stops_of.remove(&id).unwrap_or_default()),
            };
            let sample = sample(row, taken)?;
            Ok(SampleListed { id, sample })
        })
        .collect()
}

fn sample(row: &SqliteRow, taken: Taken) -> Result<Sample, StoreError> {
    let used: Option<&str> = row.try_get("instrument_as_used")?;
    Ok(Sample {
        block: row.try_get("block")?,
        date: row.try_get("on_date")?,
        time: row::time("sample", row.try_get("at_time")?)?,
        taken,
        rows: row::of_json("sample", row.try_get("rows_covered")?)?,
        instrument: used
            .map(|json| row::of_json::<InstrumentUsed>("sample", json))
            .transpose()?,
        taste: row.try_get("taste")?,
        seeds: row.try_get("seeds")?,
        skins: row.try_get("skins")?,
        rot_percent: row.try_get("rot_percent")?,
        animal_percent: row.try_get("animal_percent")?,
        rain_since_mm: row.try_get("rain_since_mm")?,
        frozen: row.try_get("frozen")?,
        two_crops: row.try_get("two_crops")?,
        new_series: row.try_get("new_series")?,
        note: row.try_get("note")?,
        edge_rows: row.try_get("edge_rows")?,
        skipped: Vec::new(),
    })
}
