//! The questions that typed values raise, with the slips of story 2.

use chrono::NaiveDate;
use endpost::science::number::{Expect, Number, parse};
use endpost::science::ripeness::Attribute::{self, Brix, Ph, Ta};
use endpost::science::ripeness::doubt::{
    Doubt, LastValue, Question, of_bags, of_date, of_ph_and_ta, of_rain, of_same_juice, of_value,
};
use endpost::science::units::RainUnit::{Inch, Millimetre};
use proptest::prelude::*;

fn day(of_september: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 9, of_september).unwrap()
}

fn number(typed: &str) -> Number {
    let expect = Expect {
        biggest_plausible: Some(40.0),
        negative_ok: true,
    };
    parse(typed, &expect).unwrap()
}

fn last(value: f64, of_september: u32) -> Option<LastValue> {
    Some(LastValue {
        value,
        date: day(of_september),
    })
}

fn doubt(attribute: Attribute, typed: &str, last: Option<LastValue>) -> Doubt {
    let found = of_value(attribute, &number(typed), day(3), last);
    found.unwrap_or_else(|| panic!("{typed:?} was not asked about"))
}

#[test]
fn story_2_slips_of_the_thumb() {
    for last in [None, last(21.0, 1)] {
        for typed in ["215", "2.15", "2150"] {
            let found = doubt(Brix, typed, last);
            assert_eq!(found.suggestion, Some(21.5), "{typed}");
            assert_eq!(found.to_string(), "Did you mean 21.5?");
        }
        assert_eq!(of_value(Brix, &number("21,5"), day(3), last), None);
    }
    let ph = doubt(Ph, "33", None);
    assert_eq!((ph.suggestion, ph.impossible), (Some(3.3), true));
    assert_eq!(ph.to_string(), "Did you mean 3.3?");
    let acid = doubt(Ta, "0.96", None);
    assert_eq!(acid.suggestion, Some(9.6));
    assert_eq!(acid.to_string(), "0.96 % = 9.6 g/L tartaric?");
    let swapped = of_ph_and_ta(9.6, 3.2).unwrap();
    assert_eq!(swapped.to_string(), "These look swapped: pH 3.2, TA 9.6?");
    assert_eq!(swapped.question, Question::Swapped { ph: 3.2, ta: 9.6 });
    assert_eq!(of_ph_and_ta(3.2, 9.6), None);
}

#[test]
fn swapped_digits_show_as_a_jump() {
    let found = doubt(Brix, "25.1", last(21.5, 1));
    assert_eq!(found.suggestion, Some(21.5));
    assert!(!found.impossible);
    assert_eq!(
        found.to_string(),
        "Jumped 3.6 in 2 days; swapped digits (21.5)?"
    );
    let fell = doubt(Brix, "15.0", last(21.5, 1));
    assert_eq!(fell.suggestion, None);
    assert_eq!(fell.to_string(), "Fell 6.5 in 2 days; is it right?");
    // The pace of the stories' own samples is not asked about.
    for (typed, known) in [
        ("21.8", last(21.0, 1)),
        ("20.2", last(17.6, 17)),
        ("25.1", None),
    ] {
        assert_eq!(
            of_value(Brix, &number(typed), day(3), known),
            None,
            "{typed}"
        );
    }
}

#[test]
fn the_unusual_is_asked_about_and_only_the_absurd_is_impossible() {
    for (attribute, typed, impossible, words) in [
        (Brix, "33", false, "33? Usual for °Brix is 4 to 32."),
        (Brix, "61", true, "Did you mean 6.1?"),
        (
            Brix,
            "-3",
            true,
            "-3 can't be a value of °Brix. What was it?",
        ),
        (Ph, "4.5", false, "4.5? Usual for pH is 2.6 to 4.2."),
        (Ph, "9.6", true, "9.6 can't be a value of pH. What was it?"),
        (Ph, "318", true, "Did you mean 3.18?"),
        (Ta, "36", false, "Did you mean 3.6?"),
        (Ta, "124", true, "Did you mean 12.4?"),
        (Ta, "0.1", false, "0.1? Usual for TA in g/L is 3 to 35."),
    ] {
        let found = doubt(attribute, typed, None);
        assert_eq!(found.impossible, impossible, "{typed}");
        assert_eq!(found.to_string(), words, "{typed}");
    }
    for (attribute, typed) in [
        (Brix, "4"),
        (Brix, "32"),
        (Brix, "6.6"),
        (Ph, "2.7"),
        (Ph, "4.2"),
        (Ta, "30.4"),
        (Ta, "3"),
    ] {
        assert_eq!(
            of_value(attribute, &number(typed), day(3), None),
            None,
            "{typed}"
        );
    }
}

