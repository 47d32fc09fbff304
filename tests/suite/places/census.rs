//! Vines through the years, and the stories of the gone vines and of the moved boundary.

use super::address::tamarack_bend;
use chrono::NaiveDate;
use endpost::science::places::census::{
    VineChange, VineEvent, count_on, gone_on, history, standing_on,
};
use endpost::science::places::{RowLayout, RowsOfBlock, VineAddress, changes_of_rows, rows_on};
use uuid::Uuid;

fn date(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).unwrap()
}

fn at(row: &str, panel: u16, vine: u16) -> VineAddress {
    VineAddress {
        row: row.to_owned(),
        panel,
        vine,
    }
}

fn event(at: VineAddress, date: NaiveDate, what: VineChange) -> VineEvent {
    VineEvent {
        at,
        date,
        what,
        variety: None,
        bearing_from: None,
    }
}

fn rows_of(labels: &[String]) -> Vec<RowLayout> {
    let mut rows = tamarack_bend();
    rows.retain(|row| labels.contains(&row.label));
    rows
}

fn block(letter: &str) -> Vec<RowLayout> {
    let mut rows = tamarack_bend();
    rows.retain(|row| row.label.starts_with(letter));
    rows
}

/// Story 3: five vines of Frontenac are gone.
#[test]
fn frontenac_has_259_bearing_vines() {
    let gone: Vec<VineEvent> = [
        ("B2", 4, 1),
        ("B3", 9, 2),
        ("B5", 1, 1),
        ("B5", 6, 3),
        ("B6", 2, 2),
    ]
    .into_iter()
    .map(|(row, panel, vine)| event(at(row, panel, vine), date(2026, 5, 1), VineChange::Gone))
    .collect();
    let rows = block("B");
    let count = count_on(&rows, &gone, date(2027, 9, 1));
    assert_eq!((count.positions, count.gone, count.bearing), (264, 5, 259));
    assert_eq!(count_on(&rows, &gone, date(2026, 4, 30)).bearing, 264);
    let standing = standing_on(&rows, &gone, date(2027, 9, 1));
    assert_eq!(standing.len(), 259);
    assert!(!standing.contains(&at("B5", 6, 3)));
    // The next vine keeps its number.
    assert!(standing.contains(&at("B5", 6, 4)));
    assert_eq!(gone_on(&gone, date(2027, 9, 1)).len(), 5);
    assert!(gone_on(&gone, date(2026, 4, 30)).is_empty());
}

/// Story 20: A3-7-2, replanted twice, shows three vines at one address.
#[test]
fn a_vine_replanted_twice_is_three_vines() {
    let here = at("A3", 7, 2);
    let mut events = vec![
        event(here.clone(), date(2024, 5, 2), VineChange::Replanted),
        event(here.clone(), date(2021, 3, 1), VineChange::Weak),
        event(here.clone(), date(2022, 3, 1), VineChange::Gone),
        event(here.clone(), date(2026, 5, 9), VineChange::Replanted),
        event(at("A3", 7, 3), date(2022, 3, 1), VineChange::Gone),
    ];
    events[3].bearing_from = Some(2029);
    let vines = history(&here, &events, date(2027, 9, 1));
    assert_eq!(vines.len(), 3);
    assert_eq!(vines[0].planted, None);
    assert_eq!(vines[0].weak_since, Some(date(2021, 3, 1)));
    assert_eq!(vines[0].gone, Some(date(2022, 3, 1)));
    assert_eq!(vines[1].planted, Some(date(2024, 5, 2)));
    assert_eq!(vines[1].gone, Some(date(2026, 5, 9)));
    assert_eq!(vines[2].planted, Some(date(2026, 5, 9)));
    assert_eq!(vines[2].gone, None);
    assert_eq!(vines[2].bears_in(2028), Some(false));
    assert_eq!(vines[2].bears_in(2029), Some(true));
    assert_eq!(history(&here, &events, date(2023, 1, 1)).len(), 1);
}

/// Story 20: C4 and C5 are grubbed on 20 Nov 2027 and set to La Crescent as block F.
#[test]
fn the_boundary_moves_and_last_year_stays() {
    let label = |number: u32| format!("C{number}");
    let moved = date(2027, 11, 20);
    let list = |block, from, numbers: std::ops::RangeInclusive<u32>| RowsOfBlock {
        block,
        from,
        rows: rows_of(&numbers.map(label).collect::<Vec<_>>()),
    };
    let (c, f) = (Uuid::from_u128(3), Uuid::from_u128(6));
    let lists = [list(c, date(2015, 5, 1), 1..=5), list(f, moved, 4..=5)];
    let new_ground = rows_on(f, moved, &lists);
    let mut events: Vec<VineEvent> = Vec::new();
    for address in new_ground.iter().flat_map(RowLayout::addresses) {
        events.push(event(address.clone(), moved, VineChange::Gone));
        events.push(VineEvent {
            at: address,
            date: date(2028, 5, 6),
            what: VineChange::Planted,
            variety: Some("La Crescent".to_owned()),
            bearing_from: Some(2030),
        });
    }
    let count = |block, day| count_on(&rows_on(block, day, &lists), &events, day);
    assert_eq!(count(c, date(2027, 9, 1)).bearing, 180);
    assert_eq!(rows_on(c, date(2027, 11, 19), &lists).len(), 5);
    assert_eq!(count(c, moved).positions, 108);
    assert_eq!(count(f, moved).positions, 72);
    assert_eq!(count(f, moved).standing, 0);
    assert_eq!(count(f, date(2028, 9, 1)).standing, 72);
    assert_eq!(count(f, date(2028, 9, 1)).bearing, 0);
    assert_eq!(count(f, date(2030, 9, 1)).bearing, 72);
    assert!(rows_on(f, date(2027, 11, 19), &lists).is_empty());
    assert_eq!(changes_of_rows(c, date(2028, 1, 1), &lists), [moved]);
    assert!(changes_of_rows(c, date(2027, 11, 19), &lists).is_empty());
    assert!(changes_of_rows(f, date(2028, 1, 1), &lists).is_empty());
}

#[test]
fn a_planting_still_to_come_is_no_vine_yet() {
    let here = at("E1", 1, 1);
    let planting = [event(here.clone(), date(2028, 5, 6), VineChange::Planted)];
    assert!(history(&here, &planting, date(2027, 9, 1)).is_empty());
    let before = count_on(&block("E"), &planting, date(2027, 9, 1));
    assert_eq!((before.standing, before.gone), (107, 1));
    // No bearing year was typed: the vine is in no sum, and said to be so.
    let after = count_on(&block("E"), &planting, date(2028, 9, 1));
    assert_eq!((after.bearing, after.bearing_not_said), (107, 1));
}

#[test]
fn weak_and_grafted_vines_stand() {
    let here = at("E1", 1, 1);
    let mut events = vec![
        event(here.clone(), date(2026, 3, 1), VineChange::Weak),
        event(at("E1", 1, 2), date(2026, 5, 1), VineChange::Grafted),
    ];
    events[1].variety = Some("Vidal".to_owned());
    events[1].bearing_from = Some(2028);
    let count = count_on(&block("E"), &events, date(2027, 9, 1));
    assert_eq!((count.standing, count.weak, count.bearing), (108, 1, 107));
    let text = serde_json::to_string(&events[1]).unwrap();
    assert_eq!(serde_json::from_str::<VineEvent>(&text).unwrap(), events[1]);
}
