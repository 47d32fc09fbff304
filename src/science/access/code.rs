//! The code by which a phone is let in: eight signs, good once and for ten minutes.
//! Not here: which codes are out (`web::access`).

use std::fmt;
use std::str::FromStr;

use chrono::TimeDelta;
use thiserror::Error;

use crate::science::signs::{BITS, NotSigns, read, written};

const LENGTH: usize = 8;
/// The first three signs say which code is meant, so that a wrong guess of the rest counts against
/// that one alone.
const NAME_LENGTH: usize = 3;

/// Forty bits in eight signs that a hand can copy.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct PhoneCode(u64);

/// Why a text is no such code.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum NoPhoneCode {
    #[error("A code has eight letters or digits, such as K7Q2-9XRD.")]
    Length,
    #[error("No code has the sign \"{0}\" in it.")]
    Sign(char),
}

impl PhoneCode {
    /// How long a code is good.
    pub const GOOD_FOR: TimeDelta = TimeDelta::minutes(10);
    /// So many wrong guesses at one code end it.
    pub const MOST_WRONG: u32 = 5;

    /// The code of the last 40 bits of a random number.
    pub fn of(random: u64) -> Self {
        Self(random & ((1 << (BITS * LENGTH as u32)) - 1))
    }

    /// What it is called by: enough to tell it from others that are out, too little to use it.
    pub fn name(self) -> u64 {
        self.0 >> (BITS * (LENGTH - NAME_LENGTH) as u32)
    }

    /// Without the hyphen, as it stands in an address.
    pub fn in_one(self) -> String {
        written(self.0, LENGTH)
    }
}

impl fmt::Display for PhoneCode {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let signs = self.in_one();
        let (first, second) = signs.split_at(LENGTH / 2);
        write!(out, "{first}-{second}")
    }
}

/// It is a secret: what is written to a log does not hold it.
impl fmt::Debug for PhoneCode {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("PhoneCode")
    }
}

/// Reads a code as somebody typed it; small letters, blanks and hyphens do not matter.
///
/// ```
/// use endpost::science::access::PhoneCode;
/// let code: PhoneCode = "k7q2 9xrd".parse().unwrap();
/// assert_eq!(code.to_string(), "K7Q2-9XRD");
/// assert!("K7Q2".parse::<PhoneCode>().is_err());
/// ```
impl FromStr for PhoneCode {
    type Err = NoPhoneCode;

    fn from_str(typed: &str) -> Result<Self, NoPhoneCode> {
        match read(typed, LENGTH) {
            Ok(number) => Ok(Self(number)),
            Err(NotSigns::Length) => Err(NoPhoneCode::Length),
            Err(NotSigns::Sign(sign)) => Err(NoPhoneCode::Sign(sign)),
        }
    }
}
