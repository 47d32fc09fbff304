//! Cases worked by general-purpose libraries (tests/golden), run through `endpost figure`.
//! Tolerances are those of each file.

use endpost::program::figure;
use serde_json::Value;

/// Figures of a library that stand in the files for comparison and are not ours to print.
const OF_A_LIBRARY: [&str; 9] = [
    "scipy",
    "lifelines",
    "statsmodels",
    "reml",
    "barnard",
    "dunnett",
    "mannwhitney",
    "fisher_scipy",
    "binomtest",
];

fn is_of_a_library(key: &str) -> bool {
    OF_A_LIBRARY
        .iter()
        .any(|name| key.starts_with(&format!("{name}_")) || key.ends_with(&format!("_{name}")))
}

/// Runs every case of a golden file; `tolerance` says how far a key's value may be off.
fn check(text: &str, tolerance: fn(&str, &Value) -> f64) {
    let file: Value = serde_json::from_str(text).expect("the golden file is JSON");
    let kind = file["figure"].as_str().expect("a kind");
    let cases = file["cases"].as_array().expect("cases");
    assert!(!cases.is_empty(), "{kind} has no case");
    let mut worst = (0.0, String::from("none"));
    for case in cases {
        let id = case["id"].as_str().unwrap_or("?");
        let answer = figure::answer(kind, case["input"].clone())
            .unwrap_or_else(|error| panic!("{kind} {id}: {error}"));
        for (key, expected) in case["expected"].as_object().expect("an object") {
            if is_of_a_library(key) {
                continue;
            }
            let allowed = tolerance(key, &file["tolerance"]);
            let at = format!("{kind} {id} {key}");
            compare(&at, expected, &answer[key], allowed, &mut worst);
        }
    }
    println!(
        "{kind}: {} cases, worst {:.1e} of what is allowed ({})",
        cases.len(),
        worst.0,
        worst.1
    );
    let inputs = cases.iter().map(|case| case["input"].clone()).collect();
    let answers = figure::answer(kind, Value::Array(inputs)).expect("an array in");
    assert_eq!(answers.as_array().map(Vec::len), Some(cases.len()));
}

fn compare(at: &str, expected: &Value, found: &Value, allowed: f64, worst: &mut (f64, String)) {
    match expected {
        Value::Object(parts) => {
            for (key, part) in parts {
                compare(&format!("{at}.{key}"), part, &found[key], allowed, worst);
            }
        }
        Value::Array(parts) => {
            assert_eq!(Some(parts.len()), found.as_array().map(Vec::len), "{at}");
            for (key, part) in parts.iter().enumerate() {
                compare(&format!("{at}[{key}]"), part, &found[key], allowed, worst);
            }
        }
        Value::Number(number) => {
            let expected = number.as_f64().expect("a number");
            let found = found.as_f64().unwrap_or_else(|| panic!("{at}: {found}"));
            let off = (found - expected).abs();
            assert!(off <= allowed, "{at}: {found} and not {expected}");
            let share = if allowed > 0.0 { off / allowed } else { 0.0 };
            if share > worst.0 {
                *worst = (share, at.to_owned());
            }
        }
        other => assert_eq!(other, found, "{at}"),
    }
}

fn named(tolerance: &Value, name: &str) -> f64 {
    tolerance[name].as_f64().expect("a tolerance of the file")
}

#[test]
fn ripening() {
    check(
        include_str!("../../golden/ripening.json"),
        |key, tolerance| {
            let name = match key {
                key if key.starts_with("p_") => "probability_abs",
                key if key.starts_with('q') => "days_abs",
                _ => "value_abs",
            };
            named(tolerance, name)
        },
    );
}

#[test]
fn earlier_seasons() {
    let text = include_str!("../../golden/earlier-seasons.json");
    check(text, |_, tolerance| named(tolerance, "value_abs"));
}

#[test]
fn sampling_plan() {
    let text = include_str!("../../golden/sampling-plan.json");
    check(text, |key, tolerance| match key {
        "vines" | "per_vine" => 0.0,
        _ => named(tolerance, "value_abs"),
    });
}

#[test]
fn spread() {
    let text = include_str!("../../golden/spread.json");
    check(text, |_, tolerance| named(tolerance, "value_abs"));
}

#[test]
fn plan_error() {
    let text = include_str!("../../golden/plan-error.json");
    check(text, |_, tolerance| named(tolerance, "abs"));
}
