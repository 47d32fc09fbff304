//! Takes a typed address apart: the row's letters, the numbers, the words for post and wire.
//!
//! Whether such a place exists is decided in `address`.

use super::{Address, AddressError, same_label};
use crate::science::number::text;
use crate::science::places::{RowLayout, VineAddress};

const FILLERS: &[&str] = &["ROW", "PANEL", "VINE", "NUMBER"];

/// A typed address in parts, as its blanks and marks divide it.
#[derive(Debug)]
pub(super) struct Tokens {
    letters: String,
    /// The digits of the row label; empty for a row named by letters alone.
    row_digits: String,
    /// The numbers after the row.
    numbers: Vec<String>,
    /// What the last number counts.
    last: Last,
    /// Blanks part the row from what follows; hyphens and dots are how it is printed.
    parted_by_blank: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Last {
    PanelOrVine,
    Post,
    Wire,
}

impl Tokens {
    pub(super) fn of(typed: &str, rows: &[RowLayout]) -> Result<Tokens, AddressError> {
        let plain = text::plain(typed).to_uppercase();
        if plain.is_empty() {
            return Err(AddressError::Empty);
        }
        let wrong = || AddressError::NotAnAddress {
            typed: text::quoted(typed),
        };
        let mut runs = runs(&plain).ok_or_else(wrong)?;
        runs.retain(|run| !FILLERS.contains(&run.as_str()));
        spell_out_fence_and_gate(&mut runs);
        if runs.is_empty() {
            return Err(wrong());
        }
        let letters = runs.remove(0);
        if !letters.chars().all(char::is_alphabetic) {
            return Err(wrong());
        }
        let named = |label: &str| rows.iter().any(|row| same_label(&row.label, label));
        let numbered = runs
            .first()
            .filter(|run| is_number(run))
            .is_some_and(|digits| named(&format!("{letters}{digits}")) || !named(&letters));
        let row_digits = if numbered {
            runs.remove(0)
        } else {
            String::new()
        };
        runs.retain(|run| run != "V");
        let last = match runs.iter().position(|run| !is_number(run)) {
            None => Last::PanelOrVine,
            Some(at) => match (runs.remove(at).as_str(), at, runs.len() - at) {
                ("P" | "POST", 0, 1) => Last::Post,
                ("W" | "WIRE", 1, 1) => Last::Wire,
                ("P", 0, 2) => Last::PanelOrVine,
                _ => return Err(wrong()),
            },
        };
        if runs.iter().any(|run| !is_number(run)) || runs.len() > 2 {
            return Err(wrong());
        }
        let label_end = plain
            .find(|c: char| c.is_ascii_digit())
            .map(|at| at + row_digits.len())
            .and_then(|at| plain.get(at..))
            .unwrap_or_default();
        Ok(Tokens {
            letters,
            row_digits,
            numbers: runs,
            last,
            parted_by_blank: label_end.starts_with([' ', ',']),
        })
    }

    pub(super) fn as_written(&self, typed: &str) -> Result<Address, AddressError> {
        let wrong = || AddressError::NotAnAddress {
            typed: text::quoted(typed),
        };
        let row = format!("{}{}", self.letters, self.row_digits);
        let numbers = self
            .numbers
            .iter()
            .map(|digits| digits.parse::<u16>().map_err(|_| wrong()))
            .collect::<Result<Vec<_>, _>>()?;
        self.address(row, &numbers).ok_or_else(wrong)
    }

    fn address(&self, row: String, numbers: &[u16]) -> Option<Address> {
        Some(match (self.last, numbers) {
            (Last::PanelOrVine, []) => Address::Row { row },
            (Last::PanelOrVine, [panel]) => Address::Panel { row, panel: *panel },
            (Last::PanelOrVine, [panel, vine]) => Address::Vine(VineAddress {
                row,
                panel: *panel,
                vine: *vine,
            }),
            (Last::Post, [post]) => Address::Post { row, post: *post },
            (Last::Wire, [panel, wire]) => Address::Wire {
                row,
                panel: *panel,
                wire: *wire,
            },
            _ => return None,
        })
    }

