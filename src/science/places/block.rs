//! Blocks: named pieces of the vineyard, each a dated list of rows.
//! Not here: how rows are typed (`layout`) and single vines (`census`).

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::RowLayout;

/// A block. It needs only a name to take a reading.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Block {
    pub name: String,
    pub variety: Option<String>,
    pub note: Option<String>,
}

impl Block {
    /// "A Marquette", or only the name.
    pub fn called(&self) -> String {
        match &self.variety {
            Some(variety) => format!("{} {variety}", self.name),
            None => self.name.clone(),
        }
    }
}

/// The rows of one block from a day on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowsOfBlock {
    pub block: Uuid,
    pub from: NaiveDate,
    pub rows: Vec<RowLayout>,
}

/// The rows of `block` on a day, from all lists of the farm in order of arrival.
///
/// The latest list of the block counts; a row that a later list gave to another block has moved.
pub fn rows_on(block: Uuid, day: NaiveDate, lists: &[RowsOfBlock]) -> Vec<RowLayout> {
    let known: Vec<(usize, &RowsOfBlock)> = lists
        .iter()
        .enumerate()
        .filter(|(_, list)| list.from <= day)
        .collect();
    let newer = |(place, list): &(usize, &RowsOfBlock)| (list.from, *place);
    let Some(own) = known
        .iter()
        .filter(|(_, list)| list.block == block)
        .max_by_key(|one| newer(one))
    else {
        return Vec::new();
    };
    let moved = |label: &str| {
        known.iter().any(|other| {
            other.1.block != block
                && newer(other) > newer(own)
                && other
                    .1
                    .rows
                    .iter()
                    .any(|row| row.label.eq_ignore_ascii_case(label))
        })
    };
    own.1
        .rows
        .iter()
        .filter(|row| !moved(&row.label))
        .cloned()
        .collect()
}

/// The days on which the list of rows of `block` changed after the first, up to `day`.
pub fn changes_of_rows(block: Uuid, day: NaiveDate, lists: &[RowsOfBlock]) -> Vec<NaiveDate> {
    let mut days: Vec<NaiveDate> = lists
        .iter()
        .map(|list| list.from)
        .filter(|from| *from <= day)
        .collect();
    days.sort();
    days.dedup();
    let labels = |day| -> Vec<String> {
        rows_on(block, day, lists)
            .into_iter()
            .map(|row| row.label)
            .collect()
    };
    days.windows(2)
        .filter(|pair| {
            let before = labels(pair[0]);
            !before.is_empty() && before != labels(pair[1])
        })
        .map(|pair| pair[1])
        .collect()
}
