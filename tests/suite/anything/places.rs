//! Whatever is typed where an address, a range of rows or a zone is wanted: a place that is there,
//! or a sentence. Not here: the spellings (`places::address`).

use endpost::science::places::{
    Address, Ground, Reading, RowLayout, parse_address, parse_range, read_back,
};
use endpost::science::zone::parse_zone;
use proptest::collection::vec;
use proptest::prelude::*;

use super::cases;
use super::draw::text;
use crate::places::address::{blocks, tamarack_bend};

/// Rows as no farm has them: labels of anything, panels without vines, rows without panels.
fn odd_rows() -> impl Strategy<Value = Vec<RowLayout>> {
    let label = prop_oneof![text(), "[A-C]{0,2}[0-9]{0,3}"];
    let row =
        (label, vec(any::<u16>(), 0..4)).prop_map(|(label, panels)| RowLayout { label, panels });
    vec(row, 0..6)
}

fn row_of(address: &Address) -> Option<&str> {
    match address {
        Address::Row { row }
        | Address::Panel { row, .. }
        | Address::Post { row, .. }
        | Address::Wire { row, .. } => Some(row),
        Address::Vine(vine) => Some(&vine.row),
        Address::Fence { .. } | Address::Gate { .. } => None,
    }
}

fn look_up(typed: &str, rows: &[RowLayout]) -> Result<(), TestCaseError> {
    let found = match parse_address(typed, rows) {
        Ok(Reading::Clear(address)) => vec![address],
        Ok(Reading::Ambiguous(several)) => {
            prop_assert!(!several.is_empty(), "{typed:?} is none of nothing");
            several
        }
        Err(error) => {
            let said = error.to_string();
            prop_assert!(said.ends_with('.'), "{said}");
            return Ok(());
        }
    };
    for address in found {
        let is_there = row_of(&address).is_none_or(|row| rows.iter().any(|one| one.label == row));
        prop_assert!(is_there, "{typed:?} is {address}, which is not there");
        prop_assert!(!read_back(&address, rows).is_empty());
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases(1000))]

    #[test]
    fn an_address_is_there_or_refused_in_words(typed in text()) {
        look_up(&typed, &tamarack_bend())?;
    }

    #[test]
    fn on_odd_ground_too(typed in prop_oneof![text(), "[a-c]{0,2}[0-9]{0,3}[ .-][0-9]{0,6}[ .-][0-9]{0,6}"], rows in odd_rows()) {
        look_up(&typed, &rows)?;
        for row in &rows {
            look_up(&row.label, &rows)?;
        }
    }

    #[test]
    fn what_is_printed_of_an_address_is_the_same_address(typed in text()) {
        let rows = tamarack_bend();
        if let Ok(Reading::Clear(address)) = parse_address(&typed, &rows) {
            let printed = address.to_string();
            prop_assert_eq!(parse_address(&printed, &rows), Ok(Reading::Clear(address)));
        }
    }

    #[test]
    fn a_range_is_there_or_refused_in_words(typed in text()) {
        let (rows, blocks) = (tamarack_bend(), blocks());
        match parse_range(&typed, &Ground { rows: &rows, blocks: &blocks }) {
            Ok(stretches) => {
                prop_assert!(!stretches.is_empty());
                for one in stretches {
                    let row = rows.iter().find(|row| row.label == one.row);
                    let panels = row.map_or(0, RowLayout::panel_count);
                    let within = 1 <= one.from_panel && one.from_panel <= one.to_panel
                        && one.to_panel <= panels;
                    prop_assert!(within, "{typed:?} is {one:?}");
                }
            }
            Err(error) => prop_assert!(error.to_string().ends_with('.'), "{error}"),
        }
    }

    #[test]
    fn a_range_on_odd_ground_is_no_fault(
        typed in text(),
        rows in odd_rows(),
        blocks in vec((text(), vec(text(), 0..3)), 0..3),
    ) {
        let names: Vec<String> = blocks.iter().map(|(name, _)| format!("{name} all")).collect();
        for typed in names.iter().chain([&typed]) {
            if let Err(error) = parse_range(typed, &Ground { rows: &rows, blocks: &blocks }) {
                prop_assert!(error.to_string().ends_with('.'), "{error}");
            }
        }
    }

    #[test]
    fn a_zone_is_one_of_the_list_or_a_sentence(typed in text()) {
        match parse_zone(&typed) {
            Ok(zone) => prop_assert_eq!(parse_zone(zone.name()), Ok(zone)),
            Err(error) => prop_assert!(error.to_string().ends_with('.'), "{error}"),
        }
    }
}
