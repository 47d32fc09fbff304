//! Ranges of a walk or a job: "C4 panels 3-6", "B all", "A1 to A8", "D edge rows".
//!
//! Single addresses are read in `address`.

use super::RowLayout;
use super::address::{AddressError, known_rows, panel, row, same_label, split_label};
use crate::science::number::text;
use serde::{Deserialize, Serialize};

/// The rows there are and the block each belongs to on the day in question.
#[derive(Clone, Copy, Debug)]
pub struct Ground<'a> {
    pub rows: &'a [RowLayout],
    /// Block names with their rows in walking order.
    pub blocks: &'a [(String, Vec<String>)],
}

/// A run of panels in one row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stretch {
    pub row: String,
    pub from_panel: u16,
    pub to_panel: u16,
}

impl Stretch {
    fn whole(row: &RowLayout) -> Stretch {
        Stretch {
            row: row.label.clone(),
            from_panel: 1,
            to_panel: row.panel_count(),
        }
    }
}

/// Reads ranges, several of them parted by commas or "and".
///
/// `C4 panels 3-6`, `C4 panel 3`, `C4`, `A1-A8`, `A1 to A8`, `B`, `B all`, `D edge rows` (the
/// first and the last row of the block), `all`. A name that is both a row and a block is the row.
///
/// ```
/// use endpost::science::places::{parse_range, Ground, RowLayout};
/// let rows = [RowLayout { label: "C4".into(), panels: vec![4; 9] }];
/// let ground = Ground { rows: &rows, blocks: &[] };
/// let stretch = &parse_range("c4 panels 3-6", &ground).unwrap()[0];
/// assert_eq!((stretch.from_panel, stretch.to_panel), (3, 6));
/// ```
pub fn parse_range(typed: &str, ground: &Ground<'_>) -> Result<Vec<Stretch>, AddressError> {
    let plain = text::plain(typed).to_uppercase().replace(" AND ", ",");
    let mut found: Vec<Stretch> = Vec::new();
    for part in plain.split([',', ';']).map(str::trim) {
        if part.is_empty() {
            continue;
        }
        for stretch in one_range(part, ground)? {
            if !found.contains(&stretch) {
                found.push(stretch);
            }
        }
    }
    if found.is_empty() {
        return Err(AddressError::Empty);
    }
    Ok(found)
}

fn one_range(part: &str, ground: &Ground<'_>) -> Result<Vec<Stretch>, AddressError> {
    let words: Vec<String> = part
        .replace(" TO ", "-")
        .replace(" - ", "-")
        .split_whitespace()
        .map(str::to_owned)
        .filter(|word| !matches!(word.as_str(), "ROW" | "BLOCK" | "OF"))
        .collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["ALL"] | ["EVERYTHING"] => Ok(ground.rows.iter().map(Stretch::whole).collect()),
        [name, "PANELS" | "PANEL", numbers] => panels(name, numbers, ground),
        [name, "EDGE" | "EDGES"] | [name, "EDGE", "ROWS"] => {
            let rows = block(name, ground)?;
            let edges = rows.first().into_iter().chain(rows.last());
            stretches(edges, ground)
        }
        [name, "ALL"] | ["ALL", name] | [name, "ALL", "ROWS"] => {
            stretches(block(name, ground)?.iter(), ground)
        }
        ["ROWS", name] | [name] => row_or_rows(name, ground),
        _ => Err(AddressError::NotAnAddress {
            typed: text::quoted(part),
        }),
    }
}

fn row_or_rows(name: &str, ground: &Ground<'_>) -> Result<Vec<Stretch>, AddressError> {
    if let Ok(known) = row(name, ground.rows) {
        return Ok(vec![Stretch::whole(known)]);
    }
    if let Some((from, to)) = name.split_once('-') {
        return rows_between(from, to, ground);
    }
    if split_label(name).is_some() {
        row(name, ground.rows)?;
    }
    stretches(block(name, ground)?.iter(), ground)
}

/// `A1-A8`, also written `A1-8`: the rows of that letter whose numbers lie between.
fn rows_between(from: &str, to: &str, ground: &Ground<'_>) -> Result<Vec<Stretch>, AddressError> {
    let first = row(from, ground.rows)?;
    let bare = to.chars().all(|sign| sign.is_ascii_digit());
    let letters = split_label(&first.label).map_or("", |(letters, _)| letters);
    let to = if bare {
        format!("{letters}{to}")
    } else {
        to.to_owned()
    };
    let last = row(&to, ground.rows)?;
    let ends = split_label(&first.label).zip(split_label(&last.label));
    let Some(((one, low), (_, high))) = ends.filter(|((one, _), (other, _))| one == other) else {
        return Err(AddressError::NotAnAddress {
            typed: format!("{from}-{to}"),
        });
    };
    if low > high {
        return Err(backwards(from, &to));
    }
    Ok(ground
        .rows
        .iter()
        .filter(|row| {
            split_label(&row.label)
                .is_some_and(|(letters, number)| letters == one && (low..=high).contains(&number))
        })
        .map(Stretch::whole)
        .collect())
}

fn panels(name: &str, numbers: &str, ground: &Ground<'_>) -> Result<Vec<Stretch>, AddressError> {
    let known = row(name, ground.rows)?;
    let (from, to) = numbers.split_once('-').unwrap_or((numbers, numbers));
    let number = |text: &str| {
        let number = text.trim().parse::<u16>();
        let number = number.map_err(|_| AddressError::NotAnAddress {
            typed: format!("{name} panels {numbers}"),
        });
        number.and_then(|number| panel(known, number))
    };
    let (from_panel, to_panel) = (number(from)?, number(to)?);
    if from_panel > to_panel {
        return Err(backwards(from, to));
    }
    Ok(vec![Stretch {
        row: known.label.clone(),
        from_panel,
        to_panel,
    }])
}

fn backwards(from: &str, to: &str) -> AddressError {
    AddressError::Backwards {
        from: from.to_owned(),
        to: to.to_owned(),
    }
}

fn block<'a>(name: &str, ground: &Ground<'a>) -> Result<&'a [String], AddressError> {
    ground
        .blocks
        .iter()
        .find(|(known, _)| same_label(known, name))
        .map(|(_, rows)| rows.as_slice())
        .ok_or_else(|| {
            let names: Vec<&str> = ground
                .blocks
                .iter()
                .map(|(name, _)| name.as_str())
                .collect();
            if names.is_empty() {
                AddressError::NoSuchRow {
                    row: name.to_owned(),
                    known: known_rows(ground.rows),
                }
            } else {
                AddressError::NoSuchBlock {
                    block: name.to_owned(),
                    known: names.join(", "),
                }
            }
        })
}

fn stretches<'a>(
    labels: impl Iterator<Item = &'a String>,
    ground: &Ground<'_>,
) -> Result<Vec<Stretch>, AddressError> {
    labels
        .map(|label| row(label, ground.rows).map(Stretch::whole))
        .collect()
}
