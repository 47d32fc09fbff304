//! The refractometer: zero offset and temperature correction of a Brix reading.
//! No density and no alcohol here.

use serde::{Deserialize, Serialize};

/// Readings beyond these are no grape juice.
const READINGS: std::ops::RangeInclusive<f64> = -5.0..=60.0;
/// The correction was fitted to these; beyond them it is not extended.
/// Between these °C a reading can be corrected, or an instrument that compensates relied on.
pub const RELIABLE_C: std::ops::RangeInclusive<f64> = 5.0..=40.0;
const FITTED: std::ops::RangeInclusive<f64> = 0.0..=40.0;

/// A reading as it was taken.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RawReading {
    /// What the scale showed, °Brix.
    pub reading: f64,
    /// Temperature of the sample on the prism, °C.
    pub temperature_c: Option<f64>,
    /// Whether the instrument compensates temperature by itself.
    pub compensated: bool,
    /// What the instrument shows for water at 20 °C; subtracted first.
    pub zero_offset: f64,
}

/// A reading brought to 20 °C.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CorrectedReading {
    pub corrected_brix: f64,
    /// What was added for temperature; 0 for an instrument that compensates.
    pub correction: f64,
    /// Taken outside 10 to 30 °C: let the sample come to room temperature.
    pub outside_10_to_30: bool,
}

/// Why a reading is kept as typed and not corrected.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum RefractometerError {
    #[error("The reading {0} lies outside -5 to 60 °Brix.")]
    Reading(f64),
    #[error(
        "The reading, {0} °Brix without the zero offset, lies outside 0 to 40 °Brix, where the temperature correction holds, so it cannot be corrected."
    )]
    BeyondFit(f64),
    #[error(
        "The temperature of the sample is missing; only an instrument that compensates can do without."
    )]
    TemperatureMissing,
    #[error(
        "The temperature {0} °C lies outside 5 to 40 °C, where neither a correction nor a compensating instrument can be relied on."
    )]
    Temperature(f64),
    #[error("The zero offset must be a number.")]
    ZeroOffset,
}

/// Brings a refractometer reading to 20 °C.
///
/// corrected = (reading − zero offset) + C, C by [`correction`]; C = 0 for an instrument that
/// compensates, which is never corrected twice. Valid for 5 to 40 °C, marked outside 10 to 30, for
/// both kinds of instrument: one that compensates is built for 10 to 30 °C. Valid for readings less
/// offset of 0 to 40 °Brix where C is added, of −5 to 60 where it is not. °Brix and °C. Errors: see
/// [`RefractometerError`]; out of range nothing is extended. Source: see [`correction`]; the ranges
/// of temperature are judgement after the instruments' manuals.
///
/// ```
/// use endpost::science::ripeness::juice::{correct, RawReading};
/// let raw = RawReading { reading: 20.0, temperature_c: Some(30.0), compensated: false, zero_offset: 0.0 };
/// assert!((correct(&raw).unwrap().corrected_brix - 20.80).abs() < 0.01);
/// assert!(correct(&RawReading { reading: 41.0, ..raw }).is_err());
/// assert!(correct(&RawReading { reading: 41.0, compensated: true, ..raw }).is_ok());
/// ```
pub fn correct(raw: &RawReading) -> Result<CorrectedReading, RefractometerError> {
    if !raw.zero_offset.is_finite() {
        return Err(RefractometerError::ZeroOffset);
    }
    let shown = raw.reading - raw.zero_offset;
    if !READINGS.contains(&shown) {
        return Err(RefractometerError::Reading(raw.reading));
    }
    if let Some(temperature) = raw.temperature_c
        && !RELIABLE_C.contains(&temperature)
    {
        return Err(RefractometerError::Temperature(temperature));
    }
    let correction = match (raw.compensated, raw.temperature_c) {
        (true, _) => 0.0,
        (false, None) => return Err(RefractometerError::TemperatureMissing),
        (false, Some(_)) if !FITTED.contains(&shown) => {
            return Err(RefractometerError::BeyondFit(shown));
        }
        (false, Some(temperature)) => correction(shown, temperature),
    };
    Ok(CorrectedReading {
        corrected_brix: shown + correction,
        correction,
        outside_10_to_30: raw
            .temperature_c
            .is_some_and(|temperature| !(10.0..=30.0).contains(&temperature)),
    })
}

/// What to add to a reading of `brix` taken at `temperature_c`.
///
/// With t = T − 20: C = t(a0 + a1·B + a2·B² + a3·B³) + t²(b0 + b1·B + b2·B²) + t³(c0 + c1·B).
/// Valid for 0 to 40 °Brix and 5 to 40 °C, which [`correct`] holds. Within 0.0083 of ICUMSA SPS-3
/// (1998) and OIV-MA-AS2-02 Table I from 10 to 25 °C, within 0.015 of Table I from 5 to 9 °C but for
/// one cell that does not follow its neighbours; 26 to 40 °C follows a physical formula, as no
/// published cell was at hand.
pub fn correction(brix: f64, temperature_c: f64) -> f64 {
    let t = temperature_c - 20.0;
    let linear = 6.3585e-2 + brix * (5.3531e-4 + brix * (-4.0586e-6 + brix * -1.6362e-8));
    let square = 1.1125e-3 + brix * (-1.9467e-5 + brix * 1.2744e-7);
    let cube = -1.8404e-6 + brix * -1.2461e-8;
    t * (linear + t * (square + t * cube))
}
