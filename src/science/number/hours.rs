//! Reads hours of work: `1:45`, and `2x1:45` for two people.
//!
//! Times of day are not read here.

use super::{Expect, NumberError, parse, text};
use thiserror::Error;

/// Why a text is not read as hours of work.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum HoursError {
    #[error(transparent)]
    Number(#[from] NumberError),
    #[error("In \"{typed}\" the minutes have to be below 60, such as 1:45.")]
    Minutes { typed: String },
    #[error("In \"{typed}\" the people have to be a whole number from 1, such as 2x1:45.")]
    People { typed: String },
    #[error("\"{unit}\" is no unit of working time. Type hours such as 1:45, or 1.75.")]
    UnknownUnit { unit: String },
}

/// Reads the person-hours of a job: people × hours, parts joined by `+` are added.
///
/// `1:45`, `1 h 45 min`, `1.75`, `45 min`, and `2x1:45` = 3.5. Valid from zero up.
///
/// ```
/// use endpost::science::number::parse_person_hours;
/// assert_eq!(parse_person_hours("2x1:45").unwrap(), 3.5);
/// assert_eq!(parse_person_hours("2x1:45 + 0.5").unwrap(), 4.0);
/// ```
pub fn parse_person_hours(typed: &str) -> Result<f64, HoursError> {
    let plain = text::plain(typed).to_lowercase().replace(['×', '*'], "x");
    let mut minutes = 0.0;
    for term in plain.split('+') {
        minutes += person_minutes(term.trim(), typed)?;
    }
    Ok(minutes / 60.0)
}

fn person_minutes(term: &str, typed: &str) -> Result<f64, HoursError> {
    let Some((people, each)) = term.split_once('x') else {
        return minutes(term, typed);
    };
    let people = parse(people, &Expect::default())?;
    let whole = people.value >= 1.0 && people.value.fract() == 0.0;
    if !whole || people.suffix.is_some() || people.bound.is_some() {
        return Err(HoursError::People {
            typed: text::quoted(typed),
        });
    }
    Ok(people.value * minutes(each.trim(), typed)?)
}

fn minutes(term: &str, typed: &str) -> Result<f64, HoursError> {
    if let Some((hours, past)) = hours_and_minutes(term) {
        let (hours, past) = (plain_number(hours)?, plain_number(past)?);
        if hours.fract() != 0.0 || past >= 60.0 {
            return Err(HoursError::Minutes {
                typed: text::quoted(typed),
            });
        }
        return Ok(hours * 60.0 + past);
    }
    let number = parse(term, &Expect::up_to(99.0))?;
    if number.bound.is_some() {
        return Err(NumberError::NotANumber {
            typed: text::quoted(typed),
        }
        .into());
    }
    match number
        .suffix
        .as_deref()
        .map(|unit| unit.trim_end_matches('.'))
    {
        None | Some("h" | "hr" | "hrs" | "hour" | "hours") => Ok(number.value * 60.0),
        Some("m" | "min" | "mins" | "minute" | "minutes") => Ok(number.value),
        Some(unit) => Err(HoursError::UnknownUnit {
            unit: text::quoted(unit),
        }),
    }
}

fn hours_and_minutes(term: &str) -> Option<(&str, &str)> {
    if let Some(parts) = term.split_once(':') {
        return Some(parts);
    }
    let (hours, rest) = ["hours", "hour", "hrs", "hr", "h"]
        .iter()
        .find_map(|sign| term.split_once(sign))?;
    let past = ["minutes", "minute", "mins", "min", "m"]
        .iter()
        .find_map(|sign| rest.trim_end_matches('.').strip_suffix(sign))
        .unwrap_or(rest);
    past.contains(|c: char| c.is_ascii_digit())
        .then_some((hours, past.trim()))
}

fn plain_number(part: &str) -> Result<f64, NumberError> {
    let number = parse(part, &Expect::up_to(99.0))?;
    if number.suffix.is_some() || number.bound.is_some() {
        return Err(NumberError::NotANumber {
            typed: text::quoted(part),
        });
    }
    Ok(number.value)
}
