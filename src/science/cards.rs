//! Paper cards and the codes printed on them, by which what is typed finds its card again.
//! Not here: which vines a walk visits (`ripeness::walk`), drawing cards on paper.

use std::fmt;
use std::str::FromStr;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use thiserror::Error;
use uuid::Uuid;

use super::ripeness::Walk;
use super::signs::{self, NotSigns};

const LENGTH: usize = 4;

/// Four characters printed on a card: a number of 20 bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct CardCode(u32);

/// Why a text is no card code.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum CodeError {
    #[error("A card code has four letters or digits, such as K7Q2.")]
    Length,
    #[error("No card code has the sign \"{0}\" in it.")]
    Sign(char),
}

impl CardCode {
    /// The code of the last 20 bits of a number, such as a random one.
    pub fn of(number: u32) -> Self {
        Self(number & ((1 << (signs::BITS * LENGTH as u32)) - 1))
    }

    /// The number the code stands for, below 2²⁰: the seed of a walk.
    pub fn number(self) -> u32 {
        self.0
    }
}

impl fmt::Display for CardCode {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&signs::written(self.0.into(), LENGTH))
    }
}

/// Reads a code as somebody typed it from paper: small letters, blanks and hyphens do not matter,
/// O is read as 0, I and L as 1.
///
/// ```
/// use endpost::science::cards::CardCode;
/// let code: CardCode = "k7q2".parse().unwrap();
/// assert_eq!(code.to_string(), "K7Q2");
/// assert_eq!("l0-oi".parse::<CardCode>().unwrap().to_string(), "1001");
/// assert!("K7U2".parse::<CardCode>().is_err());
/// ```
impl FromStr for CardCode {
    type Err = CodeError;

    fn from_str(typed: &str) -> Result<Self, CodeError> {
        match signs::read(typed, LENGTH) {
            Ok(number) => Ok(Self::of(number as u32)),
            Err(NotSigns::Length) => Err(CodeError::Length),
            Err(NotSigns::Sign(sign)) => Err(CodeError::Sign(sign)),
        }
    }
}

impl TryFrom<String> for CardCode {
    type Error = CodeError;

    fn try_from(text: String) -> Result<Self, CodeError> {
        text.parse()
    }
}

impl From<CardCode> for String {
    fn from(code: CardCode) -> Self {
        code.to_string()
    }
}

/// What a card is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CardFor {
    /// A walk along drawn vines.
    Walk,
    /// Bags of berries, read at the bench.
    Berries,
    /// Clusters counted and weighed.
    Clusters,
}

impl CardFor {
    pub const ALL: [CardFor; 3] = [CardFor::Walk, CardFor::Berries, CardFor::Clusters];

    pub fn name(self) -> &'static str {
        match self {
            CardFor::Walk => "Sampling walk",
            CardFor::Berries => "Berry sample",
            CardFor::Clusters => "Clusters",
        }
    }
}

/// A card of paper that was drawn up.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Card {
    pub code: CardCode,
    pub what: CardFor,
    /// None for a blank card that may be used in any block.
    pub block: Option<Uuid>,
    /// The farm's calendar date on which it was drawn up.
    pub day: NaiveDate,
    /// The vines to visit, for a walk.
    pub walk: Option<Walk>,
}
