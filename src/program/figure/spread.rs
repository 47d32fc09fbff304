//! `figure spread`: a block's own spread from a pilot walk. The formula is in `science`.

use super::answer::Answer;
use super::fields::Fields;
use super::{Figure, FigureError};
use crate::science::ripeness::spread::components;
use serde_json::Value;

pub(super) const FIGURE: Figure = Figure {
    name: "spread",
    about: "spread between vines and within a vine, from a pilot walk",
    example: r#"{"groups": [[18.2, 19.6, 17.4], [20.1, 21.4, 19.9], [16.8, 17.5, 18.9]]}"#,
    sum,
};

fn sum(input: &Value) -> Result<Value, FigureError> {
    let groups = Fields::of(input)?.groups("groups")?;
    let found = components(&groups).map_err(|error| FigureError(error.to_string()))?;
    Ok(Answer::new()
        .number("sd_between", found.sd_between)?
        .number("sd_within", found.sd_within)?
        .number("ms_between", found.ms_between)?
        .number("ms_within", found.ms_within)?
        .number("n0", found.n0)?
        .done())
}