#[test]
fn a_shift_has_to_land_near_the_last_value() {
    let raisined = doubt(Brix, "45", last(30.0, 1));
    assert_eq!(raisined.suggestion, None);
    assert_eq!(doubt(Brix, "45", last(5.0, 1)).suggestion, Some(4.5));
}

#[test]
fn repeats_too_far_apart_are_asked_about() {
    // Exactly 0.4 and 2.0 apart is not more than that, whatever the doubles say.
    assert_eq!(of_same_juice(&[21.4, 21.6, 21.8]), None);
    assert_eq!(of_bags(&[19.6, 21.6]), None);
    assert_eq!(of_bags(&[21.5, 22.1]), None);
    assert_eq!(of_same_juice(&[]), None);
    assert_eq!(
        of_same_juice(&[21.4, 21.9]).unwrap().to_string(),
        "The readings of one juice are 0.5 apart: wipe, stir, look again."
    );
    assert_eq!(
        of_bags(&[19.5, 21.6]).unwrap().to_string(),
        "The bags are 2.1 apart: is one from another part of the block?"
    );
}

#[test]
fn rain_in_the_other_unit_is_asked_about() {
    let little = of_rain(0.5, Millimetre).unwrap();
    assert_eq!(little.suggestion, Some(12.7));
    assert_eq!(
        little.to_string(),
        "0.5 mm is very little rain: did you mean 0.5 in.?"
    );
    let much = of_rain(10.0, Inch).unwrap();
    assert_eq!(much.suggestion, Some(10.0));
    assert_eq!(
        much.to_string(),
        "10 in. is very much rain: did you mean 10 mm?"
    );
    assert_eq!(of_rain(0.02, Inch).unwrap().suggestion, None);
    for (typed, unit) in [(0.0, Inch), (0.5, Inch), (1.0, Millimetre), (6.0, Inch)] {
        assert_eq!(of_rain(typed, unit), None, "{typed}");
    }
    for typed in [-1.0, 3000.0, f64::NAN] {
        assert!(of_rain(typed, Millimetre).unwrap().impossible, "{typed}");
    }
}

#[test]
fn odd_dates_are_asked_about() {
    let planted = NaiveDate::from_ymd_opt(2012, 5, 1);
    assert_eq!(of_date(day(3), day(3), planted), None);
    assert_eq!(
        of_date(day(4), day(3), planted).unwrap().to_string(),
        "4 Sept 2027 has not come yet. Is the date right?"
    );
    let early = NaiveDate::from_ymd_opt(2002, 9, 3).unwrap();
    assert_eq!(
        of_date(early, day(3), planted).unwrap().to_string(),
        "3 Sept 2002 is before planting on 1 May 2012. Is the date right?"
    );
    assert_eq!(of_date(early, day(3), None), None);
}

proptest! {
    /// It only asks: a suggestion is the same digits, in another place or order.
    #[test]
    fn a_suggestion_keeps_the_digits(whole in 1_u32..3000, decimals in "[0-9]{0,2}", known in 5.0_f64..30.0) {
        let typed = format!("{whole}.{decimals}");
        let digits = |text: &str| {
            let mut digits: Vec<char> = text.chars().filter(|sign| ('1'..='9').contains(sign)).collect();
            digits.sort_unstable();
            digits
        };
        for attribute in [Brix, Ph, Ta] {
            for known in [None, last(known, 1)] {
                let found = of_value(attribute, &number(&typed), day(3), known);
                if let Some(meant) = found.as_ref().and_then(|found| found.suggestion) {
                    prop_assert_eq!(digits(&meant.to_string()), digits(&typed));
                }
                if let Some(found) = found {
                    prop_assert!(!found.to_string().is_empty());
                }
            }
        }
    }
}
