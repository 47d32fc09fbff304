//! `endpost figure`: every kind's example works, and what is wrong is named.

use endpost::program::figure::{KINDS, answer};
use serde_json::{Value, json};
use std::io::Write;
use std::process::{Command, Output, Stdio};

fn example(kind: &str) -> Value {
    let figure = KINDS.iter().find(|figure| figure.name == kind);
    serde_json::from_str(figure.expect("a kind").example).expect("an example in JSON")
}

/// Runs the program itself.
fn endpost(words: &[&str], typed: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_endpost"))
        .arg("figure")
        .args(words)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut input = child.stdin.take().expect("an input");
    // The program may have answered without reading.
    let _ = input.write_all(typed.as_bytes());
    drop(input);
    child.wait_with_output().expect("the program ends")
}

#[test]
fn every_example_works() {
    for figure in KINDS {
        let input = example(figure.name);
        let one = answer(figure.name, input.clone()).expect(figure.name);
        assert!(one.is_object(), "{}", figure.name);
        let three = answer(figure.name, json!([input, input, input])).expect(figure.name);
        assert_eq!(three, json!([one, one, one]));
    }
}

/// Without any of its fields an example fails with that field's name, or the field may be left out.
#[test]
fn what_is_missing_or_wrong_is_named() {
    let may_be_left_out = ["zero_offset", "low", "high", "prior", "shape_weights"];
    for figure in KINDS {
        let input = example(figure.name);
        for field in input.as_object().expect("an object").keys() {
            let mut without = input.clone();
            without.as_object_mut().expect("an object").remove(field);
            if !may_be_left_out.contains(&field.as_str()) {
                let error = answer(figure.name, without).expect_err(field).to_string();
                assert!(error.contains(field), "{}: {error}", figure.name);
            }
            let mut wrong = input.clone();
            wrong[field] = json!({"not": "this"});
            let error = answer(figure.name, wrong).expect_err(field).to_string();
            assert!(error.contains(field), "{}: {error}", figure.name);
        }
        for none in [json!(3), json!("text"), json!(null), json!([[]])] {
            assert!(answer(figure.name, none).is_err());
        }
        assert_eq!(answer(figure.name, json!([])), Ok(json!([])));
    }
}

#[test]
fn the_place_of_a_mistake_is_named() {
    let mut input = example("ripening");
    input["samples"][1]["mean"] = json!("20,1");
    let error = answer("ripening", input).expect_err("text").to_string();
    assert_eq!(error, "`samples[1].mean` must be a number, not text.");

    let mut input = example("ripening");
    input["today"] = json!("2027-09-01");
    let error = answer("ripening", input)
        .expect_err("too early")
        .to_string();
    assert!(error.contains("2027-09-03 lies after today"), "{error}");

    let mut input = example("ripening");
    input["samples"] = json!([{"date": "2027-08-20", "mean": 18.7, "se": 0.5}]);
    let error = answer("ripening", input).expect_err("one").to_string();
    assert!(error.contains("needs a second reading"), "{error}");

    let both = json!([example("acid"), {"sample_ml": 0, "naoh_ml": 1, "naoh_n": 0.1}]);
    let error = answer("acid", both).expect_err("no sample").to_string();
    assert!(
        error.starts_with("[1] ") && error.contains("sample_ml"),
        "{error}"
    );
}

#[test]
fn maps_hold_every_day() {
    let mut input = example("ripening");
    input["low"] = json!(24.0);
    input["high"] = json!(26.0);
    let found = answer("ripening", input.clone()).expect("a forecast");
    let maps = [
        "p_reached_by_day",
        "p_in_window_on_day",
        "mean_on_day",
        "sd_on_day",
    ];
    for map in maps {
        let days = found[map].as_object().expect("a map");
        assert_eq!(days.len(), 59);
        assert!((0..59).all(|day| days[&day.to_string()].is_number()));
    }
    // Two readings cannot tell which is bad.
    input["samples"]
        .as_array_mut()
        .expect("samples")
        .truncate(2);
    let two = answer("ripening", input.clone()).expect("a forecast");
    assert_eq!(two["p_outlier"], json!([0.0, 0.0]));
    // The far edge open: one-sided. The first edge open: nothing to reach.
    input["high"] = json!(null);
    let one_sided = answer("ripening", input.clone()).expect("a forecast");
    assert!(one_sided["p_in_window_on_day"]["58"].as_f64() > Some(0.1));
    input["low"] = json!(null);
    input["high"] = json!(26.0);
    let open = answer("ripening", input).expect("a course");
    let nothing = [
        "p_reached_by_day",
        "p_in_window_on_day",
        "p_not_reached",
        "q50_days",
    ];
    for key in nothing {
        assert!(open.as_object().expect("an object").contains_key(key));
        assert_eq!(open[key], json!(null), "{key}");
    }
    assert!(open["mean_on_day"]["58"].is_number());
}

