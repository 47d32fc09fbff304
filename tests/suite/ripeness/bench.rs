//! At the bench: acid from a titration, instruments that do not compensate, repeats of one juice.
//! Not here: bags of a day and single vines (`bags`), the correction's own figures (`published`).

use endpost::science::ripeness::juice::correction;
use endpost::science::ripeness::{BrixReading, Taken};

use super::{sampled, typed_in};
use crate::support::farm::Farm;
use crate::support::page::Page;

const NOW: &str = "2027-09-03T07:20:00-04:00";

/// Missouri State, Determination of Titratable Acidity: 75 × mL × N ÷ mL of juice.
#[tokio::test]
async fn five_ml_of_juice_and_6_4_ml_of_tenth_normal_base_are_9_6_g_per_l() {
    let farm = Farm::at(NOW).await;
    let typed = [
        ("brix_1_1", "21.5"),
        ("ta_juice_1", "5"),
        ("ta_base_1", "0.1"),
        ("ta_used_1", "6.4"),
        ("ta_end_1", "ph8_2"),
    ];
    let record = sampled(&farm, "A", &typed).await;
    record.is_stored();
    let acid = record.value_of("Acid (TA)");
    assert_eq!(acid.as_deref(), Some("9.6 g/L (one bag)"));
    record.says("TA 9.6 g/L to pH 8.2");
    for (name, text) in typed {
        // A button that was tapped shows its label.
        let shown = if text == "ph8_2" { "pH 8.2" } else { text };
        assert_eq!(typed_in(&record, name).as_deref(), Some(shown), "{name}");
    }
}

#[tokio::test]
async fn half_a_titration_is_asked_about_and_keeps_what_was_typed() {
    let farm = Farm::at(NOW).await;
    let typed = [
        ("brix_1_1", "21.5"),
        ("ta_juice_1", "5"),
        ("ta_used_1", "6,4"),
    ];
    let page = sampled(&farm, "A", &typed).await;
    page.asks("A titration needs the juice, the base's normality and the base used.");
    for (name, text) in typed {
        assert_eq!(page.typed(name), [text]);
    }
}

/// A farm with one instrument.
async fn with_instrument(compensated: &str, water: &str) -> Farm {
    let farm = Farm::at(NOW).await;
    let fields = [
        ("name", "the old one"),
        ("compensated", compensated),
        ("water", water),
    ];
    farm.type_in("/instruments/new", &fields).await.is_stored();
    farm
}

/// The readings of the farm's only sample as they are stored.
async fn readings(farm: &Farm) -> Vec<BrixReading> {
    let mut read = farm.store.read().await.expect("a view");
    let [first, last] = ["2027-01-01", "2027-12-31"].map(|day| day.parse().expect("a date"));
    let samples = read.samples_between(first, last).await.expect("samples");
    let [one] = samples.as_slice() else {
        panic!("{} samples", samples.len());
    };
    match &one.sample.taken {
        Taken::Bags(bags) => bags.iter().flat_map(|bag| bag.brix.clone()).collect(),
        Taken::Stops(stops) => stops.iter().map(|stop| stop.brix).collect(),
    }
}

/// 21.8 with water at 0.3 is 21.5, and 25 °C adds about 0.4 (ICUMSA SPS-3, 1998: 0.38 at 20
/// °Brix). The other order would be some 0.0007 off, so the stored value tells which it was.
#[tokio::test]
async fn an_offset_is_taken_off_first_and_the_rest_corrected_once() {
    let farm = with_instrument("no", "0.3").await;
    let typed = [("brix_1_1", "21.8"), ("temp_1", "77")];
    let record = sampled(&farm, "A", &typed).await;
    record.is_stored();
    let holds = |record: Page| {
        let bag = record.value_of("Bag 1");
        assert_eq!(
            bag.as_deref(),
            Some("21.9 °Brix (read 21.8); juice at 77 °F")
        );
        assert_eq!(
            record.value_of("Sugar").as_deref(),
            Some("21.9 °Brix (one bag, about ±1.4)")
        );
    };
    let entry = record.entry().to_owned();
    holds(record);
    let offset_first = 21.8 - 0.3 + correction(21.8 - 0.3, 25.0);
    let offset_last = 21.8 + correction(21.8, 25.0) - 0.3;
    assert!((offset_first - offset_last).abs() > 1e-4);
    let stored = readings(&farm).await;
    assert_eq!(stored[0].raw, 21.8);
    assert!((stored[0].corrected - offset_first).abs() < 1e-9);

    // Changed without a change, it is not corrected a second time.
    let change = farm.get(&format!("/entries/{entry}/correct")).await;
    assert_eq!(change.typed("brix_1_1"), ["21.8"]);
    let changed = farm.save_again(&change).await;
    changed.is_stored();
    holds(changed);
    let stored = readings(&farm).await;
    assert!((stored[0].corrected - offset_first).abs() < 1e-9);
}

#[tokio::test]
async fn an_instrument_that_compensates_is_not_corrected_for_temperature() {
    let farm = with_instrument("yes", "0.3").await;
    let typed = [("brix_1_1", "21.8"), ("temp_1", "77")];
    sampled(&farm, "A", &typed).await.is_stored();
    let stored = readings(&farm).await;
    assert!((stored[0].corrected - 21.5).abs() < 1e-9, "{stored:?}");
}

#[tokio::test]
async fn without_a_temperature_it_is_asked_how_warm_the_juice_was() {
    let farm = with_instrument("no", "0.3").await;
    let asked = sampled(&farm, "A", &[("brix_1_1", "21.8")]).await;
    asked.asks(
        "the old one does not compensate for temperature. How warm was the juice? Without it the \
         reading stands as it was read.",
    );
    let record = farm.tap(&asked, "Take it as it was read").await;
    record.is_stored();
    let stored = readings(&farm).await;
    assert!((stored[0].corrected - 21.5).abs() < 1e-9, "{stored:?}");
}

#[tokio::test]
async fn readings_of_one_juice_too_far_apart_are_looked_at_again() {
    let farm = Farm::at(NOW).await;
    let near = [("brix_1_1", "21.4"), ("brix_1_2", "21.8")];
    sampled(&farm, "A", &near).await.is_stored();
    let far = [("brix_1_1", "21.4"), ("brix_1_2", "21.9")];
    let asked = sampled(&farm, "B", &far).await;
    asked.asks("The readings of one juice are 0.5 apart: wipe, stir, look again.");
    let record = farm.save_again(&asked).await;
    record.is_stored();
    record.says("looks 21.4, 21.9");
}
