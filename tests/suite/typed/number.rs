//! Typed numbers: what is read, what is asked, and that no digit is ever lost.
//!
//! The rules are the project's own.

use endpost::science::number::{
    Bound, Expect, HoursError, LengthError, NumberError, parse, parse_length, parse_person_hours,
};
use endpost::science::units::LengthUnit;
use proptest::prelude::*;

const ANY: Expect = Expect {
    biggest_plausible: None,
    negative_ok: false,
};
const SMALL: Expect = Expect::up_to(40.0);

fn value(typed: &str, expect: &Expect) -> f64 {
    match parse(typed, expect) {
        Ok(number) => number.value,
        Err(error) => panic!("{typed:?}: {error}"),
    }
}

#[test]
fn the_usual_ways_to_type_a_number_are_read() {
    for (typed, expected) in [
        ("21.5", 21.5),
        ("21,5", 21.5),
        (" 21,5 ", 21.5),
        ("\u{a0}21,5\u{202f}", 21.5),
        ("+21.5", 21.5),
        (".5", 0.5),
        (",5", 0.5),
        ("21.", 21.0),
        ("021", 21.0),
        ("-0", 0.0),
        ("1 234,5", 1234.5),
        ("1\u{202f}234,5", 1234.5),
        ("1\u{2009}234\u{2009}567", 1_234_567.0),
        ("1,234.5", 1234.5),
        ("1.234,5", 1234.5),
        ("1,234,567", 1_234_567.0),
        ("1.234.567", 1_234_567.0),
        ("0,960", 0.96),
        ("٢١٫٥", 21.5),
        ("۲۱,۵", 21.5),
        ("1/2", 0.5),
        ("3/4 lug", 0.75),
        ("1 1/2", 1.5),
        ("2½", 2.5),
        ("5/8", 0.625),
        ("9007199254740.99", 9_007_199_254_740.99),
    ] {
        assert_eq!(value(typed, &ANY), expected, "{typed:?}");
    }
}

#[test]
fn a_comma_before_three_digits_is_shown_back_or_asked_about() {
    let small = parse("1,234", &SMALL).unwrap();
    assert_eq!(small.value, 1.234);
    assert_eq!(small.read_as.as_deref(), Some("1.234"));
    let asked = parse("1,234", &Expect::up_to(5000.0)).unwrap_err();
    assert_eq!(
        asked.to_string(),
        "\"1,234\" can be read in two ways: 1.234 or 1234. Which one is it?"
    );
    assert!(matches!(
        parse("1,234", &ANY),
        Err(NumberError::Ambiguous { .. })
    ));
    assert_eq!(parse("21,5", &SMALL).unwrap().read_as, None);
}

#[test]
fn the_unit_is_handed_back_and_not_swallowed() {
    for (typed, suffix) in [
        ("12.4 kg", "kg"),
        ("24C", "C"),
        ("24 °C", "°C"),
        ("0.96 %", "%"),
        ("8'", "'"),
        ("9.6 g/L", "g/L"),
    ] {
        let number = parse(typed, &ANY).unwrap();
        assert_eq!(number.suffix.as_deref(), Some(suffix), "{typed:?}");
    }
}

#[test]
fn a_sign_is_kept_as_text_beside_the_number() {
    for (typed, bound, value) in [
        ("~21", Bound::About, 21.0),
        ("<32", Bound::Below, 32.0),
        ("> 30", Bound::Above, 30.0),
    ] {
        let number = parse(typed, &ANY).unwrap();
        assert_eq!((number.bound, number.value), (Some(bound), value));
    }
    assert_eq!(parse("<32", &ANY).unwrap().to_string(), "<32");
}