#[test]
fn refractometer_flags_and_refuses() {
    let ask = |temperature: Value, compensated: bool| {
        answer(
            "refractometer",
            json!({"reading": 20, "temperature_c": temperature, "compensated": compensated,
                   "zero_offset": 0}),
        )
    };
    let plain = ask(json!(20), false).expect("an answer");
    assert_eq!(
        plain,
        json!({"corrected_brix": 20.0, "correction": 0.0, "flag": null})
    );
    let cold = ask(json!(8), false).expect("an answer");
    assert_eq!(cold["flag"], json!("outside 10 to 30"));
    let kept = ask(json!(null), true).expect("an answer");
    assert_eq!(kept["correction"], json!(0.0));
    for wrong in [json!(4), json!(41), json!(null)] {
        let error = ask(wrong, false).expect_err("out of range").to_string();
        assert!(error.contains("temperature_c"), "{error}");
    }
    // Too far off for an instrument that compensates as well.
    let error = ask(json!(45), true).expect_err("too warm").to_string();
    assert!(error.contains("temperature_c"), "{error}");
}

/// Nothing is corrected beyond the fit; what is not corrected has no such bound.
#[test]
fn refractometer_never_extends_its_fit() {
    let ask = |reading: f64, compensated: bool| {
        answer(
            "refractometer",
            json!({"reading": reading, "temperature_c": 25, "compensated": compensated,
                   "zero_offset": 0.5}),
        )
    };
    for within in [0.5, 40.5] {
        let found = ask(within, false).expect("an answer");
        assert!(found["correction"].as_f64() > Some(0.2), "{found}");
    }
    for beyond in [0.4, 40.6, 55.0] {
        let error = ask(beyond, false).expect_err("beyond").to_string();
        assert!(error.starts_with("`reading`"), "{error}");
        assert!(error.contains("0 to 40"), "{error}");
    }
    let kept = ask(55.0, true).expect("an answer");
    assert_eq!(kept["corrected_brix"], json!(54.5));
    assert_eq!(kept["correction"], json!(0.0));
}

#[test]
fn alcohol_outside_its_rule_is_null() {
    let found = answer("juice", json!({"brix": 12, "rule": "table-fit"})).expect("an answer");
    assert_eq!(found["potential_alcohol_percent"], json!(null));
    assert!(found["oechsle"].as_f64() > Some(48.0));
    let error = answer("juice", json!({"brix": 12, "rule": "factor-0.6"})).expect_err("no rule");
    assert!(error.to_string().contains("rule"));
}

#[test]
fn the_program_answers_and_refuses() {
    let input = example("plan-error").to_string();
    let fine = endpost(&["plan-error"], &input);
    assert_eq!(fine.status.code(), Some(0));
    let printed: Value = serde_json::from_slice(&fine.stdout).expect("JSON");
    assert_eq!(Ok(printed), answer("plan-error", example("plan-error")));

    for (words, typed) in [
        (vec!["plan-error"], "{\"vines\": 1e999}"),
        (vec!["plan-error"], ""),
        (vec!["plan-error"], "{}"),
        (vec!["no-such"], "{}"),
        (vec!["no-such", "--example"], ""),
    ] {
        let refused = endpost(&words, typed);
        assert_eq!(refused.status.code(), Some(2), "{words:?} {typed}");
        assert!(refused.stdout.is_empty());
        assert!(!refused.stderr.is_empty());
    }

    let list = endpost(&[], "");
    assert_eq!(list.status.code(), Some(0));
    let list = String::from_utf8(list.stdout).expect("text");
    assert!(KINDS.iter().all(|figure| list.contains(figure.name)));

    let shown = endpost(&["ripening", "--example"], "");
    let shown = String::from_utf8(shown.stdout).expect("text");
    assert_eq!(endpost(&["ripening"], &shown).status.code(), Some(0));
}
