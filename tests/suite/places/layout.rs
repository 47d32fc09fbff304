//! Layouts as typed, and the table of Tamarack Bend: 1,048 positions on 26 rows.

use endpost::science::places::layout::{LayoutError, Shape, parse_shape};
use endpost::science::places::{RowLayout, read_layout};

const SHAPE: Shape = Shape {
    rows: 8,
    panels: 11,
    vines: 4,
};

#[test]
fn one_line_is_read_in_any_order_and_near_wording() {
    for typed in [
        "8 rows, 11 panels, 4 vines",
        "8 rows of 11 panels with 4 vines each",
        "4 vines to a panel, 11 panels a row, 8 rows",
        "4 vines per panel; 11 panels per row; 8 rows.",
        "rows: 8, panels: 11, vines: 4",
        "vines per panel = 4, panels per row = 11, rows = 8",
        "8rows 11panels 4vines",
        "8 x 11 x 4",
        "8×11×4",
        "8 by 11 by 4",
        "8, 11, 4",
        "8 ROWS, 11 BAYS, 4 PLANTS",
    ] {
        assert_eq!(parse_shape(typed), Ok(SHAPE), "{typed:?}");
    }
}

#[test]
fn what_is_missing_or_can_not_be_is_said() {
    let sentence = |typed: &str| parse_shape(typed).unwrap_err().to_string();
    assert_eq!(
        sentence("8 rows, 11 panels"),
        "\"8 rows, 11 panels\" does not say how many vines a panel. Write \"8 rows, 11 panels, 4 vines\"."
    );
    assert!(matches!(
        parse_shape("8 rows, 9 rows, 4 vines"),
        Err(LayoutError::Twice { .. })
    ));
    assert!(matches!(
        parse_shape("8 x 11"),
        Err(LayoutError::NotUnderstood { .. })
    ));
    assert!(matches!(parse_shape(""), Err(LayoutError::Empty)));
    assert!(matches!(
        parse_shape("many"),
        Err(LayoutError::NotUnderstood { .. })
    ));
    for typed in [
        "0 rows, 11 panels, 4 vines",
        "8 x 11 x 400",
        "99999999999 x 1 x 1",
    ] {
        assert!(
            matches!(parse_shape(typed), Err(LayoutError::TooMany { .. })),
            "{typed:?}"
        );
    }
}

#[test]
fn tamarack_bend_has_1048_positions() {
    let mut positions = 0;
    let mut rows = 0;
    for (letter, line, expected) in [
        ("A", "8 rows, 11 panels, 4 vines", 352),
        ("B", "6 rows, 11 panels, 4 vines", 264),
        ("C", "5 rows, 9 panels, 4 vines", 180),
        ("D", "4 rows, 9 panels, 4 vines", 144),
        ("E", "3 rows, 9 panels, 4 vines", 108),
    ] {
        let block = read_layout(line, letter, &[]).unwrap();
        let count: u32 = block.iter().map(RowLayout::positions).sum();
        assert_eq!(count, expected, "{letter}");
        assert_eq!(block[0].label, format!("{letter}1"));
        positions += count;
        rows += block.len();
    }
    assert_eq!((positions, rows), (1048, 26));
}

#[test]
fn odd_rows_have_their_own_panels() {
    let first = "8 rows, 11 panels, 4 vines";
    let panels = |odd: &str| {
        read_layout(&format!("{first}\n{odd}"), "a", &[]).map(|rows| rows[7].panels.clone())
    };
    let mut short = vec![4; 11];
    short[10] = 2;
    assert_eq!(panels("A8: 11 panels, last 2"), Ok(short.clone()));
    assert_eq!(panels("row a8: last 2"), Ok(short));
    assert_eq!(panels("A8: 4 4 4 2"), Ok(vec![4, 4, 4, 2]));
    assert_eq!(panels("A8: 4, 4, 4, 2"), Ok(vec![4, 4, 4, 2]));
    assert_eq!(
        panels("A8: 3 panels of 5 vines, first 1"),
        Ok(vec![1, 5, 5])
    );
    assert!(matches!(
        panels("A9: last 2"),
        Err(LayoutError::NoSuchRow { .. })
    ));
    assert!(matches!(
        panels("A8 last 2"),
        Err(LayoutError::OddRow { .. })
    ));
    assert!(matches!(
        panels("A8: the usual"),
        Err(LayoutError::OddRow { .. })
    ));
    assert!(matches!(
        panels("A8: 4 4 0"),
        Err(LayoutError::TooMany { .. })
    ));
}

#[test]
fn labels_are_never_given_out_again() {
    let taken = ["C1", "C2", "C5", "A9"].map(str::to_owned);
    let rows = read_layout("1 row, 9 panels, 4 vines", "C", &taken).unwrap();
    assert_eq!(rows[0].label, "C6");
    let rows = read_layout("2 rows, 9 panels, 4 vines", "F", &taken).unwrap();
    assert_eq!(rows[1].label, "F2");
    assert_eq!(
        read_layout("1 x 9 x 4", "7", &taken),
        Err(LayoutError::NoLetter)
    );
}