#[test]
fn what_is_no_number_says_why() {
    let kind = |typed: &str, expect: &Expect| parse(typed, expect).unwrap_err();
    assert_eq!(kind("", &ANY), NumberError::Empty);
    assert_eq!(kind(" \u{a0} ", &ANY), NumberError::Empty);
    for typed in [
        "lots", "-", ".", ",", "a few", "21?", "2l.5", "1e5", "NaN", "inf", "1/0", "0x1f",
    ] {
        assert!(
            matches!(kind(typed, &ANY), NumberError::NotANumber { .. }),
            "{typed:?}: {:?}",
            kind(typed, &ANY)
        );
    }
    for typed in [
        "21.5 22.0",
        "21, 22",
        "21.5; 22",
        "21-22",
        "21.5 / 22",
        "1 23",
        "1 2345",
        "2 1.5",
    ] {
        let error = kind(typed, &ANY);
        assert!(
            matches!(
                error,
                NumberError::TwoNumbers { .. } | NumberError::NotANumber { .. }
            ),
            "{typed:?}: {error:?}"
        );
    }
    // Two readings side by side in a field that never holds a thousand.
    assert!(matches!(
        kind("21 215", &SMALL),
        NumberError::TwoNumbers { .. }
    ));
    for typed in [
        "1,23.5",
        "1,2345.6",
        "1.2345,6",
        "1..5",
        "1,234.5.6",
        "1,2,3",
        "12.34.567",
    ] {
        assert!(
            matches!(kind(typed, &ANY), NumberError::Marks { .. }),
            "{typed:?}"
        );
    }
    assert!(matches!(kind("-5", &ANY), NumberError::Negative { .. }));
    assert!(matches!(
        kind("1234567890123456", &ANY),
        NumberError::TooManyDigits { .. }
    ));
    assert!(matches!(
        kind("1/3", &ANY),
        NumberError::EndlessFraction { .. }
    ));
}

#[test]
fn below_zero_is_read_where_the_field_allows_it() {
    let cold = Expect {
        biggest_plausible: Some(60.0),
        negative_ok: true,
    };
    assert_eq!(value("-5,5", &cold), -5.5);
    assert_eq!(value("\u{2212}5.5", &cold), -5.5);
    let shown = parse("-1,234", &cold).unwrap();
    assert_eq!(shown.read_as.as_deref(), Some("-1.234"));
}

#[test]
fn typed_decimals_print_back() {
    assert_eq!(parse("3.10", &SMALL).unwrap().to_string(), "3.10");
    assert_eq!(parse("21", &SMALL).unwrap().to_string(), "21");
    assert_eq!(parse("1/4", &SMALL).unwrap().to_string(), "0.25");
}

#[test]
fn feet_and_inches_are_read_into_metres() {
    for (typed, metres) in [
        ("8'6\"", 2.5908),
        ("8' 6\"", 2.5908),
        ("8’6”", 2.5908),
        ("8 ft 6 in", 2.5908),
        ("8ft6", 2.5908),
        ("8'6''", 2.5908),
        ("0'6\"", 0.1524),
        ("8'", 2.4384),
        ("264", 80.4672),
        ("264 ft", 80.4672),
        ("6\"", 0.1524),
        ("2.4 m", 2.4),
        ("8' 6 1/2\"", 2.6035),
    ] {
        let read = parse_length(typed, LengthUnit::Foot).unwrap();
        assert!((read - metres).abs() < 1e-12, "{typed:?}: {read}");
    }
    assert_eq!(parse_length("80", LengthUnit::Metre).unwrap(), 80.0);
    assert!(matches!(
        parse_length("8'12\"", LengthUnit::Foot),
        Err(LengthError::FeetAndInches { .. })
    ));
    assert!(matches!(
        parse_length("8.5'6\"", LengthUnit::Foot),
        Err(LengthError::FeetAndInches { .. })
    ));
    assert!(parse_length("8 kg", LengthUnit::Foot).is_err());
}

#[test]
fn hours_of_several_people_are_summed() {
    for (typed, hours) in [
        ("1:45", 1.75),
        ("2x1:45", 3.5),
        ("2 × 1:45", 3.5),
        ("2 x 1,75", 3.5),
        ("1 h 45 min", 1.75),
        ("1h45", 1.75),
        ("45 min", 0.75),
        ("3.5", 3.5),
        ("3.5 h", 3.5),
        ("2x1:45 + 1:30", 5.0),
    ] {
        assert_eq!(parse_person_hours(typed), Ok(hours), "{typed:?}");
    }
    assert!(matches!(
        parse_person_hours("1:75"),
        Err(HoursError::Minutes { .. })
    ));
    assert!(matches!(
        parse_person_hours("1.5x2:00"),
        Err(HoursError::People { .. })
    ));
    assert!(parse_person_hours("2 days").is_err());
    assert!(parse_person_hours("").is_err());
}

