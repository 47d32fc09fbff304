//! How and when entries came to the house: from which card, how long after the thing itself.
//! Not here: what they say (`history`).

use chrono::{DateTime, NaiveDate, Utc};
use sqlx::Row;
use sqlx::sqlite::SqliteRow;

use super::history::{moment, read};
use super::{Entry, Source};
use crate::store::{Read, StoreError};

/// How and when an entry came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Came {
    pub source: Source,
    pub card_code: Option<String>,
    /// The day of the thing itself.
    pub happened: Option<NaiveDate>,
    pub received_at: DateTime<Utc>,
}

impl Entry {
    pub fn came(&self) -> Came {
        Came {
            source: self.source,
            card_code: self.card_code.clone(),
            happened: self.happened.date,
            received_at: self.received_at,
        }
    }
}

/// The same from a row that holds these columns of the ledger.
pub(crate) fn came(row: &SqliteRow, happened: Option<NaiveDate>) -> Result<Came, StoreError> {
    let source: &str = row.try_get("source")?;
    Ok(Came {
        source: Source::of_word(source)
            .ok_or_else(|| StoreError::unreadable("ledger", format!("the source {source}")))?,
        card_code: row.try_get("card_code")?,
        happened,
        received_at: moment(row.try_get("received_at")?)?,
    })
}

impl Read {
    /// The entries of the field that count and came since a moment, the newest first.
    pub async fn come_since(&mut self, since: DateTime<Utc>) -> Result<Vec<Entry>, StoreError> {
        let rows = sqlx::query(
            "SELECT * FROM ledger
             WHERE received_at >= ? AND state = 'stored' AND source IN ('phone', 'paper', 'house')
               AND kind IN ('sample', 'spray', 'weather', 'vine', 'clusters')
               AND happened_date IS NOT NULL
             ORDER BY arrival_no DESC",
        )
        .bind(since.timestamp_millis())
        .fetch_all(&mut *self.tx)
        .await?;
        rows.iter().map(read).collect()
    }

    /// When the newest entry came that a readiness sheet or a spray board tells of.
    pub async fn newest_on_sheets(&mut self) -> Result<Option<DateTime<Utc>>, StoreError> {
        let newest: Option<i64> = sqlx::query_scalar(
            "SELECT received_at FROM ledger
             WHERE kind NOT IN ('person', 'instrument', 'clusters', 'card', 'day_list') AND state <> 'held'
             ORDER BY arrival_no DESC LIMIT 1",
        )
        .fetch_optional(&mut *self.tx)
        .await?;
        newest.map(moment).transpose()
    }
}
