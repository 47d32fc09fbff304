//! The words of the questions.
//!
//! When they are asked is decided in this room's `mod.rs`.

use super::{Attribute, Doubt, Question, other_unit};
use std::fmt;

impl fmt::Display for Doubt {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (&self.question, self.suggestion) {
            (Question::DecimalMark, Some(meant)) => write!(out, "Did you mean {meant}?"),
            (Question::DecimalMark, None) => write!(out, "Is the decimal mark in its place?"),
            (Question::Percent { typed }, meant) => {
                write!(
                    out,
                    "{typed} % = {} g/L tartaric?",
                    rounded(meant.unwrap_or(typed * 10.0))
                )
            }
            (Question::Jump { change, days }, meant) => jump(out, *change, *days, meant),
            (
                Question::Outside {
                    attribute,
                    typed,
                    low,
                    high,
                },
                _,
            ) => {
                write!(
                    out,
                    "{typed}? Usual for {} is {low} to {high}.",
                    name(*attribute)
                )
            }
            (Question::CannotBe { attribute, typed }, _) => {
                write!(
                    out,
                    "{typed} can't be a value of {}. What was it?",
                    name(*attribute)
                )
            }
            (Question::Swapped { ph, ta }, _) => {
                write!(out, "These look swapped: pH {ph}, TA {ta}?")
            }
            (Question::SameJuice { apart }, _) => write!(
                out,
                "The readings of one juice are {apart:.1} apart: wipe, stir, look again."
            ),
            (Question::Bags { apart }, _) => write!(
                out,
                "The bags are {apart:.1} apart: is one from another part of the block?"
            ),
            (Question::BerryWeight { each_g, berries }, _) => write!(
                out,
                "A berry would weigh {} g; usual is 0.3 to 5. Is it the weight of all {berries} \
                 berries, in grams?",
                (each_g * 1000.0).round() / 1000.0
            ),
            (Question::LittleRain { typed, unit }, meant) => {
                write!(out, "{typed} {} is very little rain", unit.symbol())?;
                rain(out, *typed, other_unit(*unit).symbol(), meant)
            }
            (Question::MuchRain { typed, unit }, meant) => {
                write!(out, "{typed} {} is very much rain", unit.symbol())?;
                rain(out, *typed, other_unit(*unit).symbol(), meant)
            }
            (Question::RainCannotBe { typed, unit }, _) => {
                write!(
                    out,
                    "{typed} {} can't be a day's rain. What was it?",
                    unit.symbol()
                )
            }
            (Question::Future { date }, _) => {
                write!(out, "{} has not come yet. Is the date right?", day(*date))
            }
            (Question::BeforePlanting { date, planted }, _) => write!(
                out,
                "{} is before planting on {}. Is the date right?",
                day(*date),
                day(*planted)
            ),
        }
    }
}

const fn name(attribute: Attribute) -> &'static str {
    match attribute {
        Attribute::Brix => "°Brix",
        Attribute::Ph => "pH",
        Attribute::Ta => "TA in g/L",
    }
}

fn jump(out: &mut fmt::Formatter<'_>, change: f64, days: i64, meant: Option<f64>) -> fmt::Result {
    let way = if change < 0.0 { "Fell" } else { "Jumped" };
    let span = match days {
        0 => "on the same day".to_owned(),
        1 => "in 1 day".to_owned(),
        days => format!("in {days} days"),
    };
    write!(out, "{way} {:.1} {span}; ", change.abs())?;
    match meant {
        Some(meant) => write!(out, "swapped digits ({meant})?"),
        None => write!(out, "is it right?"),
    }
}

fn rain(out: &mut fmt::Formatter<'_>, typed: f64, other: &str, meant: Option<f64>) -> fmt::Result {
    match meant {
        Some(_) => write!(out, ": did you mean {typed} {other}?"),
        None => write!(out, ". Is it right?"),
    }
}

/// Two decimals at most, without the noise of the doubles.
fn rounded(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// A date such as "14 Sept 2027", which reads the same on both sides of the ocean.
fn day(date: chrono::NaiveDate) -> String {
    use chrono::Datelike;
    const MONTHS: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "June", "July", "Aug", "Sept", "Oct", "Nov", "Dec",
    ];
    format!(
        "{} {} {}",
        date.day(),
        MONTHS[date.month0() as usize],
        date.year()
    )
}
