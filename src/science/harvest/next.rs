//! What to do next about a block, and what has to be done before that: nobody is sent into rows
//! that are closed. Not here: the words (`web::harvest`).

use chrono::{DateTime, Days, FixedOffset, NaiveDate};

use super::{Missing, Outlook, Readiness, State};
use crate::science::ripeness::Attribute;
use crate::science::sprays::{Blank, Until};

/// A block is close when its early date is at most this far off; then it is sampled twice a week.
/// Common practice, no source.
const CLOSE_DAYS: f64 = 14.0;

/// So long after rain vines have settled enough to sample again, at the earliest (rule R5).
const SETTLED_DAYS: u64 = 2;

/// What to do next.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    FirstSample,
    SampleToday,
    SampleBy(NaiveDate),
    /// Rain since the last sample: wait until the vines have settled.
    SampleAfterRain {
        from: NaiveDate,
    },
    /// A value with a target was never measured, and all others are inside.
    Measure(Attribute),
    /// All are inside, but read too long ago to pick by.
    SampleBeforePicking,
    /// Past its window: no sample will bring it back.
    Decide,
    /// Ready, were it not for what stands before.
    Pick,
}

/// What stands before the step.
#[derive(Clone, Debug, PartialEq)]
pub enum Before {
    /// A spray kept as typed has to be mended: nobody knows which rows it closes.
    MendSpray,
    /// Something of the label or of the spray has to be typed first.
    Type(Vec<Blank>),
    EntryOpens(DateTime<FixedOffset>),
}

/// A step with what stands before it.
#[derive(Clone, Debug, PartialEq)]
pub struct Next {
    pub step: Step,
    pub before: Option<Before>,
}

/// Says what to do next; nothing for a block that is ready, unless rain since puts its sample in
/// doubt or a spray waits to be mended. Once the season is over nothing is to be sampled.
pub fn next(
    judged: &Readiness,
    outlooks: &[Outlook; 3],
    last_sample: Option<NaiveDate>,
    today: NaiveDate,
    season_end: NaiveDate,
) -> Option<Next> {
    let step = match judged.state {
        State::Past => Step::Decide,
        State::Ready if !judged.date_in_doubt() => Step::Pick,
        _ if today > season_end => return None,
        _ => sampling(judged, outlooks, last_sample, today)?,
    };
    let before = before(judged);
    // A block that is ready needs no word but of a spray of which nobody knows where it was.
    if step == Step::Pick && before != Some(Before::MendSpray) {
        return None;
    }
    Some(Next { step, before })
}

fn sampling(
    judged: &Readiness,
    outlooks: &[Outlook; 3],
    last_sample: Option<NaiveDate>,
    today: NaiveDate,
) -> Option<Step> {
    let Some(last) = last_sample else {
        return Some(Step::FirstSample);
    };
    if judged.date_in_doubt() {
        let rain = judged.last_rain.unwrap_or(today);
        let from = rain.checked_add_days(Days::new(SETTLED_DAYS))?;
        return Some(match from <= today {
            true => Step::SampleToday,
            false => Step::SampleAfterRain { from },
        });
    }
    if outlooks
        .iter()
        .any(|one| one.has_target() && one.last_looks_off)
    {
        return Some(Step::SampleToday);
    }
    if judged.state == State::Nearing && judged.slowest.is_none() {
        let unmeasured = judged.missing.iter().find_map(|missing| match missing {
            Missing::NotMeasured(attribute) => Some(*attribute),
            _ => None,
        });
        return Some(unmeasured.map_or(Step::SampleBeforePicking, Step::Measure));
    }
    let early = outlooks
        .iter()
        .find(|one| Some(one.attribute) == judged.slowest)
        .and_then(Outlook::early_days);
    let within = match early {
        Some(days) if days <= CLOSE_DAYS => 4,
        _ => 7,
    };
    let due = last.checked_add_days(Days::new(within))?;
    Some(match due <= today {
        true => Step::SampleToday,
        false => Step::SampleBy(due),
    })
}

fn before(judged: &Readiness) -> Option<Before> {
    if judged.hold.waits_for_a_spray() {
        return Some(Before::MendSpray);
    }
    match &judged.hold.entry {
        Until::Closed { until } => Some(Before::EntryOpens(*until)),
        Until::ClosedUntilTyped { blanks } => Some(Before::Type(blanks.clone())),
        Until::Open { .. } | Until::NothingWritten => None,
    }
}
