//! Addresses and ranges on the invented farm Tamarack Bend: 26 rows, four vines to a panel.

use endpost::science::places::{
    Address, AddressError, Ground, Reading, RowLayout, Stretch, VineAddress, parse_address,
    parse_range, read_back,
};
use proptest::prelude::*;

/// Blocks with their rows and the panels of each row.
const BLOCKS: [(&str, u16, usize); 5] = [
    ("A", 8, 11),
    ("B", 6, 11),
    ("C", 5, 9),
    ("D", 4, 9),
    ("E", 3, 9),
];

pub fn tamarack_bend() -> Vec<RowLayout> {
    BLOCKS
        .iter()
        .flat_map(|(letter, rows, panels)| {
            (1..=*rows).map(move |row| RowLayout {
                label: format!("{letter}{row}"),
                panels: vec![4; *panels],
            })
        })
        .collect()
}

pub fn blocks() -> Vec<(String, Vec<String>)> {
    BLOCKS
        .iter()
        .map(|(letter, rows, _)| {
            let rows = (1..=*rows).map(|row| format!("{letter}{row}"));
            ((*letter).to_owned(), rows.collect())
        })
        .collect()
}

fn clear(typed: &str, rows: &[RowLayout]) -> Address {
    match parse_address(typed, rows) {
        Ok(Reading::Clear(address)) => address,
        other => panic!("{typed:?}: {other:?}"),
    }
}

fn asked(typed: &str, rows: &[RowLayout]) -> Vec<String> {
    match parse_address(typed, rows) {
        Ok(Reading::Ambiguous(candidates)) => candidates.iter().map(ToString::to_string).collect(),
        other => panic!("{typed:?}: {other:?}"),
    }
}

fn vine(row: &str, panel: u16, vine: u16) -> Address {
    Address::Vine(VineAddress {
        row: row.to_owned(),
        panel,
        vine,
    })
}

#[test]
fn a_vine_is_read_in_every_usual_spelling() {
    let rows = tamarack_bend();
    for typed in [
        "C4-7-2",
        "c4-7-2",
        "c4 7 2",
        "C4.7.2",
        "C 4 7 2",
        "C4 – 7 – 2",
        "c4,7,2",
        "row C4, panel 7, vine 2",
        "C4 p7 v2",
    ] {
        assert_eq!(clear(typed, &rows), vine("C4", 7, 2), "{typed:?}");
    }
}

#[test]
fn rows_panels_posts_wires_fence_posts_and_gates_are_read() {
    let rows = tamarack_bend();
    for (typed, printed) in [
        ("c4", "C4"),
        ("C4-7", "C4-7"),
        ("c4 panel 7", "C4-7"),
        ("C4-P7", "C4-P7"),
        ("c4 p 7", "C4-P7"),
        ("c4p0", "C4-P0"),
        ("C4 post 9", "C4-P9"),
        ("C4-7 wire 2", "C4-7 wire 2"),
        ("f12", "F12"),
        ("fence post 12", "F12"),
        ("gate 1", "G1"),
        ("G1", "G1"),
    ] {
        assert_eq!(clear(typed, &rows).to_string(), printed, "{typed:?}");
    }
}

#[test]
fn digits_run_together_are_asked_about_and_never_guessed() {
    let mut rows = tamarack_bend();
    assert_eq!(asked("c47 2", &rows), ["C4-7-2"]);
    assert_eq!(asked("c472", &rows), ["C4-7-2"]);
    assert_eq!(asked("c4 72", &rows), ["C4-7-2"]);
    assert_eq!(asked("c47", &rows), ["C4-7"]);
    rows.push(RowLayout {
        label: "C47".to_owned(),
        panels: vec![4; 9],
    });
    assert_eq!(asked("c47 2", &rows), ["C47-2", "C4-7-2"]);
    // As it is printed it is taken at its word.
    assert_eq!(clear("C47-2", &rows).to_string(), "C47-2");
    assert_eq!(clear("c47 2 1", &rows), vine("C47", 2, 1));
}

#[test]
fn a_row_and_a_fence_post_of_one_name_are_asked_about() {
    let mut rows = tamarack_bend();
    rows.push(RowLayout {
        label: "F1".to_owned(),
        panels: vec![4; 9],
    });
    assert_eq!(asked("F1", &rows).len(), 2);
    assert_eq!(clear("F1-3-2", &rows), vine("F1", 3, 2));
    assert_eq!(clear("F12", &rows), Address::Fence { post: 12 });
}

#[test]
fn what_is_not_there_is_said_with_what_is() {
    let rows = tamarack_bend();
    for (typed, sentence) in [
        (
            "H9-1-1",
            "There is no row H9. The rows are A1 to A8, B1 to B6, C1 to C5, D1 to D4, E1 to E3.",
        ),
        ("C4-12-1", "Row C4 has panels 1 to 9; there is no panel 12."),
        (
            "C4-9-5",
            "Panel 9 of row C4 has vines 1 to 4; there is no vine 5.",
        ),
        ("C4-0-1", "Row C4 has panels 1 to 9; there is no panel 0."),
        ("C4-P10", "Row C4 has posts P0 to P9; there is no post P10."),
        (
            "7-2",
            "\"7-2\" is not an address. Write row, panel and vine, such as C4-7-2.",
        ),
        (
            "",
            "No address was typed. Write row, panel and vine, such as C4-7-2.",
        ),
    ] {
        let error = parse_address(typed, &rows).unwrap_err();
        assert_eq!(error.to_string(), sentence, "{typed:?}");
    }
    assert_eq!(
        parse_address("C4", &[]).unwrap_err().to_string(),
        "There is no row C4. No rows are set up yet."
    );
}

