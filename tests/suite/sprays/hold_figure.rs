//! `endpost figure hold`: its answers and its sentences.

use endpost::program::figure::hold::hold;
use serde_json::{Value, json};

fn tank(products: Value) -> Value {
    json!({
        "end": "2027-07-14T11:00:00-04:00",
        "products": products,
        "zone": "America/New_York",
    })
}

#[test]
fn it_answers_in_the_zone() {
    let answer = hold(&tank(json!([
        {"entry_hours": 24, "harvest_days": 66},
        {"entry_hours": 12.5, "harvest_days": 7},
    ])));
    assert_eq!(
        answer,
        Ok(json!({
            "entry_from": "2027-07-15T11:00:00-04:00",
            "picking_from": "2027-09-18T11:00:00-04:00",
        }))
    );
}

#[test]
fn the_clock_change_is_counted_in_elapsed_hours() {
    let answer = hold(&json!({
        "end": "2027-11-06T22:00:00Z",
        "products": [{"entry_hours": 24, "harvest_days": 0}],
        "zone": "America/New_York",
    }))
    .unwrap();
    assert_eq!(answer["entry_from"], "2027-11-07T17:00:00-05:00");
    assert_eq!(answer["picking_from"], "2027-11-07T17:00:00-05:00");
}

#[test]
fn a_blank_is_null() {
    let entry = hold(&tank(json!([
        {"entry_hours": null, "harvest_days": 7},
        {"entry_hours": 12, "harvest_days": 7},
    ])));
    assert_eq!(entry, Ok(json!({"entry_from": null, "picking_from": null})));
    let harvest = hold(&tank(json!([{"entry_hours": 12, "harvest_days": null}])));
    assert_eq!(
        harvest,
        Ok(json!({"entry_from": "2027-07-14T23:00:00-04:00", "picking_from": null}))
    );
}

#[test]
fn a_wrong_input_is_a_sentence_that_names_the_field() {
    let good = tank(json!([{"entry_hours": 12, "harvest_days": 7}]));
    let with = |field: &str, value: Value| {
        let mut input = good.clone();
        input[field] = value;
        input
    };
    let without = |field: &str| {
        let mut input = good.clone();
        input.as_object_mut().unwrap().remove(field);
        input
    };
    for (input, field) in [
        (with("end", json!("2027-07-14T11:00:00")), "end"),
        (with("end", json!(5)), "end"),
        (without("end"), "end"),
        (with("zone", json!("Nowhere/At_All")), "zone"),
        (with("zone", json!("")), "zone"),
        (without("zone"), "zone"),
        (with("products", json!([])), "products"),
        (with("products", json!({})), "products"),
        (without("products"), "products"),
        (with("products", json!([5])), "products[0]"),
        (
            with(
                "products",
                json!([{"entry_hours": "12", "harvest_days": 7}]),
            ),
            "products[0].entry_hours",
        ),
        (
            with("products", json!([{"entry_hours": -1, "harvest_days": 7}])),
            "products[0].entry_hours",
        ),
        (
            with("products", json!([{"entry_hours": 1, "harvest_days": 1e9}])),
            "products[0].harvest_days",
        ),
        (
            with("products", json!([{"entry_hours": 1}])),
            "products[0].harvest_days",
        ),
        (json!(null), "end"),
    ] {
        let error = hold(&input).unwrap_err();
        assert!(
            error.contains(field) && error.ends_with('.'),
            "{input}: {error}"
        );
    }
}
