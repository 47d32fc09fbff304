//! Plain new entries that wait at the same time, taken in together: one statement for many rows
//! instead of many for each. It comes to the same as the door one by one, which a test holds; what
//! is not plain, or does not go through, is left to the door.
//! Not here: corrections, repeats, conflicts, what is held (`door`).

use std::collections::{BTreeMap, HashSet};

use sqlx::SqliteConnection;

use super::door::{Skew, put, receipt, written_down};
use super::entry::Arrival;
use super::history::{self, Entry};
use super::{Kind, NewEntry, Outcome, Receipt, Values};
use crate::store::row::Batch;
use crate::store::{StoreError, phones, ripeness, weather};

/// Whether an entry is new, understood, and speaks of no other.
pub fn is_plain(entry: &NewEntry) -> bool {
    let one_of_its_kind = matches!(entry.kind, Kind::Farm | Kind::Assumptions);
    entry.values.is_some()
        && entry.subject.is_none()
        && entry.base.is_none()
        && !entry.no_client_id
        && !entry.kind.is_act()
        && !one_of_its_kind
}

/// Takes plain entries in, all or none; none of them when one was here before. Gives their receipts
/// and the newest arrival number.
pub async fn arrive(
    connection: &mut SqliteConnection,
    new: &[&NewEntry],
) -> Result<Option<(Vec<Receipt>, i64)>, StoreError> {
    let ids: HashSet<_> = new.iter().map(|entry| entry.id).collect();
    let end = history::end(connection, &ids).await?;
    if ids.len() < new.len() || end.has_one {
        return Ok(None);
    }
    let mut entries: Vec<Entry> = new
        .iter()
        .map(|entry| written_down((*entry).clone()))
        .collect();
    let mut skew = Skew::after(end.latest);
    for (number, entry) in (end.newest + 1..).zip(&mut entries) {
        entry.arrival_no = number;
        entry.took_effect = Some(number);
        entry.skew_s = skew.of(entry);
    }
    let mut batch = Batch::default();
    history::insert_all(&mut batch, &entries)?;
    let one_by_one = put_all(&mut batch, &entries)?;
    heard_from_all(&mut batch, &entries);
    batch.run(&mut *connection).await?;
    for (arrival, values) in one_by_one {
        put(connection, arrival, values).await?;
    }
    let newest = end.newest + new.len() as i64;
    let receipts = entries.into_iter();
    let receipts = receipts.map(|entry| receipt(entry, Outcome::New));
    Ok(Some((receipts.collect(), newest)))
}

/// Puts into the batch what the rooms can put there; gives the others.
fn put_all<'a>(
    batch: &mut Batch,
    entries: &'a [Entry],
) -> Result<Vec<(Arrival, &'a Values)>, StoreError> {
    let (mut samples, mut days, mut others) = (Vec::new(), Vec::new(), Vec::new());
    for entry in entries {
        let arrival = Arrival {
            record: entry.id,
            entry: entry.id,
            arrival_no: entry.arrival_no,
        };
        match &entry.values {
            Some(Values::Sample(sample)) => samples.push((arrival, sample)),
            Some(Values::Weather(day)) => days.push((arrival, day)),
            Some(values) => others.push((arrival, values)),
            None => {}
        }
    }
    ripeness::insert_samples(batch, &samples)?;
    weather::insert_days(batch, &days);
    Ok(others)
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
