//! Telephone numbers in typed text become links, and nothing else does.

use endpost::web::helpers::dial::{Piece, pieces};

fn numbers(text: &str) -> Vec<String> {
    pieces(text)
        .into_iter()
        .filter_map(|piece| piece.number)
        .collect()
}

#[test]
fn numbers_are_found_in_what_was_typed() {
    for (text, wanted) in [
        ("555-0142", vec!["5550142"]),
        ("112", vec!["112"]),
        ("112 or 911", vec!["112", "911"]),
        ("+1 (555) 555-0142 in the evening", vec!["+15555550142"]),
        (
            "555-0142, after 7.30 pm 555.0143.",
            vec!["5550142", "5550143"],
        ),
        ("555 0142 / Rae", vec!["5550142"]),
        ("ring the bell", vec![]),
        ("row 12", vec![]),
        ("7.30", vec![]),
        ("", vec![]),
    ] {
        assert_eq!(numbers(text), wanted, "{text}");
    }
}

#[test]
fn no_letter_of_the_text_is_lost() {
    for text in [
        "555-0142, in the evening 555-0143 (Rae).",
        "  112  ",
        "(555) 555-0142",
        "- / -",
        "ring",
    ] {
        let again: String = pieces(text).into_iter().map(|piece| piece.text).collect();
        assert_eq!(again, text);
    }
    let number = Piece {
        text: "555-0142".to_owned(),
        number: Some("5550142".to_owned()),
    };
    assert_eq!(pieces("Jo 555-0142, days")[1], number);
}
