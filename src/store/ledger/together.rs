//! Plain new entries that wait at the same time, taken in together: one statement for many rows
//! instead of many for each. It comes to the same as the door one by one, which a test holds; what
//! is not plain, or does not go through, is left to the door.
//! Not here: corrections, repeats, conflicts, what is held (`door`).

use std::collections::BTreeMap;

use sqlx::SqliteConnection;

use super::door::{Skew, receipt, written_down};
use super::entry::Arrival;
use super::history::{self, Entry};
use super::{Kind, NewEntry, Outcome, Receipt, Values};
use crate::store::row::Batch;
use crate::store::{SampleCame, StoreError, phones, ripeness, weather};

/// Where the ledger ends. Whoever alone writes need not look again after each commit; should
/// somebody else have written, the next arrival number is taken and nothing goes in.
pub struct End {
    newest: i64,
    skew: Skew,
}

impl End {
    pub async fn of(connection: &mut SqliteConnection) -> Result<Self, StoreError> {
        Ok(Self {
            newest: history::newest(connection).await?,
            skew: Skew::now(connection).await?,
        })
    }

    /// The newest arrival number.
    pub fn newest(&self) -> i64 {
        self.newest
    }
}

/// Plain entries that are in.
pub struct Came {
    pub receipts: Vec<Receipt>,
    /// The samples among them.
    pub samples: Vec<SampleCame>,
    pub end: End,
}

/// Why plain entries did not go in together.
pub enum Failed {
    /// Nothing was begun.
    Before(StoreError),
    /// The transaction may still stand open.
    Within(StoreError),
}

/// Whether an entry is new, understood, speaks of no other, and is of a kind that comes in numbers.
pub fn is_plain(entry: &NewEntry) -> bool {
    matches!(entry.kind, Kind::Sample | Kind::Weather)
        && entry.values.is_some()
        && entry.subject.is_none()
        && entry.base.is_none()
        && !entry.no_client_id
}

/// Takes plain entries in by a transaction of their own, all or none; none when one of them was
/// here before.
pub async fn commit<'a>(
    connection: &mut SqliteConnection,
    new: impl Iterator<Item = &'a NewEntry>,
    mut end: End,
) -> Result<Came, Failed> {
    let mut entries: Vec<Entry> = new.map(|entry| written_down(entry.clone())).collect();
    for entry in &mut entries {
        end.newest += 1;
        entry.arrival_no = end.newest;
        entry.took_effect = Some(end.newest);
        entry.skew_s = end.skew.of(entry);
    }
    let batch = written(&entries).map_err(Failed::Before)?;
    batch.commit(connection).await.map_err(Failed::Within)?;
    let samples = entries.iter().filter_map(sample_came).collect();
    let receipts = entries.into_iter();
    let receipts = receipts.map(|entry| receipt(entry, Outcome::New));
    Ok(Came {
        receipts: receipts.collect(),
        samples,
        end,
    })
}

fn written(entries: &[Entry]) -> Result<Batch, StoreError> {
    let mut batch = Batch::in_a_transaction();
    history::insert_all(&mut batch, entries)?;
    put_all(&mut batch, entries)?;
    heard_from_all(&mut batch, entries);
    Ok(batch)
}

fn sample_came(entry: &Entry) -> Option<SampleCame> {
    let Some(Values::Sample(sample)) = &entry.values else {
        return None;
    };
    Some(SampleCame {
        arrival_no: entry.arrival_no,
        record: entry.record,
        person: entry.person.clone(),
        device: entry.device_id,
        received_at: entry.received_at,
        sample: sample.clone(),
    })
}

/// Puts the values into the tables of their rooms.
fn put_all(batch: &mut Batch, entries: &[Entry]) -> Result<(), StoreError> {
    let (mut samples, mut days) = (Vec::new(), Vec::new());
    for entry in entries {
        let arrival = Arrival {
            record: entry.id,
            entry: entry.id,
            arrival_no: entry.arrival_no,
        };
        match &entry.values {
            Some(Values::Sample(sample)) => samples.push((arrival, sample)),
            Some(Values::Weather(day)) => days.push((arrival, day)),
            _ => {}
        }
    }
    ripeness::insert_samples(batch, &samples)?;
    weather::insert_days(batch, &days);
    Ok(())
}

/// Each device once, with the latest of what it sent.
fn heard_from_all(batch: &mut Batch, entries: &[Entry]) {
    let mut devices = BTreeMap::new();
    for entry in entries {
        if let Some(device) = entry.device_id {
            let (at, seq) = devices
                .entry(device)
                .or_insert((entry.received_at, entry.seq));
            *at = entry.received_at.max(*at);
            *seq = entry.seq.max(*seq);
        }
    }
    phones::heard_from(batch, devices);
}
