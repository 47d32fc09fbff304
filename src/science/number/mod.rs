//! Reads one number as a person types it, and never rounds or guesses.
//!
//! Units are told apart in `science::units`; whether a value is likely is asked in the rooms.

mod body;
pub mod hours;
pub mod length;
pub mod text;

pub use hours::{HoursError, parse_person_hours};
pub use length::{LengthError, parse_length};

use serde::{Deserialize, Serialize};
use std::fmt;
use thiserror::Error;

/// A number as typed: its value and what stood around it.
///
/// `decimals` is how many were typed, so that `3.10` prints back as `3.10`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Number {
    pub value: f64,
    pub decimals: u8,
    /// What stood after the digits, such as `kg`; it is not understood here.
    pub suffix: Option<String>,
    pub bound: Option<Bound>,
    /// Set where another reader might have read another number: "read as 1.234".
    pub read_as: Option<String>,
}

impl fmt::Display for Number {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(bound) = self.bound {
            write!(out, "{}", bound.sign())?;
        }
        write!(out, "{:.*}", usize::from(self.decimals), self.value)
    }
}

/// A sign that says the number is not the value itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Bound {
    About,
    Below,
    Above,
}

impl Bound {
    pub const fn sign(self) -> &'static str {
        match self {
            Bound::About => "~",
            Bound::Below => "<",
            Bound::Above => ">",
        }
    }
}

/// What the field expects, so far as it decides how marks are read.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Expect {
    /// The biggest value the field could sensibly hold. Below 100, `1,234` is read as 1.234.
    pub biggest_plausible: Option<f64>,
    pub negative_ok: bool,
}

impl Expect {
    /// A field that holds nothing below zero and sensibly nothing above `biggest`.
    pub const fn up_to(biggest: f64) -> Expect {
        Expect {
            biggest_plausible: Some(biggest),
            negative_ok: false,
        }
    }

    fn below(&self, limit: f64) -> bool {
        self.biggest_plausible
            .is_some_and(|biggest| biggest < limit)
    }
}

/// Why a text is not read as one number.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NumberError {
    #[error("Nothing was typed.")]
    Empty,
    #[error("\"{typed}\" is not a number. Words can go in the note.")]
    NotANumber { typed: String },
    #[error("\"{typed}\" looks like more than one number. Type one in this field.")]
    TwoNumbers { typed: String },
    #[error("\"{typed}\" can be read in two ways: {decimal} or {grouped}. Which one is it?")]
    Ambiguous {
        typed: String,
        decimal: String,
        grouped: String,
    },
    #[error(
        "The dots and commas in \"{typed}\" do not fit together. Type the number with one decimal mark."
    )]
    Marks { typed: String },
    #[error("\"{typed}\" is below zero, which this field does not hold.")]
    Negative { typed: String },
    #[error("\"{typed}\" has more digits than can be kept exactly; 15 is the most.")]
    TooManyDigits { typed: String },
    #[error("The fraction \"{typed}\" does not end as a decimal. Type it as one, such as 0.33.")]
    EndlessFraction { typed: String },
}

/// Reads one number.
///
/// Accepted: one `.` or `,` as decimal mark, groups of three set off by blanks or by the other
/// mark, Arabic-Indic digits, fractions that end as a decimal (`1/2`, `1 1/2`), a leading `~`,
/// `<` or `>`, and a unit after the number, which is handed back unread. At most 15 significant
/// digits, so that the value is the nearest double to the digits typed and prints back the same.
///
/// ```
/// use endpost::science::number::{parse, Expect};
/// let brix = parse("21,5", &Expect::up_to(40.0)).unwrap();
/// assert_eq!((brix.value, brix.decimals), (21.5, 1));
/// let weight = parse("12.4 kg", &Expect::default()).unwrap();
/// assert_eq!(weight.suffix.as_deref(), Some("kg"));
/// ```
pub fn parse(typed: &str, expect: &Expect) -> Result<Number, NumberError> {
    let plain = text::plain(typed);
    if plain.is_empty() {
        return Err(NumberError::Empty);
    }
    let (bound, rest) = leading_bound(&plain);
    let (negative, rest) = leading_sign(rest);
    let (body, suffix) = split_suffix(rest, typed)?;
    let read = body::read(body, expect, typed)?;
    if negative && read.value != 0.0 && !expect.negative_ok {
        return Err(NumberError::Negative {
            typed: text::quoted(typed),
        });
    }
    let turned = negative && read.value != 0.0;
    Ok(Number {
        value: if turned { -read.value } else { read.value },
        decimals: read.decimals,
        suffix,
        bound,
        read_as: read
            .read_as
            .map(|words| if turned { format!("-{words}") } else { words }),
    })
}

fn leading_bound(text: &str) -> (Option<Bound>, &str) {
    let bound = match text.chars().next() {
        Some('~' | '≈') => Bound::About,
        Some('<') => Bound::Below,
        Some('>') => Bound::Above,
        _ => return (None, text),
    };
    let mut rest = text.chars();
    rest.next();
    (Some(bound), rest.as_str().trim_start())
}

fn leading_sign(text: &str) -> (bool, &str) {
    if let Some(rest) = text.strip_prefix('-') {
        (true, rest.trim_start())
    } else {
        (false, text.strip_prefix('+').unwrap_or(text).trim_start())
    }
}

fn split_suffix<'a>(text: &'a str, typed: &str) -> Result<(&'a str, Option<String>), NumberError> {
    let in_body = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | ' ' | '/');
    let end = text.find(|c| !in_body(c)).unwrap_or(text.len());
    let (body, rest) = text.split_at(end);
    let not_a_number = || NumberError::NotANumber {
        typed: text::quoted(typed),
    };
    if !body.contains(|c: char| c.is_ascii_digit()) {
        return Err(not_a_number());
    }
    let Some(first) = rest.chars().next() else {
        return Ok((body.trim_end(), None));
    };
    let could_be_unit = first.is_alphabetic() || matches!(first, '%' | '°' | '\'' | '"' | '#');
    if rest.contains(|c: char| c.is_ascii_digit()) {
        return Err(if first.is_alphabetic() {
            not_a_number()
        } else {
            NumberError::TwoNumbers {
                typed: text::quoted(typed),
            }
        });
    }
    if could_be_unit {
        Ok((body.trim_end(), Some(rest.to_owned())))
    } else {
        Err(not_a_number())
    }
}