#[test]
fn an_address_is_read_back_in_words_with_its_tags() {
    let rows = tamarack_bend();
    for (typed, words) in [
        (
            "A3-7-2",
            "row A3, panel 7, vine 2, between the posts tagged 5 and 10",
        ),
        (
            "A3-5-2",
            "row A3, panel 5, vine 2, between the home end and the post tagged 5",
        ),
        (
            "A3-6-1",
            "row A3, panel 6, vine 1, between the posts tagged 5 and 10",
        ),
        // Row C4 ends at post 9: no post there is tagged 10.
        (
            "C4-7-2",
            "row C4, panel 7, vine 2, between the post tagged 5 and the far end",
        ),
        (
            "A3-11",
            "row A3, panel 11, between the post tagged 10 and the far end",
        ),
        ("C4-P0", "row C4, the home-end post"),
        ("C4-P7", "row C4, post 7"),
        ("C4-P9", "row C4, post 9, the far-end post"),
        ("F12", "fence post 12, clockwise from the main gate"),
    ] {
        assert_eq!(read_back(&clear(typed, &rows), &rows), words);
    }
}

#[test]
fn ranges_are_read() {
    let (rows, blocks) = (tamarack_bend(), blocks());
    let ground = Ground {
        rows: &rows,
        blocks: &blocks,
    };
    let labels = |typed: &str| -> Vec<String> {
        let stretches = parse_range(typed, &ground).unwrap();
        stretches.into_iter().map(|stretch| stretch.row).collect()
    };
    for typed in ["C4 panels 3-6", "c4 panels 3–6", "row C4 panels 3 to 6"] {
        let expected = Stretch {
            row: "C4".to_owned(),
            from_panel: 3,
            to_panel: 6,
        };
        assert_eq!(parse_range(typed, &ground), Ok(vec![expected]), "{typed:?}");
    }
    assert_eq!(labels("B all").len(), 6);
    assert_eq!(labels("block b").len(), 6);
    assert_eq!(labels("D edge rows"), ["D1", "D4"]);
    assert_eq!(labels("A1, A8"), ["A1", "A8"]);
    assert_eq!(
        labels("A7 to A8 and B"),
        ["A7", "A8", "B1", "B2", "B3", "B4", "B5", "B6"]
    );
    assert_eq!(labels("A1-A8").len(), 8);
    assert_eq!(labels("A1-8").len(), 8);
    assert_eq!(labels("all").len(), 26);
    assert_eq!(labels("A1, A1-2"), ["A1", "A2"]);
    let whole = &parse_range("A3", &ground).unwrap()[0];
    assert_eq!((whole.from_panel, whole.to_panel), (1, 11));
}

#[test]
fn a_range_that_is_not_there_is_said() {
    let (rows, blocks) = (tamarack_bend(), blocks());
    let ground = Ground {
        rows: &rows,
        blocks: &blocks,
    };
    let error = |typed: &str| parse_range(typed, &ground).unwrap_err();
    assert_eq!(
        error("C4 panels 3-12").to_string(),
        "Row C4 has panels 1 to 9; there is no panel 12."
    );
    assert_eq!(
        error("K all").to_string(),
        "There is no block K. The blocks are A, B, C, D, E."
    );
    assert!(matches!(error("C9"), AddressError::NoSuchRow { .. }));
    assert!(matches!(error("A8-A1"), AddressError::Backwards { .. }));
    assert!(matches!(
        error("C4 panels 6-3"),
        AddressError::Backwards { .. }
    ));
    assert!(matches!(error("A1-B2"), AddressError::NotAnAddress { .. }));
    assert!(matches!(error(" , "), AddressError::Empty));
}

proptest! {
    /// Whatever is printed reads back as itself.
    #[test]
    fn printed_addresses_read_back(row in 0_usize..26, panel in 1_u16..=9, at in 1_u16..=4, kind in 0..5) {
        let rows = tamarack_bend();
        let row = rows[row].label.clone();
        let address = match kind {
            0 => Address::Row { row },
            1 => Address::Panel { row, panel },
            2 => vine(&row, panel, at),
            3 => Address::Post { row, post: panel },
            _ => Address::Wire { row, panel, wire: at },
        };
        let printed = address.to_string();
        prop_assert_eq!(parse_address(&printed, &rows), Ok(Reading::Clear(address)));
    }

    /// A clear reading holds every digit that was typed, in its order.
    #[test]
    fn no_digit_is_lost(typed in "[a-eA-E]?[0-9]{0,3}([ .-][pP]?[0-9]{1,3}){0,2}") {
        let rows = tamarack_bend();
        let digits = |text: &str| -> String {
            text.chars().filter(char::is_ascii_digit).collect()
        };
        let bare = !typed.contains(" 0") && !typed.contains(".0") && !typed.contains("-0")
            && !typed.contains("p0") && !typed.contains("P0");
        if let Ok(Reading::Clear(address)) = parse_address(&typed, &rows)
            && bare
        {
            prop_assert_eq!(digits(&address.to_string()), digits(&typed));
        }
    }

    #[test]
    fn garbage_never_panics(typed in "\\PC{0,20}") {
        let (rows, blocks) = (tamarack_bend(), blocks());
        let ground = Ground { rows: &rows, blocks: &blocks };
        if let Ok(Reading::Clear(address)) = parse_address(&typed, &rows) {
            prop_assert!(!read_back(&address, &rows).is_empty());
        }
        if let Ok(stretches) = parse_range(&typed, &ground) {
            prop_assert!(!stretches.is_empty());
        }
    }
}
