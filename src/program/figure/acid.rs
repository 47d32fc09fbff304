//! `figure acid`: titratable acidity from a titration. The formula is in `science`.

use super::answer::Answer;
use super::fields::Fields;
use super::{Figure, FigureError};
use crate::science::ripeness::acid::{Titration, titrate};
use serde_json::Value;

pub(super) const FIGURE: Figure = Figure {
    name: "acid",
    about: "titratable acidity from a titration, in three units",
    example: r#"{"sample_ml": 15.0, "naoh_ml": 12.0, "naoh_n": 0.1}"#,
    sum,
};

fn sum(input: &Value) -> Result<Value, FigureError> {
    let fields = Fields::of(input)?;
    let done = Titration {
        sample_ml: fields.number("sample_ml")?,
        naoh_ml: fields.number("naoh_ml")?,
        naoh_n: fields.number("naoh_n")?,
        end_point: None,
    };
    let acidity = titrate(&done).map_err(|error| FigureError(error.to_string()))?;
    Ok(Answer::new()
        .number("meq_per_l", acidity.meq_per_l)?
        .number("tartaric_g_per_l", acidity.tartaric_g_per_l)?
        .number("sulfuric_g_per_l", acidity.sulfuric_g_per_l)?
        .done())
}
