//! Reads a number together with its unit; a typed unit outranks the farm's own.
//!
//! The digits are read in `science::number`; the sizes of the units stand in this room's `mod.rs`.

use super::{
    ACID_SYMBOL, GRAMS_PER_POUND, LITRES_PER_GALLON, LengthUnit, METRES_PER_FOOT,
    MILLIMETRES_PER_INCH, MassUnit, RainUnit, SUGAR_SYMBOL, SmallMassUnit, TemperatureUnit,
    VolumeUnit,
};
use crate::science::number::{Expect, Number, NumberError, parse, text};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// What a field measures, with the farm's unit for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    Temperature(TemperatureUnit),
    Mass(MassUnit),
    SmallMass(SmallMassUnit),
    Length(LengthUnit),
    Rain(RainUnit),
    Volume(VolumeUnit),
    /// °Brix.
    Sugar,
    /// Titratable acidity, g/L as tartaric.
    Acid,
    Ph,
}

/// A number with its unit understood.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Measured {
    /// The value in the stored unit.
    pub canonical: f64,
    pub number: Number,
    /// The symbol of the unit it was typed in.
    pub unit: String,
}

/// Why a text is not read as a measure.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum UnitError {
    #[error(transparent)]
    Number(#[from] NumberError),
    #[error("\"{unit}\" is no unit of {of}. This field takes {known}.")]
    UnknownUnit {
        unit: String,
        of: &'static str,
        known: String,
    },
}

struct Unit {
    symbol: &'static str,
    spellings: &'static [&'static str],
    to_canonical: fn(f64) -> f64,
}

macro_rules! unit {
    ($symbol:expr, [$($spelling:literal),*], $to:expr) => {
        Unit { symbol: $symbol, spellings: &[$($spelling),*], to_canonical: $to }
    };
}

const TEMPERATURE: &[Unit] = &[
    unit!("°F", ["f", "fahrenheit"], |v| {
        TemperatureUnit::Fahrenheit.to_celsius(v)
    }),
    unit!("°C", ["c", "celsius", "centigrade"], |v| v),
];
const MASS: &[Unit] = &[
    unit!("lb", ["lb", "lbs", "pound", "pounds", "#"], |v| v
        * GRAMS_PER_POUND),
    unit!(
        "kg",
        ["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"],
        |v| v * 1000.0
    ),
    unit!("oz", ["oz", "ounce", "ounces"], |v| v
        * (GRAMS_PER_POUND / 16.0)),
    unit!("g", ["g", "gr", "gram", "grams"], |v| v),
];
const LENGTH: &[Unit] = &[
    unit!("ft", ["ft", "foot", "feet", "'"], |v| v * METRES_PER_FOOT),
    unit!("m", ["m", "metre", "metres", "meter", "meters"], |v| v),
    unit!("in.", ["in", "inch", "inches", "\""], |v| v
        * MILLIMETRES_PER_INCH
        / 1000.0),
    unit!("cm", ["cm"], |v| v / 100.0),
];
const RAIN: &[Unit] = &[
    unit!("in.", ["in", "inch", "inches", "\""], |v| v
        * MILLIMETRES_PER_INCH),
    unit!(
        "mm",
        [
            "mm",
            "millimetre",
            "millimetres",
            "millimeter",
            "millimeters"
        ],
        |v| v
    ),
];
const VOLUME: &[Unit] = &[
    unit!("gal", ["gal", "gals", "gallon", "gallons"], |v| v
        * LITRES_PER_GALLON),
    unit!("L", ["l", "litre", "litres", "liter", "liters"], |v| v),
];
const SUGAR: &[Unit] = &[unit!(SUGAR_SYMBOL, ["brix", "bx", "%"], |v| v)];
const ACID: &[Unit] = &[
    unit!(ACID_SYMBOL, ["g/l"], |v| v),
    unit!("%", ["%", "g/100ml", "g/dl"], |v| v * 10.0),
];
const PH: &[Unit] = &[unit!("pH", ["ph"], |v| v)];

impl Quantity {
    fn units(self) -> &'static [Unit] {
        match self {
            Quantity::Temperature(_) => TEMPERATURE,
            Quantity::Mass(_) | Quantity::SmallMass(_) => MASS,
            Quantity::Length(_) => LENGTH,
            Quantity::Rain(_) => RAIN,
            Quantity::Volume(_) => VOLUME,
            Quantity::Sugar => SUGAR,
            Quantity::Acid => ACID,
            Quantity::Ph => PH,
        }
    }

    const fn name(self) -> &'static str {
        match self {
            Quantity::Temperature(_) => "temperature",
            Quantity::Mass(_) | Quantity::SmallMass(_) => "weight",
            Quantity::Length(_) => "length",
            Quantity::Rain(_) => "rain",
            Quantity::Volume(_) => "volume",
            Quantity::Sugar => "sugar",
            Quantity::Acid => "acid",
            Quantity::Ph => "pH",
        }
    }

    /// The symbol that stands beside the field.
    pub const fn symbol(self) -> &'static str {
        match self {
            Quantity::Temperature(unit) => unit.symbol(),
            Quantity::Mass(unit) => unit.symbol(),
            Quantity::SmallMass(unit) => unit.symbol(),
            Quantity::Length(unit) => unit.symbol(),
            Quantity::Rain(unit) => unit.symbol(),
            Quantity::Volume(unit) => unit.symbol(),
            Quantity::Sugar => SUGAR_SYMBOL,
            Quantity::Acid => ACID_SYMBOL,
            Quantity::Ph => "pH",
        }
    }

    fn unit(self, suffix: Option<&str>) -> Option<&'static Unit> {
        let plain = suffix.map(spelling).unwrap_or_default();
        self.units().iter().find(|unit| {
            if plain.is_empty() {
                unit.symbol == self.symbol()
            } else {
                unit.spellings.contains(&plain.as_str())
            }
        })
    }
}

fn spelling(suffix: &str) -> String {
    let joined: String = suffix.to_lowercase().split_whitespace().collect();
    let bare = joined.trim_start_matches('°').trim_end_matches('.');
    bare.strip_prefix("deg")
        .map(|rest| rest.trim_start_matches(['r', 'e', 's']))
        .unwrap_or(bare)
        .trim_start_matches(['.', '°'])
        .to_owned()
}

/// Reads a number and its unit into the stored unit: °C, g, m, mm of rain, L, °Brix or g/L.
///
/// A number alone is in the farm's unit. An unknown unit is an error, never swallowed.
/// `expect` speaks of the number as typed.
///
/// ```
/// use endpost::science::number::Expect;
/// use endpost::science::units::{read, MassUnit, Quantity};
/// let typed = read("12.4 kg", Quantity::Mass(MassUnit::Pound), &Expect::default()).unwrap();
/// assert_eq!((typed.canonical, typed.unit.as_str()), (12_400.0, "kg"));
/// ```
pub fn read(typed: &str, quantity: Quantity, expect: &Expect) -> Result<Measured, UnitError> {
    let number = parse(typed, expect)?;
    let suffix = number.suffix.as_deref();
    let unit = quantity
        .unit(suffix)
        .ok_or_else(|| UnitError::UnknownUnit {
            unit: text::quoted(suffix.unwrap_or_default()),
            of: quantity.name(),
            known: known_units(quantity),
        })?;
    Ok(Measured {
        canonical: (unit.to_canonical)(number.value),
        unit: unit.symbol.to_owned(),
        number,
    })
}

fn known_units(quantity: Quantity) -> String {
    let symbols: Vec<&str> = quantity.units().iter().map(|unit| unit.symbol).collect();
    match symbols.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => symbols.concat(),
    }
}
