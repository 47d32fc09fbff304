//! Units: the exact definitions (NIST SP 811, 2008, appendix B.8), there and back, typed units.

use endpost::science::number::Expect;
use endpost::science::units::{
    LengthUnit, MassUnit, Quantity, RainUnit, SmallMassUnit, TemperatureUnit, UnitError, Units,
    VolumeUnit, read,
};
use proptest::prelude::*;

/// The definitions are exact; what is left is one rounding of a double, 1.2e-16 of the value.
#[test]
fn the_definitions_are_exact() {
    assert_eq!(MassUnit::Pound.to_grams(1.0), 453.59237);
    assert_eq!(MassUnit::Kilogram.to_grams(12.4), 12_400.0);
    assert_eq!(SmallMassUnit::Ounce.to_grams(16.0), 453.59237);
    assert_eq!(LengthUnit::Foot.to_metres(1.0), 0.3048);
    assert_eq!(RainUnit::Inch.to_millimetres(1.0), 25.4);
    assert_eq!(VolumeUnit::Gallon.to_litres(1.0), 3.785411784);
    assert_eq!(TemperatureUnit::Fahrenheit.to_celsius(212.0), 100.0);
    assert_eq!(TemperatureUnit::Fahrenheit.to_celsius(32.0), 0.0);
    assert_eq!(TemperatureUnit::Fahrenheit.to_celsius(-40.0), -40.0);
    assert_eq!(TemperatureUnit::Fahrenheit.from_celsius(20.0), 68.0);
}

#[test]
fn a_typed_unit_outranks_the_farms() {
    let farm = Units::default();
    for (typed, quantity, stored, unit) in [
        ("12.4 kg", Quantity::Mass(farm.mass), 12_400.0, "kg"),
        ("10", Quantity::Mass(farm.mass), 4535.9237, "lb"),
        ("10 lbs.", Quantity::Mass(farm.mass), 4535.9237, "lb"),
        ("24 C", Quantity::Temperature(farm.temperature), 24.0, "°C"),
        ("24°c", Quantity::Temperature(farm.temperature), 24.0, "°C"),
        (
            "24 deg C",
            Quantity::Temperature(farm.temperature),
            24.0,
            "°C",
        ),
        ("68", Quantity::Temperature(farm.temperature), 20.0, "°F"),
        ("68°", Quantity::Temperature(farm.temperature), 20.0, "°F"),
        (
            "68 F",
            Quantity::Temperature(TemperatureUnit::Celsius),
            20.0,
            "°F",
        ),
        ("0.96 %", Quantity::Acid, 9.6, "%"),
        ("9.6", Quantity::Acid, 9.6, "g/L"),
        ("9.6 g/l", Quantity::Acid, 9.6, "g/L"),
        ("21.5 °Brix", Quantity::Sugar, 21.5, "°Brix"),
        ("0.5 in.", Quantity::Rain(farm.rain()), 12.7, "in."),
        ("12 mm", Quantity::Rain(farm.rain()), 12.0, "mm"),
        (
            "100 gal",
            Quantity::Volume(farm.volume()),
            378.5411784,
            "gal",
        ),
        ("3.2", Quantity::Ph, 3.2, "pH"),
    ] {
        let measured = read(typed, quantity, &Expect::default()).unwrap();
        assert!(
            (measured.canonical - stored).abs() <= 1e-12 * stored,
            "{typed:?}: {}",
            measured.canonical
        );
        assert_eq!(measured.unit, unit, "{typed:?}");
    }
}

#[test]
fn an_unknown_unit_is_said_and_not_swallowed() {
    let error = read(
        "12 stone",
        Quantity::Mass(MassUnit::Pound),
        &Expect::default(),
    );
    assert_eq!(
        error.unwrap_err().to_string(),
        "\"stone\" is no unit of weight. This field takes lb, kg, oz or g."
    );
    assert!(matches!(
        read("21.5 kg", Quantity::Sugar, &Expect::default()),
        Err(UnitError::UnknownUnit { .. })
    ));
    assert!(matches!(
        read("lots", Quantity::Sugar, &Expect::default()),
        Err(UnitError::Number(_))
    ));
}

#[test]
fn rain_small_weights_and_volume_follow_the_farms_choice() {
    let metric = Units {
        temperature: TemperatureUnit::Celsius,
        mass: MassUnit::Kilogram,
        length: LengthUnit::Metre,
    };
    assert_eq!(metric.rain(), RainUnit::Millimetre);
    assert_eq!(metric.small_mass(), SmallMassUnit::Gram);
    assert_eq!(metric.volume(), VolumeUnit::Litre);
    let text = serde_json::to_string(&metric).unwrap();
    assert_eq!(
        text,
        r#"{"temperature":"celsius","mass":"kilogram","length":"metre"}"#
    );
    assert_eq!(serde_json::from_str::<Units>(&text).unwrap(), metric);
}

fn near(there_and_back: f64, value: f64) -> bool {
    (there_and_back - value).abs() <= 1e-12 * value.abs()
}

proptest! {
    #[test]
    fn there_and_back_is_the_same(value in 1e-6_f64..1e9) {
        for unit in [MassUnit::Pound, MassUnit::Kilogram] {
            prop_assert!(near(unit.from_grams(unit.to_grams(value)), value));
        }
        for unit in [SmallMassUnit::Ounce, SmallMassUnit::Gram] {
            prop_assert!(near(unit.from_grams(unit.to_grams(value)), value));
        }
        for unit in [LengthUnit::Foot, LengthUnit::Metre] {
            prop_assert!(near(unit.from_metres(unit.to_metres(value)), value));
        }
        for unit in [RainUnit::Inch, RainUnit::Millimetre] {
            prop_assert!(near(unit.from_millimetres(unit.to_millimetres(value)), value));
        }
        for unit in [VolumeUnit::Gallon, VolumeUnit::Litre] {
            prop_assert!(near(unit.from_litres(unit.to_litres(value)), value));
        }
    }

    /// Relative to the distance from absolute zero, since the scales have no common zero.
    #[test]
    fn degrees_there_and_back_are_the_same(value in -100.0_f64..200.0) {
        for unit in [TemperatureUnit::Fahrenheit, TemperatureUnit::Celsius] {
            let back = unit.from_celsius(unit.to_celsius(value));
            prop_assert!((back - value).abs() <= 1e-12 * (value + 459.67));
        }
    }
}
