//! Reads a length typed in feet and inches, such as `8'6"`, or with any unit of length.
//!
//! The units themselves and what a foot is stand in `science::units`.

use super::{Expect, NumberError, parse, text};
use crate::science::units::{self, LengthUnit, Quantity, UnitError};
use thiserror::Error;

/// Why a text is not read as a length.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum LengthError {
    #[error(transparent)]
    Unit(#[from] UnitError),
    #[error(transparent)]
    Number(#[from] NumberError),
    #[error(
        "In \"{typed}\" the feet have to be a whole number and the inches below 12, such as 8'6\"."
    )]
    FeetAndInches { typed: String },
}

/// Reads a length in metres; a number alone is in the farm's own unit.
///
/// Feet and inches: metres = (12 × feet + inches) × 0.0254, exact by definition.
/// Valid from zero up.
///
/// ```
/// use endpost::science::{number::parse_length, units::LengthUnit};
/// assert_eq!(parse_length("8'6\"", LengthUnit::Foot).unwrap(), 2.5908);
/// assert_eq!(parse_length("2.4 m", LengthUnit::Foot).unwrap(), 2.4);
/// ```
pub fn parse_length(typed: &str, farm: LengthUnit) -> Result<f64, LengthError> {
    let plain = text::plain(typed).to_lowercase().replace("''", "\"");
    if let Some((feet, inches)) = feet_and_inches(&plain) {
        let wrong = || LengthError::FeetAndInches {
            typed: text::quoted(typed),
        };
        let whole_feet = parse(feet, &Expect::default())?;
        let inches = parse(inches, &Expect::up_to(12.0))?;
        let signed = whole_feet.bound.or(inches.bound).is_some();
        let more = whole_feet.suffix.is_some() || inches.suffix.is_some();
        if whole_feet.decimals != 0 || inches.value >= 12.0 || signed || more {
            return Err(wrong());
        }
        // 254 ÷ 10 000 keeps whole inches exact where 0.0254 would be a hair off.
        return Ok((whole_feet.value * 12.0 + inches.value) * 254.0 / 10_000.0);
    }
    let measured = units::read(typed, Quantity::Length(farm), &Expect::default())?;
    Ok(measured.canonical)
}

/// The texts of feet and of inches, where digits stand on both sides of a foot sign.
fn feet_and_inches(plain: &str) -> Option<(&str, &str)> {
    let (feet, rest) = ["feet", "foot", "ft.", "ft", "'"]
        .iter()
        .find_map(|sign| plain.split_once(sign))?;
    let inches = ["inches", "inch", "in.", "in", "\""]
        .iter()
        .find_map(|sign| rest.trim_end().strip_suffix(sign))
        .unwrap_or(rest);
    let has_digits = |part: &str| part.contains(|c: char| c.is_ascii_digit());
    (has_digits(feet) && has_digits(inches)).then_some((feet.trim(), inches.trim()))
}