    /// The other readings where digits may have been run together.
    ///
    /// The row's own digits are always doubted; the later ones only where what is written does
    /// not exist.
    pub(super) fn run_together(&self, doubt_later: bool) -> Vec<Address> {
        let mut found = Vec::new();
        let most = self.row_digits.len() + usize::from(doubt_later);
        for at in 1..most {
            let (row_digits, glued) = self.row_digits.split_at(at);
            let mut digits: Vec<&str> = Vec::new();
            if !glued.is_empty() {
                digits.push(glued);
            }
            digits.extend(self.numbers.iter().map(String::as_str));
            for numbers in divisions(&digits) {
                let row = format!("{}{row_digits}", self.letters);
                found.extend(self.address(row, &numbers));
            }
        }
        let written = self.as_written("").ok();
        found.retain(|address| Some(address) != written.as_ref());
        found
    }

    /// Whether the other readings are to be weighed though the written one exists: an address
    /// as it is printed (`A11-3`) is taken at its word.
    pub(super) fn doubts_written(&self) -> bool {
        self.parted_by_blank && self.numbers.len() < 2
    }

    /// The fence post or gate of the same name.
    pub(super) fn fence_or_gate(&self) -> Option<Address> {
        if !self.numbers.is_empty() || self.last != Last::PanelOrVine {
            return None;
        }
        let post = self.row_digits.parse().ok().filter(|post| *post > 0)?;
        match self.letters.as_str() {
            "F" => Some(Address::Fence { post }),
            "G" => Some(Address::Gate { post }),
            _ => None,
        }
    }
}

/// `gate 1` is `G1`, `fence post 12` is `F12`.
fn spell_out_fence_and_gate(runs: &mut Vec<String>) {
    let letter = match runs.first().map(String::as_str) {
        Some("FENCE") => "F",
        Some("GATE") => "G",
        _ => return,
    };
    runs.remove(0);
    if runs.first().is_some_and(|run| run == "POST") {
        runs.remove(0);
    }
    if runs.first().is_some_and(|run| is_number(run)) {
        runs.insert(0, letter.to_owned());
    }
}

/// All ways to read the digits as one or two numbers, none with a leading zero.
fn divisions(digits: &[&str]) -> Vec<Vec<u16>> {
    let number = |text: &str| {
        let plain = text == "0" || !text.starts_with('0');
        text.parse::<u16>().ok().filter(|_| plain)
    };
    let whole = || -> Option<Vec<u16>> { digits.iter().map(|text| number(text)).collect() };
    let mut found: Vec<Vec<u16>> = whole().into_iter().collect();
    if let [one] = digits {
        found.extend((1..one.len()).filter_map(|at| {
            let (panel, vine) = one.split_at(at);
            Some(vec![number(panel)?, number(vine)?])
        }));
    }
    found
}

fn is_number(run: &str) -> bool {
    run.starts_with(|c: char| c.is_ascii_digit())
}

/// Runs of letters and of digits; `None` where another sign stands between.
fn runs(plain: &str) -> Option<Vec<String>> {
    let mut runs: Vec<String> = Vec::new();
    let mut before = ' ';
    for sign in plain.chars() {
        let same = (before.is_alphabetic() && sign.is_alphabetic())
            || (before.is_ascii_digit() && sign.is_ascii_digit());
        match runs.last_mut() {
            Some(run) if same => run.push(sign),
            _ if sign.is_alphabetic() || sign.is_ascii_digit() => runs.push(sign.to_string()),
            _ if matches!(sign, ' ' | '-' | '.' | ',' | ':' | '/') => {}
            _ => return None,
        }
        before = sign;
    }
    Some(runs)
}
