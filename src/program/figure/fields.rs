//! Reads fields from the JSON that comes in and names the one that is missing or wrong.
//! No sums here.

use super::FigureError;
use chrono::NaiveDate;
use serde_json::{Map, Value};

/// One object of the input, with its path for the messages.
pub(super) struct Fields<'a> {
    object: &'a Map<String, Value>,
    path: String,
}

type Found<T> = Result<T, FigureError>;

impl<'a> Fields<'a> {
    /// The whole input.
    pub fn of(input: &'a Value) -> Found<Self> {
        Self::at(input, String::new())
    }

    fn at(value: &'a Value, path: String) -> Found<Self> {
        match value {
            Value::Object(object) => Ok(Fields { object, path }),
            other if path.is_empty() => Err(FigureError(format!(
                "The input must be a JSON object, not {}.",
                kind_of(other)
            ))),
            other => Err(wrong(&path, "an object", other)),
        }
    }

    /// The name of a field with the path to it.
    pub fn path(&self, name: &str) -> String {
        if self.path.is_empty() {
            name.to_owned()
        } else {
            format!("{}.{name}", self.path)
        }
    }

    /// An error about one field, in words that follow its name.
    pub fn error(&self, name: &str, words: &str) -> FigureError {
        FigureError(format!("`{}` {words}.", self.path(name)))
    }

    /// The value of a field that may be missing or null.
    fn maybe(&self, name: &str) -> Option<&'a Value> {
        self.object.get(name).filter(|value| !value.is_null())
    }

    fn required(&self, name: &str) -> Found<&'a Value> {
        match self.object.get(name) {
            None => Err(self.error(name, "is missing")),
            Some(Value::Null) => Err(self.error(name, "must not be null")),
            Some(value) => Ok(value),
        }
    }

    pub fn number(&self, name: &str) -> Found<f64> {
        number(&self.path(name), self.required(name)?)
    }

    /// A number that may be missing or null.
    pub fn maybe_number(&self, name: &str) -> Found<Option<f64>> {
        self.maybe(name)
            .map(|value| number(&self.path(name), value))
            .transpose()
    }

    /// A whole number from 0 on.
    pub fn whole(&self, name: &str) -> Found<u32> {
        let value = self.number(name)?;
        if value.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&value) {
            Ok(value as u32)
        } else {
            Err(self.error(
                name,
                &format!("must be a whole number from 0 on, not {value}"),
            ))
        }
    }

    pub fn yes_or_no(&self, name: &str) -> Found<bool> {
        let value = self.required(name)?;
        value
            .as_bool()
            .ok_or_else(|| wrong(&self.path(name), "true or false", value))
    }

    pub fn text(&self, name: &str) -> Found<&'a str> {
        let value = self.required(name)?;
        value
            .as_str()
            .ok_or_else(|| wrong(&self.path(name), "text", value))
    }

    /// A date written as 2027-09-03.
    pub fn date(&self, name: &str) -> Found<NaiveDate> {
        let text = self.text(name)?;
        NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| {
            self.error(
                name,
                &format!("must be a date such as 2027-09-03, not {text:?}"),
            )
        })
    }

    fn list(&self, name: &str) -> Found<&'a [Value]> {
        let value = self.required(name)?;
        match value.as_array() {
            Some(list) => Ok(list),
            None => Err(wrong(&self.path(name), "a list", value)),
        }
    }

    /// A list of objects.
    pub fn objects(&self, name: &str) -> Found<Vec<Fields<'a>>> {
        let list = self.list(name)?.iter().enumerate();
        list.map(|(at, value)| Fields::at(value, format!("{}[{at}]", self.path(name))))
            .collect()
    }

    /// An object that may be missing or null.
    pub fn maybe_object(&self, name: &str) -> Found<Option<Fields<'a>>> {
        self.maybe(name)
            .map(|value| Fields::at(value, self.path(name)))
            .transpose()
    }

    /// A list of numbers that may be missing or null.
    pub fn maybe_numbers(&self, name: &str) -> Found<Option<Vec<f64>>> {
        if self.maybe(name).is_none() {
            return Ok(None);
        }
        numbers(&self.path(name), self.list(name)?).map(Some)
    }

    /// A list of lists of numbers.
    pub fn groups(&self, name: &str) -> Found<Vec<Vec<f64>>> {
        let list = self.list(name)?.iter().enumerate();
        list.map(|(at, value)| {
            let path = format!("{}[{at}]", self.path(name));
            match value.as_array() {
                Some(group) => numbers(&path, group),
                None => Err(wrong(&path, "a list", value)),
            }
        })
        .collect()
    }
}

fn numbers(path: &str, list: &[Value]) -> Found<Vec<f64>> {
    list.iter()
        .enumerate()
        .map(|(at, value)| number(&format!("{path}[{at}]"), value))
        .collect()
}

fn number(path: &str, value: &Value) -> Found<f64> {
    value
        .as_f64()
        .filter(|number| number.is_finite())
        .ok_or_else(|| wrong(path, "a number", value))
}

fn wrong(path: &str, wanted: &str, found: &Value) -> FigureError {
    FigureError(format!(
        "`{path}` must be {wanted}, not {}.",
        kind_of(found)
    ))
}

fn kind_of(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "true or false",
        Value::Number(_) => "a number",
        Value::String(_) => "text",
        Value::Array(_) => "a list",
        Value::Object(_) => "an object",
    }
}
