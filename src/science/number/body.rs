//! Reads the digits and marks of a number: which mark is the decimal one, what are groups.
//!
//! Signs and units have been taken off before; the text holds only digits, `.`, `,`, `/`, blanks.

use super::{Expect, NumberError, text::quoted};

/// More typed decimals than this are a slip even when most of them are zeros.
const MOST_DECIMALS: usize = 30;
/// Any decimal of 15 significant digits survives the way into a double and back (IEEE 754).
const MOST_DIGITS: usize = 15;

pub(super) struct Read {
    pub value: f64,
    pub decimals: u8,
    pub read_as: Option<String>,
}

#[derive(Clone, Copy, PartialEq)]
enum Between {
    Blank,
    Mark(char),
    SpacedMark(char),
}

struct Parts<'a> {
    groups: Vec<&'a str>,
    between: Vec<Between>,
}

pub(super) fn read(body: &str, expect: &Expect, typed: &str) -> Result<Read, NumberError> {
    if body.contains('/') {
        return fraction(body, typed);
    }
    let parts = Parts::of(body, typed)?;
    let decimal_at = parts.decimal_mark(typed)?;
    let whole = parts.whole(decimal_at, expect, typed)?;
    let decimals = decimal_at.map_or("", |at| parts.groups[at + 1]);
    let read_as = parts.shown_back(decimal_at, expect, &whole, decimals, typed)?;
    let mut read = exact(&whole, decimals, typed)?;
    read.read_as = read_as;
    Ok(read)
}

