//! The words for a hold. A moment is never rounded down, and nothing is ever called clear.
//! Not here: the sums (`science::sprays::hold`).

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, TimeZone, Timelike};
use chrono_tz::Tz;

use crate::science::sprays::{Blank, Limit, Until};
use crate::science::zone::{Local, local};
use crate::web::known::Known;
use crate::web::words;

/// What stands on the form, the board and every sheet that tells of holds.
pub const THE_LABEL: &str = "The label is the law. This board only adds up the hours you typed. \
     Longest interval in the tank counts. If in doubt, stay out.";

/// "Sat 18 Sept 10:40", the farm's clock; a part of a minute counts as a whole one.
pub fn moment<Z: TimeZone>(at: &DateTime<Z>, known: &Known) -> String {
    let at = at.with_timezone(&known.zone);
    let past =
        TimeDelta::nanoseconds(i64::from(at.second()) * 1_000_000_000 + i64::from(at.nanosecond()));
    let at = match past.is_zero() {
        true => at,
        false => at + (TimeDelta::minutes(1) - past),
    };
    format!("{}{}", words::moment(&at, known.today), which_time(&at))
}

/// ", the second time" where the clocks showed this time of day twice.
pub fn which_time(at: &DateTime<Tz>) -> &'static str {
    match local(at.timezone(), at.date_naive(), at.time()) {
        Local::Twice { first, .. } if first == *at => ", the first time",
        Local::Twice { .. } => ", the second time",
        _ => "",
    }
}

/// "until Sat 11 Sept 18:30", or what has to be typed first.
pub fn until_words(until: &Until, known: &Known) -> String {
    match until {
        Until::Closed { until } => format!("until {}", moment(until, known)),
        Until::ClosedUntilTyped { blanks } => {
            let texts: Vec<String> = blanks
                .iter()
                .map(|blank| blank.to_string().replacen("closed ", "", 1))
                .collect();
            texts.join("; ")
        }
        Until::Open { .. } | Until::NothingWritten => String::new(),
    }
}

/// Entry or picking for a sheet: a moment, or that nothing is written down.
pub fn from_words(until: &Until, last_spray: Option<NaiveDate>, known: &Known) -> String {
    match until {
        Until::Closed { until } => moment(until, known),
        _ => closed_words(until, last_spray, known),
    }
}

/// "closed until Sat 11 Sept 18:30", or that nothing is written down.
pub fn closed_words(until: &Until, last_spray: Option<NaiveDate>, known: &Known) -> String {
    if until.is_closed() {
        format!("closed {}", until_words(until, known))
    } else {
        nothing_written(last_spray, known)
    }
}

/// What is missing, in a word or two, where a hold can't be reckoned.
pub fn blank_words(blanks: &[Blank]) -> &'static str {
    match blanks.first() {
        Some(Blank::SprayToMend) => "a spray waits to be mended",
        Some(Blank::End) => "end of spraying missing",
        Some(Blank::Products) => "product missing",
        Some(Blank::EntryHours { .. } | Blank::HarvestDays { .. }) | None => {
            "label figures missing"
        }
    }
}

/// What one spray says: "closed until Sat 11 Sept 18:30", or what has to be typed first.
pub fn limit_words(limit: &Limit, known: &Known) -> String {
    let until = match limit {
        Limit::At(at) => Until::Closed { until: *at },
        Limit::ClosedUntilTyped(blanks) => Until::ClosedUntilTyped {
            blanks: blanks.clone(),
        },
    };
    closed_words(&until, None, known)
}

/// "no hold written down; last spray written 12 Aug; ask"
pub fn nothing_written(last_spray: Option<NaiveDate>, known: &Known) -> String {
    match last_spray {
        Some(date) => format!(
            "no hold written down; last spray written {}; ask",
            day_of_this_year(date, known.today)
        ),
        None => "no spray written down; ask".to_owned(),
    }
}

/// "Nobody has written down a spray since Sat 14 Aug; ask before going in."
pub fn nobody_has_written(last_spray: Option<NaiveDate>) -> String {
    match last_spray {
        Some(day) => format!(
            "Nobody has written down a spray since {}; ask before going in.",
            words::day(day)
        ),
        None => "Nobody has written down a spray yet; ask before going in.".to_owned(),
    }
}

fn day_of_this_year(date: NaiveDate, today: NaiveDate) -> String {
    if date.year() == today.year() {
        words::short_day(date)
    } else {
        format!("{} {}", words::short_day(date), date.year())
    }
}
