//! `figure refractometer`: a reading brought to 20 °C. The formula is in `science`.

use super::answer::Answer;
use super::fields::Fields;
use super::{Figure, FigureError};
use crate::science::ripeness::juice::{RawReading, RefractometerError, correct};
use serde_json::Value;

pub(super) const FIGURE: Figure = Figure {
    name: "refractometer",
    about: "a refractometer reading corrected for zero offset and temperature",
    example: r#"{"reading": 21.4, "temperature_c": 26.0, "compensated": false, "zero_offset": 0.2}"#,
    sum,
};

fn sum(input: &Value) -> Result<Value, FigureError> {
    let fields = Fields::of(input)?;
    let raw = RawReading {
        reading: fields.number("reading")?,
        temperature_c: fields.maybe_number("temperature_c")?,
        compensated: fields.yes_or_no("compensated")?,
        zero_offset: fields.maybe_number("zero_offset")?.unwrap_or(0.0),
    };
    let corrected = correct(&raw).map_err(|error| {
        let field = match error {
            RefractometerError::Reading(_) | RefractometerError::BeyondFit(_) => "reading",
            RefractometerError::TemperatureMissing | RefractometerError::Temperature(_) => {
                "temperature_c"
            }
            RefractometerError::ZeroOffset => "zero_offset",
        };
        FigureError(format!("`{field}`: {error}"))
    })?;
    let flag = corrected.outside_10_to_30.then_some("outside 10 to 30");
    Ok(Answer::new()
        .number("corrected_brix", corrected.corrected_brix)?
        .number("correction", corrected.correction)?
        .with("flag", flag)
        .done())
}
