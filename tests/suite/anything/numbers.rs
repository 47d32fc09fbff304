//! Whatever is typed where a number is wanted: a number within the field's bounds or a sentence;
//! and what is printed of a number is read as the same number. Not here: the rules (`typed`).

use endpost::science::number::{Expect, Number, parse, parse_length, parse_person_hours};
use endpost::science::units::{
    LengthUnit, MassUnit, Quantity, RainUnit, SmallMassUnit, TemperatureUnit, VolumeUnit, read,
};
use proptest::prelude::*;
use proptest::sample::select;

use super::cases;
use super::draw::text;

const EXPECTED: [Expect; 4] = [
    Expect {
        biggest_plausible: None,
        negative_ok: false,
    },
    Expect::up_to(40.0),
    Expect::up_to(500.0),
    Expect {
        biggest_plausible: Some(130.0),
        negative_ok: true,
    },
];

const QUANTITIES: [Quantity; 11] = [
    Quantity::Temperature(TemperatureUnit::Fahrenheit),
    Quantity::Temperature(TemperatureUnit::Celsius),
    Quantity::Mass(MassUnit::Pound),
    Quantity::SmallMass(SmallMassUnit::Gram),
    Quantity::Length(LengthUnit::Foot),
    Quantity::Rain(RainUnit::Inch),
    Quantity::Rain(RainUnit::Millimetre),
    Quantity::Volume(VolumeUnit::Gallon),
    Quantity::Sugar,
    Quantity::Acid,
    Quantity::Ph,
];

/// As it would be typed again: the number as it prints, with its unit.
fn typed_again(number: &Number) -> String {
    match &number.suffix {
        Some(unit) => format!("{number} {unit}"),
        None => number.to_string(),
    }
}

proptest! {
    #![proptest_config(cases(2000))]

    #[test]
    fn a_number_is_read_within_its_bounds_and_its_print_is_the_same_number(
        typed in text(),
        expect in select(&EXPECTED[..]),
    ) {
        let found = parse(&typed, &expect);
        let Ok(number) = found else {
            let said = found.unwrap_err().to_string();
            prop_assert!(said.ends_with(['.', '?']) && said.chars().count() < 250, "{said}");
            return Ok(());
        };
        prop_assert!(number.value.is_finite());
        prop_assert!(number.value >= 0.0 || expect.negative_ok);
        prop_assert!(number.suffix.as_ref().is_none_or(|unit| !unit.is_empty()));
        let again = typed_again(&number);
        let same = parse(&again, &expect);
        prop_assert!(same.is_ok(), "{typed:?} is {again:?}: {same:?}");
        let same = same.expect("a number");
        prop_assert_eq!(same.value.to_bits(), number.value.to_bits(), "{:?}: {}", typed, again);
        prop_assert_eq!(same.decimals, number.decimals);
        prop_assert_eq!(same.suffix, number.suffix);
        prop_assert_eq!(same.bound, number.bound);
    }

    #[test]
    fn a_measure_is_finite_or_a_sentence_and_its_print_is_the_same_measure(
        typed in text(),
        quantity in select(&QUANTITIES[..]),
        expect in select(&EXPECTED[..]),
    ) {
        match read(&typed, quantity, &expect) {
            Ok(found) => {
                prop_assert!(found.canonical.is_finite());
                let again = format!("{} {}", found.number, found.unit);
                let same = read(&again, quantity, &expect);
                prop_assert!(same.is_ok(), "{typed:?} is {again:?}: {same:?}");
                let same = same.expect("a measure");
                prop_assert_eq!(same.canonical.to_bits(), found.canonical.to_bits());
                prop_assert_eq!(same.unit, found.unit);
            }
            Err(error) => {
                let said = error.to_string();
                prop_assert!(said.ends_with(['.', '?']) && said.chars().count() < 250, "{said}");
            }
        }
    }

    #[test]
    fn a_length_is_finite_or_a_sentence(typed in text(), unit in select(&[LengthUnit::Foot, LengthUnit::Metre][..])) {
        match parse_length(&typed, unit) {
            Ok(metres) => prop_assert!(metres.is_finite() && metres >= 0.0, "{metres}"),
            Err(error) => {
                let said = error.to_string();
                prop_assert!(said.ends_with(['.', '?']) && said.chars().count() < 250, "{said}");
            }
        }
    }

    #[test]
    fn hours_are_finite_or_a_sentence(typed in text()) {
        match parse_person_hours(&typed) {
            Ok(hours) => prop_assert!(hours.is_finite() && hours >= 0.0, "{hours}"),
            Err(error) => {
                let said = error.to_string();
                prop_assert!(said.ends_with(['.', '?']) && said.chars().count() < 250, "{said}");
            }
        }
    }
}
