//! The words of an address: read back for a person, and the rows there are.
//!
//! Typed addresses are read in `address`.

use super::{Address, split_label};
use crate::science::places::RowLayout;

/// Reads an address back in words, with the tagged posts it lies between.
///
/// Every fifth post is tagged (5, 10, …), so that counting from the home end is short.
///
/// ```
/// use endpost::science::places::{read_back, Address, RowLayout, VineAddress};
/// let rows = [RowLayout { label: "A3".into(), panels: vec![4; 11] }];
/// let vine = Address::Vine(VineAddress { row: "A3".into(), panel: 7, vine: 2 });
/// assert_eq!(
///     read_back(&vine, &rows),
///     "row A3, panel 7, vine 2, between the posts tagged 5 and 10"
/// );
/// ```
pub fn read_back(address: &Address, rows: &[RowLayout]) -> String {
    let between = |row: &str, panel| between_tags(row, panel, rows);
    match address {
        Address::Row { row } => format!("row {row}"),
        Address::Panel { row, panel } => {
            format!("row {row}, panel {panel}{}", between(row, *panel))
        }
        Address::Vine(at) => format!(
            "row {}, panel {}, vine {}{}",
            at.row,
            at.panel,
            at.vine,
            between(&at.row, at.panel)
        ),
        Address::Post { row, post: 0 } => format!("row {row}, the home-end post"),
        Address::Post { row, post } => {
            let last = rows
                .iter()
                .any(|known| known.label == *row && known.panel_count() == *post);
            let end = if last { ", the far-end post" } else { "" };
            format!("row {row}, post {post}{end}")
        }
        Address::Wire { row, panel, wire } => format!(
            "row {row}, panel {panel}, wire {wire} from the ground{}",
            between(row, *panel)
        ),
        Address::Fence { post } => format!("fence post {post}, clockwise from the main gate"),
        Address::Gate { post } => format!("gate {post}"),
    }
}

fn between_tags(label: &str, panel: u16, rows: &[RowLayout]) -> String {
    let Some(row) = rows.iter().find(|row| row.label == label) else {
        return String::new();
    };
    let last_post = row.panel_count();
    if last_post < 5 || panel == 0 || panel > last_post {
        return String::new();
    }
    let below = (panel - 1) / 5 * 5;
    let above = below + 5;
    match (below, above <= last_post) {
        (0, _) => ", between the home end and the post tagged 5".to_owned(),
        (_, true) => format!(", between the posts tagged {below} and {above}"),
        (_, false) => format!(", between the post tagged {below} and the far end"),
    }
}

/// Names the rows there are, runs of numbers joined: "The rows are A1 to A8, B1 to B6."
pub fn known_rows(rows: &[RowLayout]) -> String {
    if rows.is_empty() {
        return "No rows are set up yet.".to_owned();
    }
    let mut runs: Vec<(String, u32, u32)> = Vec::new();
    let mut others: Vec<String> = Vec::new();
    for row in rows {
        let Some((letters, number)) = split_label(&row.label) else {
            others.push(row.label.clone());
            continue;
        };
        match runs.last_mut() {
            Some((known, _, last)) if *known == letters && *last + 1 == number => *last = number,
            _ => runs.push((letters.to_owned(), number, number)),
        }
    }
    let mut names: Vec<String> = runs
        .into_iter()
        .map(|(letters, first, last)| match last - first {
            0 => format!("{letters}{first}"),
            _ => format!("{letters}{first} to {letters}{last}"),
        })
        .collect();
    names.extend(others);
    format!("The rows are {}.", names.join(", "))
}
