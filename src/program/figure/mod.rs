//! `endpost figure KIND`: any of the sums from JSON to JSON.
//!
//! The registry of kinds is here, one file for each beside it. Formulas live in `science`; standard
//! input and output in `command`.

pub mod command;

mod acid;
mod answer;
mod earlier_seasons;
mod fields;
pub mod hold;
mod juice;
mod plan_error;
mod refractometer;
mod ripening;
mod sampling_plan;
mod spread;

use serde_json::Value;

/// One kind of sum.
pub struct Figure {
    pub name: &'static str,
    pub about: &'static str,
    /// An input that works, as JSON.
    pub example: &'static str,
    pub sum: fn(&Value) -> Result<Value, FigureError>,
}

/// Every kind, in the order of the list that is printed. A new kind is one line here and one file.
pub const KINDS: &[Figure] = &[
    refractometer::FIGURE,
    juice::FIGURE,
    acid::FIGURE,
    ripening::FIGURE,
    earlier_seasons::FIGURE,
    sampling_plan::FIGURE,
    spread::FIGURE,
    plan_error::FIGURE,
    hold::FIGURE,
];

/// Why there is no answer: a sentence that names the field.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct FigureError(pub String);

impl From<String> for FigureError {
    fn from(sentence: String) -> Self {
        FigureError(sentence)
    }
}

/// Finds a kind by its name.
pub fn kind(name: &str) -> Option<&'static Figure> {
    KINDS.iter().find(|figure| figure.name == name)
}

/// Answers one input, or each of an array of them.
pub fn answer(name: &str, input: Value) -> Result<Value, FigureError> {
    let figure = kind(name).ok_or_else(|| FigureError(format!("There is no figure {name}.")))?;
    let Value::Array(inputs) = input else {
        return (figure.sum)(&input);
    };
    let mut answers = Vec::with_capacity(inputs.len());
    for (at, one) in inputs.iter().enumerate() {
        let found = (figure.sum)(one).map_err(|error| FigureError(format!("[{at}] {error}")))?;
        answers.push(found);
    }
    Ok(Value::Array(answers))
}
