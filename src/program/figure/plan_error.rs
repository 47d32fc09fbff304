//! `figure plan-error`: the standard error of a plan. The formula is in `science`.

use super::answer::Answer;
use super::fields::Fields;
use super::{Figure, FigureError};
use crate::science::ripeness::plan_error::standard_error;
use serde_json::Value;

pub(super) const FIGURE: Figure = Figure {
    name: "plan-error",
    about: "standard error of the mean of so many vines and samples on each",
    example: r#"{"sd_between": 1.03, "sd_within": 0.71, "vines": 25, "per_vine": 1}"#,
    sum,
};

fn sum(input: &Value) -> Result<Value, FigureError> {
    let fields = Fields::of(input)?;
    let found = standard_error(
        fields.number("sd_between")?,
        fields.number("sd_within")?,
        fields.whole("vines")?,
        fields.whole("per_vine")?,
    )
    .map_err(|error| FigureError(error.to_string()))?;
    Ok(Answer::new().number("se", found)?.done())
}
