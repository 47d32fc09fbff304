//! Helpers: what there is to do on a day, in few enough lines for somebody who is here for the
//! first time. Not here: who is asked and where things are (`places::ForHelpers`).

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// More than this nobody remembers in the row.
pub const MOST_TO_DO: usize = 5;
pub const MOST_NOT_TO_TOUCH: usize = 3;
/// Letters of a line: what is read in one glance, and two lines on paper.
pub const LONGEST_LINE: usize = 100;

/// What helpers do on one day. There is one list a day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DayList {
    pub date: NaiveDate,
    pub to_do: Vec<String>,
    #[serde(default)]
    pub not_to_touch: Vec<String>,
}

/// Why lines can't stand as they are.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LinesError {
    #[error("There are {typed} lines; {most} are the most. Put two into one, or leave one out.")]
    TooMany { typed: usize, most: usize },
    #[error(
        "Line {number} has {letters} letters; {LONGEST_LINE} are the most that is read in one \
         glance. Say it in fewer words."
    )]
    TooLong { number: usize, letters: usize },
}

/// The lines of a typed text: empty ones are left out, and so are marks and numbers before them,
/// since lists have their own.
///
/// ```
/// use endpost::science::helpers::lines_of;
/// let lines = lines_of("1. Nets in A\n\n- Water", 5).unwrap();
/// assert_eq!(lines, ["Nets in A", "Water"]);
/// assert!(lines_of("a\nb\nc", 2).is_err());
/// ```
pub fn lines_of(typed: &str, most: usize) -> Result<Vec<String>, LinesError> {
    let lines: Vec<String> = typed
        .lines()
        .map(|line| without_mark(line).to_owned())
        .filter(|line| !line.is_empty())
        .collect();
    if lines.len() > most {
        return Err(LinesError::TooMany {
            typed: lines.len(),
            most,
        });
    }
    let letters = lines.iter().map(|line| line.chars().count());
    match (1..)
        .zip(letters)
        .find(|(_, letters)| *letters > LONGEST_LINE)
    {
        Some((number, letters)) => Err(LinesError::TooLong { number, letters }),
        None => Ok(lines),
    }
}

/// "1. Nets", "2) Nets" and "- Nets" are "Nets"; "7:30 at the barn" and "3 lugs" stay whole.
fn without_mark(line: &str) -> &str {
    let line = line.trim();
    if let Some(rest) = line.strip_prefix(['-', '*', '•', '·']) {
        return rest.trim_start();
    }
    let after_digits = line.trim_start_matches(|sign: char| sign.is_ascii_digit());
    let digits = line.len() - after_digits.len();
    match after_digits.strip_prefix(['.', ')']) {
        Some(rest) if (1..=2).contains(&digits) && (rest.is_empty() || rest.starts_with(' ')) => {
            rest.trim_start()
        }
        _ => line,
    }
}
