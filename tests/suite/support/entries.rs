//! Entries as they come to the store's door, one line each. Not here: typed pages (`farm`).

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use endpost::science::access::Person;
use endpost::science::places::Block;
use endpost::science::ripeness::{Bag, BrixReading, Sample, Taken};
use endpost::science::weather::WeatherDay;
use endpost::store::Store;
use endpost::store::ledger::{
    Choice, Fields, Happened, NewEntry, Settled, Source, Values, VoidEntry,
};
use tempfile::TempDir;
use uuid::Uuid;

use super::farm::{MORNING, moment};

/// A day in September 2027.
pub fn september(day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 9, day).expect("a day of September")
}

/// The moment entry number `number` comes in: one a minute from 7 in the morning.
pub fn arrival(number: u32) -> DateTime<Utc> {
    moment(MORNING) + TimeDelta::minutes(i64::from(number))
}

/// An id made of a number, so that a test can name it.
pub fn id(number: u32) -> Uuid {
    Uuid::from_u128(0x0199_0000_0000_7000_8000_0000_0000_0000 | u128::from(number))
}

/// A new store in a folder of its own.
pub async fn new_store() -> (TempDir, Store) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let store = Store::open(&folder.path().join("endpost.db"), moment(MORNING))
        .await
        .expect("a new store");
    (folder, store)
}

/// An entry that says something understood. Its typed text is the values' own, so that other
/// values are other contents.
pub fn entry(number: u32, values: impl Into<Values>) -> NewEntry {
    let values = values.into();
    let json = values.to_json().expect("values as JSON");
    let typed = [("typed", json.as_str())];
    NewEntry {
        id: id(number),
        kind: values.kind(),
        form_version: 1,
        subject: None,
        base: None,
        fields: typed.into_iter().collect::<Fields>(),
        values: Some(values),
        problems: Vec::new(),
        person: Some("KM".to_owned()),
        device_id: None,
        seq: None,
        came_by: None,
        no_client_id: false,
        source: Source::Phone,
        card_code: None,
        happened: Happened::default(),
        typed_at: None,
        sent_at: None,
        received_at: arrival(number),
    }
}

/// The same about another record.
pub fn about(number: u32, subject: Uuid, values: impl Into<Values>) -> NewEntry {
    NewEntry {
        subject: Some(subject),
        ..entry(number, values)
    }
}

/// An entry kept as typed.
pub fn held(number: u32, would_be: impl Into<Values>, why: &str) -> NewEntry {
    NewEntry {
        values: None,
        problems: vec![why.to_owned()],
        ..entry(number, would_be)
    }
}

/// Takes an entry back.
pub fn void(number: u32, subject: Uuid) -> NewEntry {
    about(number, subject, VoidEntry { reason: None })
}

/// Says what an entry in conflict is.
pub fn choice(number: u32, of: Uuid, settled: Settled) -> NewEntry {
    about(number, of, Choice { of, settled })
}

/// Rain of a day, in mm.
pub fn rain(day: u32, mm: f64) -> WeatherDay {
    WeatherDay {
        date: september(day),
        time: None,
        rain_mm: Some(mm),
        low_c: None,
        high_c: None,
        hard_frost: false,
        note: String::new(),
    }
}

pub fn block(name: &str) -> Block {
    Block {
        name: name.to_owned(),
        variety: None,
        note: None,
    }
}

pub fn person(initials: &str) -> Person {
    Person {
        initials: initials.to_owned(),
        name: None,
        here: true,
    }
}

/// A bag of 100 berries, looked at as often as there are readings.
pub fn bag(number: u16, brix: &[f64]) -> Bag {
    let reading = |raw: &f64| BrixReading {
        raw: *raw,
        corrected: *raw,
    };
    Bag {
        number,
        berries: 100,
        weight_g: None,
        juice_temperature_c: None,
        brix: brix.iter().map(reading).collect(),
        ph: Vec::new(),
        ta: None,
    }
}

/// One bag read once.
pub fn sample(block: Uuid, day: u32, brix: f64) -> Sample {
    Sample::of(block, september(day), Taken::Bags(vec![bag(1, &[brix])]))
}
