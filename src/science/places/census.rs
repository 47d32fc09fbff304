//! The vines at each address through the years, and how many stood and bore on a date.
//!
//! Gone vines keep their number. Rows change blocks by dated lists and never change names.

use super::{RowLayout, VineAddress};
use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What happened to a vine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum VineChange {
    Planted,
    Gone,
    Weak,
    Replanted,
    Grafted,
}

/// One entry in the history of an address.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct VineEvent {
    pub at: VineAddress,
    pub date: NaiveDate,
    pub what: VineChange,
    #[serde(default)]
    pub variety: Option<String>,
    /// The first year of crop, for what is planted, replanted or grafted.
    #[serde(default)]
    pub bearing_from: Option<i32>,
}

/// One vine that stood at an address.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct VineLife {
    /// Blank where it stood before anything was written down.
    pub planted: Option<NaiveDate>,
    pub gone: Option<NaiveDate>,
    pub weak_since: Option<NaiveDate>,
    pub grafted: Option<NaiveDate>,
    pub variety: Option<String>,
    pub bearing_from: Option<i32>,
}

impl VineLife {
    fn stands(&self) -> bool {
        self.gone.is_none()
    }

    /// Whether it bears in a year; nothing where it was planted and no year was typed.
    pub fn bears_in(&self, year: i32) -> Option<bool> {
        let changed = self.planted.is_some() || self.grafted.is_some();
        match self.bearing_from {
            Some(from) => Some(from <= year),
            None if changed => None,
            None => Some(true),
        }
    }
}

/// The vines at one address in the order they stood there, so far as written by a date.
///
/// The position counts as planted from the start unless its first entry is a planting. A
/// replanting ends the vine before it on the same day, if that was not written before.
pub fn history(at: &VineAddress, events: &[VineEvent], until: NaiveDate) -> Vec<VineLife> {
    let own = events.iter().filter(|event| event.at == *at);
    lives(own.collect(), until)
}

fn lives(mut events: Vec<&VineEvent>, until: NaiveDate) -> Vec<VineLife> {
    // Stable: entries of one day keep the order in which they were written.
    events.sort_by_key(|event| event.date);
    let opens_with_planting = events
        .first()
        .is_some_and(|event| event.what == VineChange::Planted);
    events.retain(|event| event.date <= until);
    let mut lives = Vec::new();
    if !opens_with_planting {
        lives.push(VineLife::default());
    }
    for event in events {
        match (event.what, lives.last_mut()) {
            (VineChange::Planted | VineChange::Replanted, before) => {
                if let Some(before) = before {
                    before.gone = before.gone.or(Some(event.date));
                }
                lives.push(VineLife {
                    planted: Some(event.date),
                    variety: event.variety.clone(),
                    bearing_from: event.bearing_from,
                    ..VineLife::default()
                });
            }
            (VineChange::Gone, Some(vine)) => vine.gone = vine.gone.or(Some(event.date)),
            (VineChange::Weak, Some(vine)) => {
                vine.weak_since = vine.weak_since.or(Some(event.date));
            }
            (VineChange::Grafted, Some(vine)) => {
                vine.grafted = Some(event.date);
                vine.variety = event.variety.clone().or(vine.variety.take());
                vine.bearing_from = event.bearing_from;
            }
            (_, None) => {}
        }
    }
    lives
}

fn by_address(events: &[VineEvent]) -> BTreeMap<&VineAddress, Vec<&VineEvent>> {
    let mut found: BTreeMap<&VineAddress, Vec<&VineEvent>> = BTreeMap::new();
    for event in events {
        found.entry(&event.at).or_default().push(event);
    }
    found
}

/// How many positions there are on a date, and what stands there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Count {
    pub positions: u32,
    pub standing: u32,
    /// Without a vine: gone, or not planted yet.
    pub gone: u32,
    /// Of those standing.
    pub weak: u32,
    /// Of those standing: in crop in the year of the date.
    pub bearing: u32,
    /// Of those standing: planted with no bearing year typed; in no sum until it is.
    pub bearing_not_said: u32,
}

/// Counts the positions, the standing and the bearing vines of some rows on a date.
///
/// A position without entries holds a bearing vine. Entries for positions that are not in the
/// rows are left out.
pub fn count_on(rows: &[RowLayout], events: &[VineEvent], date: NaiveDate) -> Count {
    let by_address = by_address(events);
    let mut count = Count::default();
    for address in rows.iter().flat_map(RowLayout::addresses) {
        count.positions += 1;
        let events = by_address.get(&address).cloned().unwrap_or_default();
        let Some(vine) = lives(events, date).pop().filter(VineLife::stands) else {
            count.gone += 1;
            continue;
        };
        count.standing += 1;
        count.weak += u32::from(vine.weak_since.is_some());
        match vine.bears_in(date.year()) {
            Some(bears) => count.bearing += u32::from(bears),
            None => count.bearing_not_said += 1,
        }
    }
    count
}

/// The addresses where a vine stands on a date, in walking order.
pub fn standing_on(rows: &[RowLayout], events: &[VineEvent], date: NaiveDate) -> Vec<VineAddress> {
    let gone = gone_on(events, date);
    rows.iter()
        .flat_map(RowLayout::addresses)
        .filter(|address| gone.binary_search(&address).is_err())
        .collect()
}

/// The addresses where a vine bears in the year of a date, in walking order. Where no bearing year
/// was typed for a young vine, it is not counted among them.
pub fn bearing_on(rows: &[RowLayout], events: &[VineEvent], date: NaiveDate) -> Vec<VineAddress> {
    let by_address = by_address(events);
    let bears = |address: &VineAddress| {
        let events = by_address.get(address).cloned().unwrap_or_default();
        let vine = lives(events, date).pop().filter(VineLife::stands);
        vine.and_then(|vine| vine.bears_in(date.year())) == Some(true)
    };
    rows.iter()
        .flat_map(RowLayout::addresses)
        .filter(bears)
        .collect()
}

/// The addresses whose vine is gone on a date, sorted.
pub fn gone_on(events: &[VineEvent], date: NaiveDate) -> Vec<&VineAddress> {
    by_address(events)
        .into_iter()
        .filter(|(_, events)| {
            let last = lives(events.clone(), date).pop();
            !last.is_some_and(|vine| vine.stands())
        })
        .map(|(address, _)| address)
        .collect()
}
