//! What was measured last: the questions of the sample form lean on it. It is read once, and new
//! samples are added to it as they come.
//! Not here: whole samples (`sample`), and how new ones are heard of (`store::commits`).

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use sqlx::Row;
use uuid::Uuid;

use crate::science::ripeness::{Attribute, Bag, BrixReading, Sample, Taken};
use crate::store::ledger::newest_arrival_no as newest;
use crate::store::{Read, StoreError, row};

/// Days further back than this from a block's latest are not looked at.
const BACK: TimeDelta = TimeDelta::days(45);

/// What was measured last in each block. Copies share it until the next sample.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Recent {
    /// The newest arrival number that is looked at here.
    up_to: i64,
    /// The day from which bags are known.
    since: NaiveDate,
    measured: Arc<Measured>,
}

#[derive(Clone, Debug, Default, PartialEq)]
struct Measured {
    /// The latest day of each block, whatever was measured on it.
    latest: BTreeMap<Uuid, NaiveDate>,
    days: Vec<Day>,
    bags: Vec<RecentBag>,
}

/// All values of an attribute from one block and day.
#[derive(Clone, Debug, PartialEq)]
struct Day {
    block: Uuid,
    attribute: Attribute,
    date: NaiveDate,
    count: u32,
    sum: f64,
}

/// A bag entered before, with who entered it and when.
#[derive(Clone, Debug, PartialEq)]
pub struct RecentBag {
    pub record: Uuid,
    pub person: Option<String>,
    pub device: Option<Uuid>,
    pub received_at: DateTime<Utc>,
    pub block: Uuid,
    pub date: NaiveDate,
    pub bag: u16,
    pub brix: Option<f64>,
}

/// A new sample as it came.
#[derive(Clone, Debug)]
pub struct SampleCame {
    pub arrival_no: i64,
    pub record: Uuid,
    pub person: Option<String>,
    pub device: Option<Uuid>,
    pub received_at: DateTime<Utc>,
    pub sample: Sample,
}

impl Recent {
    pub fn up_to(&self) -> i64 {
        self.up_to
    }

    pub fn since(&self) -> NaiveDate {
        self.since
    }

    /// The bags of a block and day; those of one number stand in order, the newest last.
    pub fn bags_of(
        &self,
        block: Uuid,
        date: NaiveDate,
    ) -> impl DoubleEndedIterator<Item = &RecentBag> {
        let of_day = move |one: &&RecentBag| one.block == block && one.date == date;
        self.measured.bags.iter().filter(of_day)
    }

    /// The mean of the latest day on which an attribute was measured in a block.
    pub fn latest(&self, block: Uuid, attribute: Attribute) -> Option<(NaiveDate, f64)> {
        let of = |one: &&Day| one.block == block && one.attribute == attribute;
        let latest = self
            .measured
            .days
            .iter()
            .filter(of)
            .max_by_key(|one| one.date)?;
        self.measured
            .looks_back_to(block, latest.date)
            .then(|| (latest.date, latest.sum / f64::from(latest.count)))
    }

    /// Adds a sample that came after all that is here, if it is recent enough to matter.
    pub fn add(&mut self, came: &SampleCame) {
        self.up_to = came.arrival_no;
        let sample = &came.sample;
        if self.measured.looks_back_to(sample.block, sample.date) {
            let measured = Arc::make_mut(&mut self.measured);
            let latest = measured.latest.entry(sample.block).or_insert(sample.date);
            *latest = sample.date.max(*latest);
            for (attribute, value) in values(sample) {
                measured.add(sample, attribute, value);
            }
        }
        if self.since <= sample.date {
            let bags = bags(sample).iter().map(|bag| RecentBag {
                record: came.record,
                person: came.person.clone(),
                device: came.device,
                received_at: came.received_at,
                block: sample.block,
                date: sample.date,
                bag: bag.number,
                brix: mean_brix(bag),
            });
            Arc::make_mut(&mut self.measured).bags.extend(bags);
        }
    }
}

impl Measured {
    fn looks_back_to(&self, block: Uuid, date: NaiveDate) -> bool {
        let latest = self.latest.get(&block);
        latest.is_none_or(|latest| *latest - date < BACK)
    }

    fn add(&mut self, sample: &Sample, attribute: Attribute, value: f64) {
        let (block, date) = (sample.block, sample.date);
        let is_it =
            |one: &&mut Day| (one.block, one.attribute, one.date) == (block, attribute, date);
        match self.days.iter_mut().find(is_it) {
            Some(day) => {
                day.count += 1;
                day.sum += value;
            }
            None => self.days.push(Day {
                block,
                attribute,
                date,
                count: 1,
                sum: value,
            }),
        }
    }
}

fn bags(sample: &Sample) -> &[Bag] {
    match &sample.taken {
        Taken::Bags(bags) => bags,
        Taken::Stops(_) => &[],
    }
}

fn mean_brix(bag: &Bag) -> Option<f64> {
    let sum: f64 = bag.brix.iter().map(|one| one.corrected).sum();
    (!bag.brix.is_empty()).then(|| sum / bag.brix.len() as f64)
}