impl<'a> Parts<'a> {
    fn of(body: &'a str, typed: &str) -> Result<Parts<'a>, NumberError> {
        let mut parts = Parts {
            groups: Vec::new(),
            between: Vec::new(),
        };
        let mut rest = body.trim();
        loop {
            let end = rest
                .find(|c: char| !c.is_ascii_digit())
                .unwrap_or(rest.len());
            let (group, after) = rest.split_at(end);
            parts.groups.push(group);
            if after.is_empty() {
                return Ok(parts);
            }
            let end = after
                .find(|c: char| c.is_ascii_digit())
                .unwrap_or(after.len());
            let (marks, digits) = after.split_at(end);
            parts.between.push(between(marks, typed)?);
            rest = digits;
        }
    }

    /// Which of the separators is the decimal mark; it can only be the last.
    fn decimal_mark(&self, typed: &str) -> Result<Option<usize>, NumberError> {
        let marks: Vec<(usize, char)> = self
            .between
            .iter()
            .enumerate()
            .filter_map(|(at, between)| match between {
                Between::Blank => None,
                Between::Mark(mark) | Between::SpacedMark(mark) => Some((at, *mark)),
            })
            .collect();
        let Some((at, last)) = marks.last().copied() else {
            return Ok(None);
        };
        let same = marks.iter().filter(|(_, mark)| *mark == last).count();
        let other = marks.len() - same;
        match (same, other) {
            (1, _) if at + 1 == self.between.len() => Ok(Some(at)),
            (1, _) => Err(two_numbers(typed)),
            (_, 0) => Ok(None),
            _ => Err(marks_do_not_fit(typed)),
        }
    }

    fn whole(
        &self,
        decimal_at: Option<usize>,
        expect: &Expect,
        typed: &str,
    ) -> Result<String, NumberError> {
        let until = decimal_at.unwrap_or(self.between.len());
        let (groups, between) = (&self.groups[..=until], &self.between[..until]);
        if between.is_empty() {
            return Ok(groups.concat());
        }
        let by_blanks = between.contains(&Between::Blank);
        // Two readings side by side ("12 345") look like a grouped number; a field that never
        // holds a thousand is asked.
        if by_blanks && expect.below(1000.0) {
            return Err(two_numbers(typed));
        }
        let in_threes = (1..=3).contains(&groups[0].len())
            && !groups[0].starts_with('0')
            && groups[1..].iter().all(|group| group.len() == 3);
        let alike = between.iter().all(|each| *each == between[0]);
        let plain = !matches!(between[0], Between::SpacedMark(_));
        if in_threes && alike && plain {
            Ok(groups.concat())
        } else if by_blanks {
            Err(two_numbers(typed))
        } else {
            Err(marks_do_not_fit(typed))
        }
    }

    /// What is to be shown back, or the question where two readings are open.
    fn shown_back(
        &self,
        decimal_at: Option<usize>,
        expect: &Expect,
        whole: &str,
        decimals: &str,
        typed: &str,
    ) -> Result<Option<String>, NumberError> {
        let small = expect.below(100.0);
        let Some(at) = decimal_at else {
            return Ok((small && !self.between.is_empty()).then(|| whole.to_owned()));
        };
        let as_decimal = format!("{}.{decimals}", if whole.is_empty() { "0" } else { whole });
        if matches!(self.between[at], Between::SpacedMark(_)) {
            return Ok(Some(as_decimal));
        }
        let could_be_group = self.between.len() == 1
            && decimals.len() == 3
            && (1..=3).contains(&whole.len())
            && !whole.starts_with('0');
        if !could_be_group {
            return Ok(None);
        }
        if self.between[at] == Between::Mark(',') && !small {
            return Err(NumberError::Ambiguous {
                typed: quoted(typed),
                decimal: as_decimal,
                grouped: format!("{whole}{decimals}"),
            });
        }
        Ok(Some(as_decimal))
    }
}

fn between(marks: &str, typed: &str) -> Result<Between, NumberError> {
    match marks {
        " " => Ok(Between::Blank),
        "." => Ok(Between::Mark('.')),
        "," => Ok(Between::Mark(',')),
        " ." | ". " | " . " => Ok(Between::SpacedMark('.')),
        " ," => Ok(Between::SpacedMark(',')),
        // A comma and a blank part the members of a list.
        ", " | " , " => Err(two_numbers(typed)),
        _ => Err(marks_do_not_fit(typed)),
    }
}

fn exact(whole: &str, decimals: &str, typed: &str) -> Result<Read, NumberError> {
    let digits = format!("{whole}{decimals}");
    if digits.is_empty() {
        return Err(NumberError::NotANumber {
            typed: quoted(typed),
        });
    }
    let too_many = || NumberError::TooManyDigits {
        typed: quoted(typed),
    };
    if digits.trim_start_matches('0').len() > MOST_DIGITS || decimals.len() > MOST_DECIMALS {
        return Err(too_many());
    }
    let value = format!("0{whole}.{decimals}0")
        .parse::<f64>()
        .map_err(|_| NumberError::NotANumber {
            typed: quoted(typed),
        })?;
    Ok(Read {
        value,
        decimals: u8::try_from(decimals.len()).map_err(|_| too_many())?,
        read_as: None,
    })
}

/// Reads `3/4` and `1 3/4` exactly; a fraction that does not end as a decimal is refused.
fn fraction(body: &str, typed: &str) -> Result<Read, NumberError> {
    let not_a_number = || NumberError::NotANumber {
        typed: quoted(typed),
    };
    let (before, below) = body.split_once('/').ok_or_else(not_a_number)?;
    let (whole, above) = before.trim().rsplit_once(' ').unwrap_or(("0", before));
    let part = |digits: &str| -> Result<u64, NumberError> {
        let digits = digits.trim();
        if digits.is_empty() || digits.len() > 6 || !digits.bytes().all(|b| b.is_ascii_digit()) {
            return Err(not_a_number());
        }
        digits.parse().map_err(|_| not_a_number())
    };
    let (whole, above, below) = (part(whole)?, part(above)?, part(below)?);
    if below == 0 {
        return Err(not_a_number());
    }
    let top = whole * below + above;
    for decimals in 0..=9_u32 {
        let scaled = top * 10_u64.pow(decimals);
        if scaled.is_multiple_of(below) {
            let digits = format!("{:0width$}", scaled / below, width = decimals as usize + 1);
            let (whole, decimals) = digits.split_at(digits.len() - decimals as usize);
            return exact(whole, decimals, typed);
        }
    }
    Err(NumberError::EndlessFraction {
        typed: quoted(typed),
    })
}

fn two_numbers(typed: &str) -> NumberError {
    NumberError::TwoNumbers {
        typed: quoted(typed),
    }
}

fn marks_do_not_fit(typed: &str) -> NumberError {
    NumberError::Marks {
        typed: quoted(typed),
    }
}
