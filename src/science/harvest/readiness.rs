//! The state of a block today: one word, flags beside it, and the reasons for both.
//! Rules: the first that holds, of Past, Ready, Nearing, Hanging. Common practice, no source.
//! Not here: the words and sentences of pages (`web::harvest`).

use chrono::NaiveDate;

use super::Outlook;
use crate::science::ripeness::day::SampleDay;
use crate::science::ripeness::{Assumptions, Attribute};
use crate::science::sources::Work;
use crate::science::sprays::{Hold, Until};
use crate::science::weather::{WeatherDay, last_rain_since, makes_stale, rain_since};

/// A reading counts as fresh for this many days.
pub const FRESH_DAYS: i64 = 4;
/// A block is nearing when the early date is at most this far off.
pub const NEARING_DAYS: f64 = 5.0;
/// After this many days without a sample a block is stale.
pub const STALE_DAYS: i64 = 7;

/// The state word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    NotSampled,
    Hanging,
    Nearing,
    Ready,
    Past,
}

/// What stands beside the state word, never instead of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Flag {
    /// Picking is held by a spray.
    Held(Until),
    /// Nobody may go in without the label's gear.
    EntryClosed(Until),
    Stale {
        days: i64,
    },
    /// Rain since the last sample makes its date doubtful.
    Rain {
        mm: f64,
    },
    Decide(Decide),
}

/// Why a decision can't wait for ripeness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Decide {
    Rot { percent: f64, limit: f64 },
    HardFrost { on: NaiveDate },
}

/// A reason for the state word.
#[derive(Clone, Debug, PartialEq)]
pub enum Because {
    BeyondFarEdge(Attribute),
    Inside(Attribute),
    /// Inside, but read too long ago to pick by.
    InsideButOld {
        attribute: Attribute,
        days: i64,
    },
    /// The last reading looks off beside the others: nothing to go by.
    LooksOff(Attribute),
    /// The early date of the slowest value is near.
    EarlyDateNear {
        attribute: Attribute,
        days: f64,
    },
    NotYet(Attribute),
    /// The value has no date: too few readings, or unlikely to get there.
    NoDate(Attribute),
}

/// What would be needed to say more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Missing {
    Target,
    /// A value with a target was not measured in this series.
    NotMeasured(Attribute),
    SecondReading(Attribute),
    SprayRecord,
}

/// What is known of a block today.
pub struct BlockFacts<'a> {
    /// The sample days of the running series, oldest first.
    pub series: &'a [SampleDay],
    pub outlooks: &'a [Outlook; 3],
    pub weather: &'a [WeatherDay],
    pub hold: Hold,
    pub today: NaiveDate,
    pub assumptions: &'a Assumptions,
}

/// The state of a block with its reasons.
#[derive(Clone, Debug, PartialEq)]
pub struct Readiness {
    pub state: State,
    pub flags: Vec<Flag>,
    pub because: Vec<Because>,
    pub missing: Vec<Missing>,
    /// The value that will be the last to come inside.
    pub slowest: Option<Attribute>,
    pub hold: Hold,
    pub age_days: Option<i64>,
    /// None when nobody wrote down any rain since the last sample.
    pub rain_mm: Option<f64>,
    /// The day of the last rain since the last sample.
    pub last_rain: Option<NaiveDate>,
    pub sources: Vec<Work>,
}

impl Readiness {
    /// Whether rain since the last sample puts the date in doubt.
    pub fn date_in_doubt(&self) -> bool {
        self.flags
            .iter()
            .any(|flag| matches!(flag, Flag::Rain { .. }))
    }

    /// The flag that holds picking, if any: it goes with the state word wherever that is shown.
    pub fn held(&self) -> Option<&Until> {
        self.flags.iter().find_map(|flag| match flag {
            Flag::Held(until) => Some(until),
            _ => None,
        })
    }
}

/// Says what can be said of a block today.
pub fn readiness(facts: BlockFacts) -> Readiness {
    let BlockFacts {
        series,
        outlooks,
        weather,
        ref hold,
        today,
        ..
    } = facts;
    let wanted: Vec<&Outlook> = outlooks.iter().filter(|one| one.has_target()).collect();
    let last = series.last();
    let age_days = last.map(|day| (today - day.date).num_days());
    let rain_mm = last.and_then(|day| rain_since(weather, day.date, day.time));
    let slowest = slowest(&wanted);
    let (state, because) = match last {
        None => (State::NotSampled, Vec::new()),
        Some(_) => judge(&wanted, slowest, today),
    };
    let mut flags = holds(hold);
    if let Some(days) = age_days.filter(|days| *days > STALE_DAYS) {
        flags.push(Flag::Stale { days });
    }
    if let Some(mm) = rain_mm.filter(|mm| makes_stale(*mm)) {
        flags.push(Flag::Rain { mm });
    }
    flags.extend(decisions(&facts).into_iter().map(Flag::Decide));
    Readiness {
        state,
        flags,
        because,
        missing: missing(&wanted, hold, last.is_some()),
        slowest: slowest.map(|one| one.attribute),
        hold: hold.clone(),
        age_days,
        rain_mm,
        last_rain: last.and_then(|day| last_rain_since(weather, day.date, day.time)),
        sources: vec![Work::MarylandSampling],
    }
}

