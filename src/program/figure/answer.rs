//! Builds the JSON that comes out and lets no number through that is none. No sums here.

use super::FigureError;
use serde_json::{Map, Number, Value};

/// An object under construction.
#[derive(Default)]
pub(super) struct Answer(Map<String, Value>);

impl Answer {
    pub fn new() -> Self {
        Answer::default()
    }

    /// Adds anything that has no part to be checked.
    pub fn with(mut self, name: &str, value: impl Into<Value>) -> Self {
        self.0.insert(name.to_owned(), value.into());
        self
    }

    pub fn number(self, name: &str, value: f64) -> Result<Self, FigureError> {
        let value = finite(name, value)?;
        Ok(self.with(name, value))
    }

    /// Adds a number that may not exist.
    pub fn maybe(self, name: &str, value: Option<f64>) -> Result<Self, FigureError> {
        match value {
            Some(value) => self.number(name, value),
            None => Ok(self.with(name, Value::Null)),
        }
    }

    pub fn list(self, name: &str, values: &[f64]) -> Result<Self, FigureError> {
        let list = values.iter().map(|&value| finite(name, value));
        let list = list.collect::<Result<Vec<Value>, FigureError>>()?;
        Ok(self.with(name, list))
    }

    /// Adds a map from whole days, "0" first, or null.
    pub fn by_day(self, name: &str, values: Option<&[f64]>) -> Result<Self, FigureError> {
        let Some(values) = values else {
            return Ok(self.with(name, Value::Null));
        };
        let mut days = Map::new();
        for (day, &value) in values.iter().enumerate() {
            days.insert(day.to_string(), finite(name, value)?);
        }
        Ok(self.with(name, days))
    }

    pub fn done(self) -> Value {
        Value::Object(self.0)
    }
}

fn finite(name: &str, value: f64) -> Result<Value, FigureError> {
    Number::from_f64(value).map(Value::Number).ok_or_else(|| {
        FigureError(format!(
            "With these numbers `{name}` comes out without a value."
        ))
    })
}
