//! What was measured last: the questions of the sample form lean on it.
//! Not here: whole samples (`sample`).

use chrono::{DateTime, NaiveDate, Utc};
use sqlx::Row;
use uuid::Uuid;

use crate::science::ripeness::Attribute;
use crate::store::{Read, StoreError, row};

/// The mean of a block's latest day on which an attribute was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct LatestValue {
    pub block: Uuid,
    pub attribute: Attribute,
    pub date: NaiveDate,
    pub value: f64,
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

impl Read {
    /// The latest values of each block.
    pub async fn latest_values(&mut self) -> Result<Vec<LatestValue>, StoreError> {
        let rows: Vec<(Uuid, String, NaiveDate, f64)> = sqlx::query_as(
            // One seek for each block: what it costs must not grow with all that is stored.
            "WITH latest AS MATERIALIZED
               (SELECT id AS block,
                       (SELECT max(on_date) FROM sample WHERE sample.block = block.id) AS on_date
                FROM block)
             SELECT sample.block, what, sample.on_date, avg(value)
             FROM latest CROSS JOIN sample ON sample.block = latest.block
                         AND sample.on_date > date(latest.on_date, '-45 days')
                         JOIN sample_reading ON sample_reading.sample = sample.id
             GROUP BY sample.block, what, sample.on_date
             UNION ALL
             SELECT sample.block, 'ta', sample.on_date, avg(ta_g_per_l)
             FROM latest CROSS JOIN sample ON sample.block = latest.block
                         AND sample.on_date > date(latest.on_date, '-45 days')
                         JOIN sample_bag ON sample_bag.sample = sample.id
             WHERE ta_g_per_l IS NOT NULL
             GROUP BY sample.block, sample.on_date
             UNION ALL
             SELECT sample.block, 'brix', sample.on_date, avg(brix)
             FROM latest CROSS JOIN sample ON sample.block = latest.block
                         AND sample.on_date > date(latest.on_date, '-45 days')
                         JOIN sample_stop ON sample_stop.sample = sample.id
             GROUP BY sample.block, sample.on_date
             ORDER BY 3 DESC",
        )
        .fetch_all(&mut *self.tx)
        .await?;
        let mut latest: Vec<LatestValue> = Vec::new();
        for (block, what, date, value) in rows {
            let attribute: Attribute = row::of_word("sample_reading", &what)?;
            let seen = latest
                .iter()
                .any(|one| one.block == block && one.attribute == attribute);
            if !seen {
                latest.push(LatestValue {
                    block,
                    attribute,
                    date,
                    value,
                });
            }
        }
        Ok(latest)
    }

    /// The bags of all blocks from a day on; of those with one number the newest stands last.
    pub async fn bags_since(&mut self, day: NaiveDate) -> Result<Vec<RecentBag>, StoreError> {
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
