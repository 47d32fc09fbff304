//! Phones and computers seen here: when, which of their numbers arrived, what they told of
//! themselves; and what became of entries they ask about.
//! Not here: the entries themselves (`ledger`), who is let in (`access`).

use chrono::{DateTime, Utc};
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::ledger::{CLOCKS_AGREE, Entry, State};
use super::row::{self, Batch};
use super::{Read, StoreError};

/// What a phone tells of itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Told {
    pub device: Uuid,
    /// The highest number it has given to an entry.
    pub seq: i64,
    /// How many entries wait on it.
    pub waiting: i64,
    pub at: DateTime<Utc>,
}

/// A phone or computer as it was seen here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhoneSeen {
    pub device: Uuid,
    pub last_seen: DateTime<Utc>,
    /// The highest of its numbers that arrived.
    pub last_seq: Option<i64>,
    /// What it told of itself last.
    pub told: Option<Told>,
    /// Its numbers that arrived, each once, in order.
    pub arrived: Vec<i64>,
    /// Whether an entry ever came from it.
    pub has_entered: bool,
    /// Who typed what came from it last.
    pub person: Option<String>,
    /// What the keeper calls it.
    pub called: Option<String>,
    /// The phone that it is the same as, under an id that it has now.
    pub same_as: Option<Uuid>,
}

/// Notes when entries came from devices, and the highest counting number they had there.
pub(super) fn heard_from(
    batch: &mut Batch,
    devices: impl IntoIterator<Item = (Uuid, (DateTime<Utc>, Option<i64>))>,
) {
    batch.insert_or(
        "INSERT INTO device (id, first_seen, last_seen, last_seq) ",
        devices,
        |row, (device, (at, seq))| {
            row.push_bind(device)
                .push_bind(at.timestamp_millis())
                .push_bind(at.timestamp_millis())
                .push_bind(seq);
        },
        " ON CONFLICT (id) DO UPDATE SET last_seen = max(last_seen, excluded.last_seen),
           last_seq = coalesce(max(last_seq, excluded.last_seq), last_seq, excluded.last_seq)",
    );
}

/// Notes what a device told of itself.
pub(super) async fn told(connection: &mut SqliteConnection, told: Told) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO device (id, first_seen, last_seen, told_seq, told_waiting, told_at)
         VALUES (?1, ?2, ?2, ?3, ?4, ?2)
         ON CONFLICT (id) DO UPDATE SET last_seen = max(last_seen, ?2),
           told_seq = ?3, told_waiting = ?4, told_at = ?2",
    )
    .bind(told.device)
    .bind(told.at.timestamp_millis())
    .bind(told.seq)
    .bind(told.waiting)
    .execute(connection)
    .await?;
    Ok(())
}

#[derive(sqlx::FromRow)]
struct DeviceRow {
    id: Uuid,
    last_seen: i64,
    last_seq: Option<i64>,
    told_seq: Option<i64>,
    told_waiting: Option<i64>,
    told_at: Option<i64>,
    called: Option<String>,
    same_as: Option<Uuid>,
}

impl DeviceRow {
    fn seen(self, arrived: Vec<i64>, person: Option<String>) -> Result<PhoneSeen, StoreError> {
        let told = match (self.told_seq, self.told_waiting, self.told_at) {
            (Some(seq), Some(waiting), Some(at)) => Some(Told {
                device: self.id,
                seq,
                waiting,
                at: row::moment("device", at)?,
            }),
            _ => None,
        };
        Ok(PhoneSeen {
            device: self.id,
            last_seen: row::moment("device", self.last_seen)?,
            last_seq: self.last_seq,
            told,
            arrived,
            person,
            has_entered: false,
            called: self.called,
            same_as: self.same_as,
        })
    }
}

impl Read {
    /// Whether an entry that the same device numbered before this one says a later time: then its
    /// clock was changed in between.
    pub async fn numbered_before_but_later(&mut self, entry: &Entry) -> Result<bool, StoreError> {
        let (Some(device), Some(seq), Some(typed_at)) =
            (entry.device_id, entry.seq, entry.typed_at)
        else {
            return Ok(false);
        };
        let later = typed_at.timestamp_millis() + CLOCKS_AGREE.num_milliseconds();
        Ok(sqlx::query_scalar(
            "SELECT EXISTS (SELECT 1 FROM ledger WHERE device_id = ? AND seq < ? AND typed_at > ?)",
        )
        .bind(device)
        .bind(seq)
        .bind(later)
        .fetch_one(&mut *self.tx)
        .await?)
    }

    /// Every phone and computer, the one heard of last first.
    pub async fn phones(&mut self) -> Result<Vec<PhoneSeen>, StoreError> {
        let rows: Vec<DeviceRow> = sqlx::query_as("SELECT * FROM device ORDER BY last_seen DESC")
            .fetch_all(&mut *self.tx)
            .await?;
        let mut phones = Vec::with_capacity(rows.len());
        for row in rows {
            let arrived = sqlx::query_scalar(
                "SELECT DISTINCT seq FROM ledger WHERE device_id = ? AND seq IS NOT NULL ORDER BY seq",
            )
            .bind(row.id)
            .fetch_all(&mut *self.tx)
            .await?;
            let person = sqlx::query_scalar(
                "SELECT person FROM ledger WHERE device_id = ? AND person IS NOT NULL
                 ORDER BY arrival_no DESC LIMIT 1",
            )
            .bind(row.id)
            .fetch_optional(&mut *self.tx)
            .await?;
            let has_entered =
                sqlx::query_scalar("SELECT EXISTS (SELECT 1 FROM ledger WHERE device_id = ?)")
                    .bind(row.id)
                    .fetch_one(&mut *self.tx)
                    .await?;
            phones.push(PhoneSeen {
                has_entered,
                ..row.seen(arrived, person)?
            });
        }
        Ok(phones)
    }

    /// What became of an entry; none if it is not here.
    pub async fn state_of(&mut self, id: Uuid) -> Result<Option<State>, StoreError> {
        let state: Option<String> = sqlx::query_scalar("SELECT state FROM ledger WHERE id = ?")
            .bind(id)
            .fetch_optional(&mut *self.tx)
            .await?;
        state
            .map(|word| {
                State::of_word(&word)
                    .ok_or_else(|| StoreError::unreadable("ledger", format!("the state {word}")))
            })
            .transpose()
    }
}
