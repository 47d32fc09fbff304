//! Addresses of a row, a panel, a vine, a post, a wire: read as typed, and read back in words.
//!
//! What could be meant in two ways is asked about, never guessed. Ranges are read in `range`.

mod tokens;
mod words;

use super::{RowLayout, VineAddress};
use serde::{Deserialize, Serialize};
use std::fmt;
use thiserror::Error;
use tokens::Tokens;

pub(super) use words::known_rows;
pub use words::read_back;

/// A place that has an address.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Address {
    Row {
        row: String,
    },
    Panel {
        row: String,
        panel: u16,
    },
    Vine(VineAddress),
    /// Post 0 stands at the home end; panel n ends at post n.
    Post {
        row: String,
        post: u16,
    },
    /// Wires are counted from the ground.
    Wire {
        row: String,
        panel: u16,
        wire: u16,
    },
    /// Fence posts are counted clockwise from the main gate.
    Fence {
        post: u16,
    },
    Gate {
        post: u16,
    },
}

impl fmt::Display for Address {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Address::Row { row } => write!(out, "{row}"),
            Address::Panel { row, panel } => write!(out, "{row}-{panel}"),
            Address::Vine(vine) => write!(out, "{vine}"),
            Address::Post { row, post } => write!(out, "{row}-P{post}"),
            Address::Wire { row, panel, wire } => write!(out, "{row}-{panel} wire {wire}"),
            Address::Fence { post } => write!(out, "F{post}"),
            Address::Gate { post } => write!(out, "G{post}"),
        }
    }
}

/// What a typed address was read as.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reading {
    Clear(Address),
    /// To be asked, even where there is one candidate only: it is not what was written.
    Ambiguous(Vec<Address>),
}

/// Why a text is no address on this farm.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum AddressError {
    #[error("No address was typed. Write row, panel and vine, such as C4-7-2.")]
    Empty,
    #[error("\"{typed}\" is not an address. Write row, panel and vine, such as C4-7-2.")]
    NotAnAddress { typed: String },
    #[error("There is no row {row}. {known}")]
    NoSuchRow { row: String, known: String },
    #[error("There is no block {block}. The blocks are {known}.")]
    NoSuchBlock { block: String, known: String },
    #[error("Row {row} has panels 1 to {last}; there is no panel {panel}.")]
    NoSuchPanel { row: String, panel: u16, last: u16 },
    #[error("Panel {panel} of row {row} has vines 1 to {last}; there is no vine {vine}.")]
    NoSuchVine {
        row: String,
        panel: u16,
        vine: u16,
        last: u16,
    },
    #[error("Row {row} has posts P0 to P{last}; there is no post P{post}.")]
    NoSuchPost { row: String, post: u16, last: u16 },
    #[error("Wires are counted from the ground, from 1.")]
    NoSuchWire,
    #[error("The range {from} to {to} runs backwards. Write the smaller number first.")]
    Backwards { from: String, to: String },
}

/// Reads one address against the rows there are.
///
/// Written `C4-7-2`; `c4 7 2`, `C4.7.2` and `row C4, panel 7, vine 2` are the same. Posts
/// `C4-P7`, wires `C4-7 wire 2`, fence posts `F12`, gates `G1`. Digits run together, as in
/// `c47 2`, are asked about.
///
/// ```
/// use endpost::science::places::{parse_address, Reading, RowLayout};
/// let rows = [RowLayout { label: "C4".into(), panels: vec![4; 9] }];
/// let Reading::Clear(address) = parse_address("c4 7 2", &rows).unwrap() else { panic!() };
/// assert_eq!(address.to_string(), "C4-7-2");
/// assert!(matches!(parse_address("c47 2", &rows), Ok(Reading::Ambiguous(_))));
/// ```
pub fn parse_address(typed: &str, rows: &[RowLayout]) -> Result<Reading, AddressError> {
    let tokens = Tokens::of(typed, rows)?;
    let written = tokens
        .as_written(typed)
        .and_then(|address| exists(address, rows));
    let mut candidates: Vec<Address> = written.iter().cloned().collect();
    candidates.extend(tokens.fence_or_gate());
    if let [only] = candidates.as_slice()
        && !tokens.doubts_written()
    {
        return Ok(Reading::Clear(only.clone()));
    }
    let run_together = tokens.run_together(written.is_err()).into_iter();
    candidates.extend(run_together.filter_map(|address| exists(address, rows).ok()));
    match (candidates.as_slice(), written) {
        ([only], Ok(_)) => Ok(Reading::Clear(only.clone())),
        ([], Err(error)) => Err(error),
        _ => Ok(Reading::Ambiguous(candidates)),
    }
}

pub(super) fn row<'a>(label: &str, rows: &'a [RowLayout]) -> Result<&'a RowLayout, AddressError> {
    rows.iter()
        .find(|row| same_label(&row.label, label))
        .ok_or_else(|| AddressError::NoSuchRow {
            row: label.to_owned(),
            known: known_rows(rows),
        })
}

/// Whether two labels are the same but for case and the signs between letters and digits.
pub(super) fn same_label(one: &str, other: &str) -> bool {
    let plain = |label: &str| -> String {
        let kept = label.chars().filter(|sign| sign.is_alphanumeric());
        kept.flat_map(char::to_uppercase).collect()
    };
    plain(one) == plain(other)
}

pub(super) fn panel(row: &RowLayout, panel: u16) -> Result<u16, AddressError> {
    if (1..=row.panel_count()).contains(&panel) {
        Ok(panel)
    } else {
        Err(AddressError::NoSuchPanel {
            row: row.label.clone(),
            panel,
            last: row.panel_count(),
        })
    }
}

/// The address with the row's label as painted, or what is there instead.
fn exists(address: Address, rows: &[RowLayout]) -> Result<Address, AddressError> {
    Ok(match address {
        Address::Row { row: label } => Address::Row {
            row: row(&label, rows)?.label.clone(),
        },
        Address::Panel {
            row: label,
            panel: at,
        } => {
            let known = row(&label, rows)?;
            Address::Panel {
                row: known.label.clone(),
                panel: panel(known, at)?,
            }
        }
        Address::Vine(at) => {
            let known = row(&at.row, rows)?;
            let last = known.vines_in(panel(known, at.panel)?);
            if !(1..=last).contains(&at.vine) {
                return Err(AddressError::NoSuchVine {
                    row: known.label.clone(),
                    panel: at.panel,
                    vine: at.vine,
                    last,
                });
            }
            Address::Vine(VineAddress {
                row: known.label.clone(),
                ..at
            })
        }
        Address::Post { row: label, post } => {
            let known = row(&label, rows)?;
            if post > known.panel_count() {
                return Err(AddressError::NoSuchPost {
                    row: known.label.clone(),
                    post,
                    last: known.panel_count(),
                });
            }
            Address::Post {
                row: known.label.clone(),
                post,
            }
        }
        Address::Wire {
            row: label,
            panel: at,
            wire,
        } => {
            let known = row(&label, rows)?;
            if wire == 0 {
                return Err(AddressError::NoSuchWire);
            }
            Address::Wire {
                row: known.label.clone(),
                panel: panel(known, at)?,
                wire,
            }
        }
        Address::Fence { .. } | Address::Gate { .. } => address,
    })
}

/// The letters and the number of a row label.
pub(super) fn split_label(label: &str) -> Option<(&str, u32)> {
    let at = label.find(|c: char| c.is_ascii_digit())?;
    let (letters, digits) = label.split_at(at);
    Some((letters, digits.parse().ok()?))
}
