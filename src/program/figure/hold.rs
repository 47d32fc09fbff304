//! `endpost figure hold`: when a sprayed block opens, from the end of spraying and the labels.
//!
//! The sum itself is `science::sprays::limits`.

use super::{Figure, FigureError};
use crate::science::sprays::{Limit, Product, limits};
use crate::science::zone::parse_zone;
use chrono::DateTime;
use serde_json::{Map, Value, json};

pub const FIGURE: Figure = Figure {
    name: "hold",
    about: "when a sprayed block opens for entry and for picking",
    example: r#"{"end": "2027-07-14T11:00:00-04:00", "products": [{"entry_hours": 24, "harvest_days": 66}], "zone": "America/New_York"}"#,
    sum: |input| hold(input).map_err(FigureError),
};

/// Answers `{entry_from, picking_from}` as RFC 3339 in the zone; closed until typed is null.
///
/// The error is a sentence that names the field.
pub fn hold(input: &Value) -> Result<Value, String> {
    let fields = input
        .as_object()
        .ok_or("The input has to be an object with end, products and zone.")?;
    let end = text(fields, "end")?;
    let end = DateTime::parse_from_rfc3339(end).map_err(
        |_| "end has to be a date and time with its offset, such as 2027-07-14T11:00:00-04:00.",
    )?;
    let zone = parse_zone(text(fields, "zone")?).map_err(|error| format!("zone: {error}"))?;
    let listed = fields
        .get("products")
        .ok_or("products is missing: list what was in the tank.")?
        .as_array()
        .ok_or("products has to be a list of objects.")?;
    if listed.is_empty() {
        return Err("products is empty: list what was in the tank.".to_owned());
    }
    let products = listed
        .iter()
        .enumerate()
        .map(|(at, fields)| product(at, fields))
        .collect::<Result<Vec<_>, _>>()?;
    let found = limits(end, &products).map_err(|error| format!("end: {error}"))?;
    let written = |limit: Limit| match limit {
        Limit::At(moment) => json!(moment.with_timezone(&zone).to_rfc3339()),
        Limit::ClosedUntilTyped(_) => Value::Null,
    };
    Ok(json!({
        "entry_from": written(found.entry),
        "picking_from": written(found.picking),
    }))
}

fn text<'a>(fields: &'a Map<String, Value>, name: &str) -> Result<&'a str, String> {
    fields
        .get(name)
        .ok_or_else(|| format!("{name} is missing."))?
        .as_str()
        .ok_or_else(|| format!("{name} has to be a text."))
}

fn product(at: usize, fields: &Value) -> Result<Product, String> {
    let fields = fields
        .as_object()
        .ok_or_else(|| format!("products[{at}] has to be an object."))?;
    Ok(Product {
        name: format!("products[{at}]"),
        entry_hours: interval(fields, at, "entry_hours", 8760.0)?,
        harvest_days: interval(fields, at, "harvest_days", 366.0)?,
        ..Product::default()
    })
}

fn interval(
    fields: &Map<String, Value>,
    at: usize,
    name: &str,
    most: f64,
) -> Result<Option<f64>, String> {
    let value = fields
        .get(name)
        .ok_or_else(|| format!("products[{at}].{name} is missing: give a number or null."))?;
    if value.is_null() {
        return Ok(None);
    }
    value
        .as_f64()
        .filter(|number| (0.0..=most).contains(number))
        .map(Some)
        .ok_or_else(|| {
            format!("products[{at}].{name} has to be a number from 0 to {most}, or null.")
        })
}
