//! The sum of a walk on the way: it is the day's own sum, and what it promises comes true.
//! Not here: the same sum on a phone (`browser`).

use endpost::science::places::VineAddress;
use endpost::science::ripeness::day::sample_days;
use endpost::science::ripeness::walk::running::{More, running};
use endpost::science::ripeness::{Assumptions, BrixReading, Sample, Stop, Taken};
use proptest::prelude::*;
use uuid::Uuid;

use super::date;

fn stops(values: &[f64]) -> Sample {
    let stops = (1..).zip(values).map(|(vine, value)| Stop {
        at: Some(VineAddress {
            row: "B2".to_owned(),
            panel: 1,
            vine,
        }),
        brix: BrixReading {
            raw: *value,
            corrected: *value,
        },
    });
    Sample::of(Uuid::nil(), date(9, 10), Taken::Stops(stops.collect()))
}

#[test]
fn five_stops_tell_their_own_spread_and_how_many_more() {
    let assumptions = Assumptions::default();
    let read = [21.4, 22.8, 21.6, 21.5, 22.2];
    let sum = running(&read, Some(259), Some(0.5), &assumptions).expect("a sum");
    assert_eq!(sum.more, Some(More::Stops(3)));
    assert!(running(&[], Some(259), Some(0.5), &assumptions).is_none());
    let alike = running(&[21.4; 6], Some(259), Some(0.5), &assumptions).expect("a sum");
    assert_eq!(alike.more, Some(More::Reached));
    let far = running(
        &[15.0, 25.0, 15.0, 25.0, 20.0],
        Some(259),
        Some(0.2),
        &assumptions,
    );
    assert_eq!(far.expect("a sum").more, Some(More::OutOfReach));
    // Below five the starting spreads say how far it is.
    let two = running(&[21.4, 21.5], Some(259), Some(0.5), &assumptions).expect("a sum");
    let Some(More::Stops(more)) = two.more else {
        panic!("{two:?}");
    };
    assert!(more > 10, "{more}");
    let small = running(&[21.4, 21.5, 20.9], Some(3), Some(0.5), &assumptions);
    assert!(small.is_some());
}

proptest! {
    #[test]
    fn it_is_the_sum_of_the_day(
        values in prop::collection::vec((150..280_u16).prop_map(|tenth| f64::from(tenth) / 10.0), 1..40),
        vines in prop::option::of(40..400_u32),
        wanted in (1..30_u8).prop_map(|tenth| f64::from(tenth) / 10.0),
    ) {
        let assumptions = Assumptions::default();
        let sum = running(&values, vines, Some(wanted), &assumptions).expect("a sum");
        let sample = stops(&values);
        let days = sample_days(&[&sample], vines, &assumptions);
        let day = days[0].brix.as_ref().expect("a value");
        prop_assert!((sum.mean - day.value).abs() < 1e-9);
        let about = day.about.expect("a half-width");
        prop_assert!((sum.half_width - about).abs() < 1e-9);
        match sum.more.expect("an answer") {
            More::Reached => prop_assert!(sum.half_width <= wanted),
            More::Stops(more) => prop_assert!(more > 0 && sum.half_width > wanted),
            More::OutOfReach => prop_assert!(sum.half_width > wanted),
        }
    }
}
