//! `figure sampling-plan`: how many vines, how many samples on each. The formula is in `science`.

use super::answer::Answer;
use super::fields::Fields;
use super::{Figure, FigureError};
use crate::science::ripeness::plan::{Plan, PlanQuestion, plan, samples_per_vine};
use serde_json::Value;

pub(super) const FIGURE: Figure = Figure {
    name: "sampling-plan",
    about: "the cheapest walk that makes a mean sure enough",
    example: r#"{
  "sd_between": 1.03, "sd_within": 0.71, "half_width": 0.5, "confidence": 0.9,
  "vines_in_block": 352, "minutes_per_vine": 1.5, "minutes_per_sample": 0.25, "max_per_vine": 10
}"#,
    sum,
};

fn sum(input: &Value) -> Result<Value, FigureError> {
    let fields = Fields::of(input)?;
    let question = PlanQuestion {
        sd_between: fields.number("sd_between")?,
        sd_within: fields.number("sd_within")?,
        half_width: fields.number("half_width")?,
        confidence: fields.number("confidence")?,
        vines_in_block: fields.whole("vines_in_block")?,
        minutes_per_vine: fields.number("minutes_per_vine")?,
        minutes_per_sample: fields.number("minutes_per_sample")?,
        max_per_vine: fields.whole("max_per_vine")?,
    };
    let found = plan(&question).map_err(|error| FigureError(error.to_string()))?;
    let (enough, best) = match found {
        Plan::Enough(walk) => (Some(walk), walk),
        Plan::Best(walk) => (None, walk),
    };
    Ok(Answer::new()
        .with("feasible", enough.is_some())
        .with("vines", enough.map(|walk| walk.vines))
        .with("per_vine", enough.map(|walk| walk.per_vine))
        .maybe("cost_minutes", enough.map(|walk| walk.cost_minutes))?
        .maybe("achieved_half_width", enough.map(|walk| walk.half_width))?
        .maybe("m_optimal_unrounded", samples_per_vine(&question))?
        .with("best_vines", best.vines)
        .with("best_per_vine", best.per_vine)
        .number("best_half_width", best.half_width)?
        .done())
}
