//! Units: what is stored, what the farm shows, and the unit a person typed after a number.
//!
//! Stored are °C, grams, metres, millimetres of rain, litres, °Brix and g/L; a change of the
//! farm's units changes no stored value. How numbers are written on a page is not here.

mod read;

pub use read::{Measured, Quantity, UnitError, read};

use serde::{Deserialize, Serialize};

/// One international pound in grams, exact (NIST SP 811, 2008, appendix B.8).
pub const GRAMS_PER_POUND: f64 = 453.592_37;
/// One foot in metres, exact (NIST SP 811, 2008, appendix B.8).
pub const METRES_PER_FOOT: f64 = 0.3048;
/// One inch in millimetres, exact (NIST SP 811, 2008, appendix B.8).
pub const MILLIMETRES_PER_INCH: f64 = 25.4;
/// One US gallon, 231 cubic inches, in litres, exact (NIST SP 811, 2008, appendix B.8).
pub const LITRES_PER_GALLON: f64 = 3.785_411_784;

/// The farm's choice of units, made once.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Units {
    pub temperature: TemperatureUnit,
    pub mass: MassUnit,
    pub length: LengthUnit,
}

impl Units {
    /// Rain follows the unit of length.
    pub const fn rain(self) -> RainUnit {
        match self.length {
            LengthUnit::Foot => RainUnit::Inch,
            LengthUnit::Metre => RainUnit::Millimetre,
        }
    }

    /// The weight of a cluster or of berries follows the unit of mass.
    pub const fn small_mass(self) -> SmallMassUnit {
        match self.mass {
            MassUnit::Pound => SmallMassUnit::Ounce,
            MassUnit::Kilogram => SmallMassUnit::Gram,
        }
    }

    /// The volume of a spray follows the unit of length.
    pub const fn volume(self) -> VolumeUnit {
        match self.length {
            LengthUnit::Foot => VolumeUnit::Gallon,
            LengthUnit::Metre => VolumeUnit::Litre,
        }
    }
}

/// Degrees; stored as °C. °C = (°F − 32) ÷ 1.8, exact (NIST SP 811, 2008, appendix B.8).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum TemperatureUnit {
    #[default]
    Fahrenheit,
    Celsius,
}

impl TemperatureUnit {
    pub fn to_celsius(self, value: f64) -> f64 {
        match self {
            TemperatureUnit::Fahrenheit => (value - 32.0) / 1.8,
            TemperatureUnit::Celsius => value,
        }
    }

    pub fn from_celsius(self, celsius: f64) -> f64 {
        match self {
            TemperatureUnit::Fahrenheit => celsius * 1.8 + 32.0,
            TemperatureUnit::Celsius => celsius,
        }
    }

    pub const fn symbol(self) -> &'static str {
        match self {
            TemperatureUnit::Fahrenheit => "°F",
            TemperatureUnit::Celsius => "°C",
        }
    }
}

/// A unit that is a plain multiple of the stored one.
macro_rules! proportional {
    ($(#[$about:meta])* $name:ident, $to:ident, $from:ident,
     $first:ident = $first_factor:expr, $first_symbol:literal,
     $second:ident = $second_factor:expr, $second_symbol:literal) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
        #[serde(rename_all = "lowercase")]
        pub enum $name {
            #[default]
            $first,
            $second,
        }

        impl $name {
            pub const fn factor(self) -> f64 {
                match self {
                    $name::$first => $first_factor,
                    $name::$second => $second_factor,
                }
            }

            pub fn $to(self, value: f64) -> f64 {
                value * self.factor()
            }

            pub fn $from(self, stored: f64) -> f64 {
                stored / self.factor()
            }

            pub const fn symbol(self) -> &'static str {
                match self {
                    $name::$first => $first_symbol,
                    $name::$second => $second_symbol,
                }
            }
        }
    };
}

proportional!(
    /// Weight of crop; stored in grams.
    MassUnit, to_grams, from_grams,
    Pound = GRAMS_PER_POUND, "lb",
    Kilogram = 1000.0, "kg"
);
proportional!(
    /// Weight of a cluster or of a bag of berries; stored in grams.
    SmallMassUnit, to_grams, from_grams,
    Ounce = GRAMS_PER_POUND / 16.0, "oz",
    Gram = 1.0, "g"
);
proportional!(
    /// Length of rows and nets; stored in metres.
    LengthUnit, to_metres, from_metres,
    Foot = METRES_PER_FOOT, "ft",
    Metre = 1.0, "m"
);
proportional!(
    /// Depth of rain; stored in millimetres.
    RainUnit, to_millimetres, from_millimetres,
    Inch = MILLIMETRES_PER_INCH, "in.",
    Millimetre = 1.0, "mm"
);
proportional!(
    /// Volume of a spray; stored in litres.
    VolumeUnit, to_litres, from_litres,
    Gallon = LITRES_PER_GALLON, "gal",
    Litre = 1.0, "L"
);

/// The unit of sugar, °Brix, that is grams of sucrose in 100 g of juice.
pub const SUGAR_SYMBOL: &str = "°Brix";
/// The unit of titratable acidity as tartaric acid.
pub const ACID_SYMBOL: &str = "g/L";
