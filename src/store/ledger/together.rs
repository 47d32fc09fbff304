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

/// Takes plain entries in, all or none; none of them when one was here before.
pub async fn arrive(
    connection: &mut SqliteConnection,
    new: &[NewEntry],
) -> Result<Option<Vec<Receipt>>, StoreError> {
    let ids: HashSet<_> = new.iter().map(|entry| entry.id).collect();
    if ids.len() < new.len() || history::any_is_here(connection, &ids).await? {
        return Ok(None);
    }
    let mut entries: Vec<Entry> = new.iter().cloned().map(written_down).collect();
    let mut skew = Skew::now(connection).await?;
    let newest = history::newest(connection).await?;
    for (number, entry) in (newest + 1..).zip(&mut entries) {
        entry.arrival_no = number;
        entry.took_effect = Some(number);
        entry.skew_s = skew.of(entry);
    }
    history::insert_all(connection, &entries).await?;
    put_all(connection, &entries).await?;
    heard_from_all(connection, &entries).await?;
    let receipts = entries.into_iter();
    Ok(Some(
        receipts.map(|entry| receipt(entry, Outcome::New)).collect(),
    ))
}

async fn put_all(connection: &mut SqliteConnection, entries: &[Entry]) -> Result<(), StoreError> {
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
            Some(values) => put(connection, arrival, values).await?,
            None => {}
        }
    }
    ripeness::insert_samples(connection, &samples).await?;
    weather::insert_days(connection, &days).await
}

/// Each device once, with the latest of what it sent.
async fn heard_from_all(
    connection: &mut SqliteConnection,
    entries: &[Entry],
) -> Result<(), StoreError> {
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
    for (device, (at, seq)) in devices {
        phones::heard_from(connection, device, at, seq).await?;
    }
    Ok(())
}