/// Every value that was measured.
fn values(sample: &Sample) -> Vec<(Attribute, f64)> {
    let brix = |one: &BrixReading| (Attribute::Brix, one.corrected);
    match &sample.taken {
        Taken::Stops(stops) => stops.iter().map(|stop| brix(&stop.brix)).collect(),
        Taken::Bags(bags) => bags
            .iter()
            .flat_map(|bag| {
                let ph = bag.ph.iter().map(|value| (Attribute::Ph, *value));
                let ta = bag.ta.iter().map(|ta| (Attribute::Ta, ta.g_per_l));
                bag.brix.iter().map(brix).chain(ph).chain(ta)
            })
            .collect(),
    }
}

impl Read {
    /// What was measured last, with the bags of all blocks from a day on.
    pub async fn recent(&mut self, since: NaiveDate) -> Result<Recent, StoreError> {
        Ok(Recent {
            up_to: newest(&mut self.tx).await?,
            since,
            measured: Arc::new(Measured {
                latest: self.latest_day_of_each().await?,
                days: self.latest_days().await?,
                bags: self.bags_since(since).await?,
            }),
        })
    }

    async fn latest_day_of_each(&mut self) -> Result<BTreeMap<Uuid, NaiveDate>, StoreError> {
        let rows: Vec<(Uuid, Option<NaiveDate>)> = sqlx::query_as(
            "SELECT id, (SELECT max(on_date) FROM sample WHERE sample.block = block.id) FROM block",
        )
        .fetch_all(&mut *self.tx)
        .await?;
        let sampled = rows
            .into_iter()
            .filter_map(|(block, day)| Some((block, day?)));
        Ok(sampled.collect())
    }

    async fn latest_days(&mut self) -> Result<Vec<Day>, StoreError> {
        let rows: Vec<(Uuid, String, NaiveDate, u32, f64)> = sqlx::query_as(
            // One seek for each block: what it costs must not grow with all that is stored.
            "WITH latest AS MATERIALIZED
               (SELECT id AS block,
                       (SELECT max(on_date) FROM sample WHERE sample.block = block.id) AS on_date
                FROM block)
             SELECT sample.block, what, sample.on_date, count(*), sum(value)
             FROM latest CROSS JOIN sample ON sample.block = latest.block
                         AND sample.on_date > date(latest.on_date, ?1)
                         JOIN sample_reading ON sample_reading.sample = sample.id
             GROUP BY sample.block, what, sample.on_date
             UNION ALL
             SELECT sample.block, 'ta', sample.on_date, count(*), sum(ta_g_per_l)
             FROM latest CROSS JOIN sample ON sample.block = latest.block
                         AND sample.on_date > date(latest.on_date, ?1)
                         JOIN sample_bag ON sample_bag.sample = sample.id
             WHERE ta_g_per_l IS NOT NULL
             GROUP BY sample.block, sample.on_date
             UNION ALL
             SELECT sample.block, 'brix', sample.on_date, count(*), sum(brix)
             FROM latest CROSS JOIN sample ON sample.block = latest.block
                         AND sample.on_date > date(latest.on_date, ?1)
                         JOIN sample_stop ON sample_stop.sample = sample.id
             GROUP BY sample.block, sample.on_date",
        )
        .bind(format!("-{} days", BACK.num_days()))
        .fetch_all(&mut *self.tx)
        .await?;
        rows.into_iter()
            .map(|(block, what, date, count, sum)| {
                Ok(Day {
                    block,
                    attribute: row::of_word("sample_reading", &what)?,
                    date,
                    count,
                    sum,
                })
            })
            .collect()
    }

    async fn bags_since(&mut self, day: NaiveDate) -> Result<Vec<RecentBag>, StoreError> {
        let rows = sqlx::query(
            "SELECT sample.id, person, device_id, received_at, sample.block, on_date, sample_bag.bag,
               avg(value) AS brix
             FROM block CROSS JOIN sample ON sample.block = block.id
                  JOIN sample_bag ON sample_bag.sample = sample.id
                  JOIN ledger ON ledger.id = sample.id
                  LEFT JOIN sample_reading ON sample_reading.sample = sample.id
                       AND sample_reading.bag = sample_bag.bag AND what = 'brix'
             WHERE on_date >= ?
             GROUP BY sample.id, sample_bag.bag
             ORDER BY sample.block, on_date, sample_bag.bag, sample.arrival",
        )
        .bind(day)
        .fetch_all(&mut *self.tx)
        .await?;
        rows.iter()
            .map(|found| {
                Ok(RecentBag {
                    record: found.try_get("id")?,
                    person: found.try_get("person")?,
                    device: found.try_get("device_id")?,
                    received_at: row::moment("sample", found.try_get("received_at")?)?,
                    block: found.try_get("block")?,
                    date: found.try_get("on_date")?,
                    bag: found.try_get("bag")?,
                    brix: found.try_get("brix")?,
                })
            })
            .collect()
    }
}