fn holds(hold: &Hold) -> Vec<Flag> {
    let mut flags = Vec::new();
    if hold.picking.is_closed() {
        flags.push(Flag::Held(hold.picking.clone()));
    }
    if hold.entry.is_closed() {
        flags.push(Flag::EntryClosed(hold.entry.clone()));
    }
    flags
}

/// The value that comes inside last; one without a date is slower than any with one. None when
/// all that were measured are inside.
fn slowest<'a>(wanted: &[&'a Outlook]) -> Option<&'a Outlook> {
    wanted
        .iter()
        .copied()
        .filter(|one| one.last.is_some() && !one.inside())
        .max_by(|one, other| {
            let days = |outlook: &Outlook| outlook.middle_days().unwrap_or(f64::INFINITY);
            days(one).total_cmp(&days(other))
        })
}

fn judge(
    wanted: &[&Outlook],
    slowest: Option<&Outlook>,
    today: NaiveDate,
) -> (State, Vec<Because>) {
    let past: Vec<Because> = wanted
        .iter()
        .filter(|one| one.beyond_far_edge() && !one.last_looks_off)
        .map(|one| Because::BeyondFarEdge(one.attribute))
        .collect();
    if !past.is_empty() {
        return (State::Past, past);
    }
    let age = |one: &Outlook| {
        one.last
            .as_ref()
            .map(|(date, _)| (today - *date).num_days())
    };
    let fresh = |one: &Outlook| age(one).is_some_and(|days| days <= FRESH_DAYS);
    let because: Vec<Because> = wanted
        .iter()
        .filter_map(|one| reason(one, age(one)?))
        .collect();
    let measured: Vec<&&Outlook> = wanted.iter().filter(|one| one.last.is_some()).collect();
    let sound = |one: &Outlook| fresh(one) && !one.last_looks_off;
    if !wanted.is_empty() && wanted.iter().all(|one| one.inside() && sound(one)) {
        return (State::Ready, because);
    }
    if !measured.is_empty() && measured.iter().all(|one| one.inside()) {
        return (State::Nearing, because);
    }
    let near = slowest.and_then(|one| {
        let days = one.early_days().filter(|days| *days <= NEARING_DAYS)?;
        Some((one.attribute, days))
    });
    let Some((attribute, days)) = near else {
        return (State::Hanging, because);
    };
    let mut reasons = vec![Because::EarlyDateNear { attribute, days }];
    // That it is not there yet is said by that.
    let others = because.into_iter();
    reasons.extend(others.filter(|one| *one != Because::NotYet(attribute)));
    (State::Nearing, reasons)
}

fn reason(one: &Outlook, days: i64) -> Option<Because> {
    let attribute = one.attribute;
    Some(if one.last_looks_off {
        Because::LooksOff(attribute)
    } else if one.inside() && days <= FRESH_DAYS {
        Because::Inside(attribute)
    } else if one.inside() {
        Because::InsideButOld { attribute, days }
    } else if one.middle_days().is_some() {
        Because::NotYet(attribute)
    } else {
        Because::NoDate(attribute)
    })
}

fn decisions(facts: &BlockFacts) -> Vec<Decide> {
    let mut found = Vec::new();
    let limit = facts.assumptions.rot_limit_percent;
    let rot = facts.series.iter().rev().find_map(|day| day.rot_percent);
    if let Some(percent) = rot.filter(|percent| *percent >= limit) {
        found.push(Decide::Rot { percent, limit });
    }
    let since = facts.series.first().map(|day| day.date);
    let frost = facts
        .weather
        .iter()
        .filter(|day| day.hard_frost && since.is_some_and(|since| day.date >= since))
        .map(|day| day.date)
        .max();
    found.extend(frost.map(|on| Decide::HardFrost { on }));
    found
}

fn missing(wanted: &[&Outlook], hold: &Hold, sampled: bool) -> Vec<Missing> {
    let mut found = Vec::new();
    if wanted.is_empty() {
        found.push(Missing::Target);
    }
    for one in wanted.iter().filter(|_| sampled) {
        use crate::science::ripeness::ForecastError;
        match (&one.last, &one.forecast) {
            (None, _) => found.push(Missing::NotMeasured(one.attribute)),
            (_, Err(ForecastError::NeedsSecondReading)) => {
                found.push(Missing::SecondReading(one.attribute));
            }
            _ => {}
        }
    }
    if hold.picking == Until::NothingWritten {
        found.push(Missing::SprayRecord);
    }
    found
}
