//! `figure juice`: gravity, Oechsle and potential alcohol of a Brix. The formulas are in `science`.

use super::answer::Answer;
use super::fields::Fields;
use super::{Figure, FigureError};
use crate::science::ripeness::alcohol::Rule;
use crate::science::ripeness::density::{oechsle, specific_gravity};
use serde_json::Value;

pub(super) const FIGURE: Figure = Figure {
    name: "juice",
    about: "specific gravity, Oechsle and potential alcohol from °Brix",
    example: r#"{"brix": 22.0, "rule": "table-fit"}"#,
    sum,
};

fn sum(input: &Value) -> Result<Value, FigureError> {
    let fields = Fields::of(input)?;
    let brix = fields.number("brix")?;
    let rule: Rule = fields
        .text("rule")?
        .parse()
        .map_err(|error| FigureError(format!("`rule`: {error}")))?;
    if !(0.0..=60.0).contains(&brix) {
        return Err(fields.error("brix", &format!("must lie between 0 and 60, not {brix}")));
    }
    let gravity = specific_gravity(brix);
    Ok(Answer::new()
        .maybe("specific_gravity", gravity)?
        .maybe("oechsle", gravity.map(oechsle))?
        .maybe("potential_alcohol_percent", rule.percent(brix))?
        .with("rule", rule.to_string())
        .done())
}
