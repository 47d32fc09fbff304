//! The chance that all values are inside on one day, against its bounds and a sum by hand.

use endpost::science::harvest::{Outlook, best, outlooks, together};
use endpost::science::ripeness::day::sample_days;
use endpost::science::ripeness::{
    AcidReading, Assumptions, Bag, DayOfYear, Sample, Target, Window,
};
use proptest::prelude::*;
use uuid::Uuid;

use crate::ripeness::{bag, date, sample};

fn taken(brix: f64, acid: Option<f64>) -> Bag {
    let mut one = bag(1, &[brix]);
    one.ta = acid.map(|g_per_l| AcidReading {
        g_per_l,
        end_point: None,
    });
    one
}

fn looked(readings: [(f64, Option<f64>); 3]) -> [Outlook; 3] {
    let days = [date(8, 20), date(8, 28), date(9, 3)];
    let samples: Vec<Sample> = days
        .iter()
        .zip(readings)
        .map(|(day, (brix, acid))| sample(*day, vec![taken(brix, acid)]))
        .collect();
    let samples: Vec<&Sample> = samples.iter().collect();
    let target = Target {
        block: Uuid::from_u128(1),
        from: date(1, 1),
        brix: Window {
            low: Some(22.0),
            high: Some(25.0),
            ..Window::default()
        },
        ph: Window::default(),
        ta: Window {
            high: Some(11.5),
            ..Window::default()
        },
        season_end: DayOfYear::SEASON_END,
    };
    let assumptions = Assumptions::default();
    let days = sample_days(&samples, None, &assumptions);
    outlooks(&days, Some(&target), date(9, 4), date(10, 31), &assumptions)
}

#[test]
fn it_is_the_product_and_at_most_the_smallest() {
    let found = looked([(18.7, Some(15.0)), (20.1, Some(13.8)), (21.8, Some(12.4))]);
    let days = together(&found);
    assert_eq!(days.len(), 58, "4 September to 31 October");
    let chances = |place: usize| {
        &found[place]
            .forecast
            .as_ref()
            .expect("a forecast")
            .in_window
    };
    for one in &days {
        let (brix, acid) = (chances(0)[one.day], chances(2)[one.day]);
        assert_eq!(one.about, brix * acid);
        assert_eq!(one.at_most, brix.min(acid));
    }
    let best = best(&days).expect("a day");
    assert!(best.day > 0 && days.iter().all(|one| one.about <= best.about));
}

#[test]
fn what_was_not_measured_leaves_nothing_to_tell() {
    let found = looked([(18.7, None), (20.1, None), (21.8, None)]);
    assert!(found[0].forecast.is_ok());
    assert_eq!(together(&found), []);
    assert_eq!(best(&[]), None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn chances_stay_chances(brix in [12.0..26.0f64, 12.0..26.0, 12.0..26.0],
                            acid in [5.0..25.0f64, 5.0..25.0, 5.0..25.0]) {
        let readings = [0, 1, 2].map(|at| (brix[at], Some(acid[at])));
        for one in together(&looked(readings)) {
            prop_assert!(0.0 <= one.about && one.about <= one.at_most && one.at_most <= 1.0);
        }
    }
}