fn blanks() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "", " ", "\u{a0}", "\u{202f}", "\u{2009}", "\t", "\u{feff}",
    ])
}

fn grouped(whole: &str, by: &str) -> String {
    let mut out = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            out.push_str(by);
        }
        out.push(digit);
    }
    out
}

proptest! {
    #[test]
    fn any_decimal_is_the_double_of_its_digits_and_prints_back(
        whole in 0_u64..100_000_000,
        decimals in "[0-9]{0,7}",
        comma in any::<bool>(),
        before in blanks(),
        after in blanks(),
    ) {
        let mark = if comma { "," } else { "." };
        let written = if decimals.is_empty() {
            whole.to_string()
        } else {
            format!("{whole}.{decimals}")
        };
        let typed = format!("{before}{}{after}", written.replace('.', mark));
        let expected: f64 = written.parse().unwrap();
        match parse(&typed, &ANY) {
            Ok(number) => {
                prop_assert_eq!(number.value.to_bits(), expected.to_bits());
                prop_assert_eq!(number.to_string(), written);
            }
            Err(NumberError::Ambiguous { .. }) => {
                prop_assert!(comma && decimals.len() == 3 && whole > 0 && whole < 1000);
            }
            Err(error) => prop_assert!(false, "{typed:?}: {error}"),
        }
        let number = parse(&typed, &SMALL).unwrap();
        prop_assert_eq!(number.value.to_bits(), expected.to_bits());
    }

    #[test]
    fn groups_of_three_change_nothing(
        whole in 1000_u64..1_000_000_000,
        decimals in "[0-9]{1,6}",
        style in 0_usize..5,
    ) {
        let (by, mark) = [(",", "."), (".", ","), (" ", "."), ("\u{202f}", ","), ("\u{2009}", ",")][style];
        let typed = format!("{}{mark}{decimals}", grouped(&whole.to_string(), by));
        let expected: f64 = format!("{whole}.{decimals}").parse().unwrap();
        prop_assert_eq!(parse(&typed, &ANY).unwrap().value.to_bits(), expected.to_bits());
    }

    #[test]
    fn eastern_digits_are_the_same_number(whole in 0_u64..1_000_000, decimals in "[0-9]{0,4}") {
        let written = format!("{whole}.{decimals}0");
        for zero in [0x0660_u32, 0x06f0] {
            let typed: String = written.chars().map(|sign| match sign.to_digit(10) {
                Some(digit) => char::from_u32(zero + digit).unwrap(),
                None => '\u{066b}',
            }).collect();
            let expected: f64 = written.parse().unwrap();
            prop_assert_eq!(parse(&typed, &ANY).unwrap().value.to_bits(), expected.to_bits());
        }
    }

    #[test]
    fn whatever_is_typed_no_digit_is_lost(typed in "[0-9 .,/'~<>+\u{a0}\u{202f}٢۵-]{0,14}( ?(kg|%|x|°C))?") {
        for expect in [ANY, SMALL] {
            let Ok(number) = parse(&typed, &expect) else { continue };
            prop_assert!(number.value.is_finite() && number.value >= 0.0);
            if typed.contains('/') {
                continue;
            }
            let digits = |text: &str| -> String {
                text.chars()
                    .filter_map(|sign| match sign {
                        '٢' => Some('2'),
                        '۵' => Some('5'),
                        _ => Some(sign).filter(char::is_ascii_digit),
                    })
                    .collect::<String>()
                    .trim_start_matches('0')
                    .to_owned()
            };
            prop_assert_eq!(digits(&typed), digits(&number.to_string()), "{:?}", typed);
        }
    }

    #[test]
    fn garbage_never_panics(typed in "\\PC{0,24}") {
        for expect in [ANY, SMALL] {
            match parse(&typed, &expect) {
                Ok(number) => prop_assert!(number.value.is_finite()),
                Err(error) => prop_assert!(!error.to_string().is_empty()),
            }
        }
        let length = parse_length(&typed, LengthUnit::Foot);
        prop_assert!(length.is_err() || length.is_ok_and(|metres| metres.is_finite()));
        let hours = parse_person_hours(&typed);
        prop_assert!(hours.is_err() || hours.is_ok_and(|hours| hours >= 0.0));
    }
}
