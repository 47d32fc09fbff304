//! Readings make a bag, bags make a day, days make a line.

use chrono::NaiveDate;
use endpost::science::places::VineAddress;
use endpost::science::ripeness::day::{
    RestsOn, change_per_week, own_spread, readings, running_series, sample_days,
};
use endpost::science::ripeness::{
    AcidReading, Assumptions, Attribute, Bag, BrixReading, EndPoint, Sample, Stop, Taken,
};
use uuid::Uuid;

pub use crate::support::entries::bag;

pub fn date(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, month, day).expect("a date of the tests")
}

pub fn sample(on: NaiveDate, bags: Vec<Bag>) -> Sample {
    Sample::of(Uuid::from_u128(1), on, Taken::Bags(bags))
}

#[test]
fn two_bags_with_three_looks_each_count_as_two() {
    let taken = sample(
        date(9, 3),
        vec![bag(1, &[21.4, 21.6, 21.5]), bag(2, &[22.0, 22.2, 22.1])],
    );
    let days = sample_days(&[&taken], None, &Assumptions::default());
    let brix = days[0].brix.as_ref().expect("a value");
    assert!((brix.value - 21.8).abs() < 1e-12);
    assert!((brix.about.expect("bags have a ±") - 1.4 / 2f64.sqrt()).abs() < 1e-12);
    let RestsOn::Bags {
        count,
        worth,
        apart,
        means,
    } = &brix.rests_on
    else {
        panic!("these are bags");
    };
    assert_eq!((*count, *worth), (2, 2.0));
    assert!((apart.expect("two bags differ") - 0.6).abs() < 1e-9);
    assert!((means[0].1 - 21.5).abs() < 1e-12 && (means[1].1 - 22.1).abs() < 1e-12);
}

#[test]
fn another_look_at_the_same_bag_is_no_second_bag() {
    let first = sample(date(9, 13), vec![bag(1, &[19.4])]);
    let second = sample(date(9, 13), vec![bag(1, &[19.6])]);
    let days = sample_days(&[&first, &second], None, &Assumptions::default());
    let brix = days[0].brix.as_ref().expect("a value");
    assert!((brix.value - 19.5).abs() < 1e-12);
    assert!((brix.about.expect("a ±") - 1.4).abs() < 1e-12);
}

#[test]
fn half_a_bag_counts_half() {
    let mut half = bag(2, &[20.0]);
    half.berries = 50;
    let taken = sample(date(9, 1), vec![bag(1, &[20.0]), half]);
    let days = sample_days(&[&taken], None, &Assumptions::default());
    let about = days[0].brix.as_ref().and_then(|found| found.about);
    assert!((about.expect("a ±") - 1.4 / 1.5f64.sqrt()).abs() < 1e-12);
    // In the mean each bag counts once.
    let mut half = bag(2, &[21.0]);
    half.berries = 50;
    let taken = sample(date(9, 1), vec![bag(1, &[20.0]), half]);
    let days = sample_days(&[&taken], None, &Assumptions::default());
    assert_eq!(days[0].brix.as_ref().map(|found| found.value), Some(20.5));
}

#[test]
fn sugar_in_a_berry_needs_the_weight() {
    let mut weighed = bag(1, &[22.0]);
    weighed.weight_g = Some(110.0);
    let taken = sample(date(9, 1), vec![weighed]);
    let days = sample_days(&[&taken], None, &Assumptions::default());
    let sugar = days[0].sugar_per_berry_g().expect("a weighed bag");
    assert!((sugar - 1.1 * 0.22).abs() < 1e-12);
    let unweighed = sample(date(9, 1), vec![bag(1, &[22.0])]);
    let days = sample_days(&[&unweighed], None, &Assumptions::default());
    assert_eq!(days[0].sugar_per_berry_g(), None);
}

#[test]
fn a_new_line_begins_when_the_keeper_says_so_and_with_each_season() {
    let mut last_year = sample(date(9, 1), vec![bag(1, &[23.0])]);
    last_year.date = NaiveDate::from_ymd_opt(2026, 9, 1).expect("a date");
    let first = sample(date(8, 20), vec![bag(1, &[15.0])]);
    let mut other_sampler = sample(date(8, 27), vec![bag(1, &[18.0])]);
    other_sampler.new_series = Some("another sampler".to_owned());
    let third = sample(date(9, 3), vec![bag(1, &[19.0])]);
    let all = [&last_year, &first, &other_sampler, &third];
    let days = sample_days(&all, None, &Assumptions::default());
    let dates: Vec<NaiveDate> = running_series(&days, date(9, 10))
        .iter()
        .map(|day| day.date)
        .collect();
    assert_eq!(dates, [date(8, 27), date(9, 3)]);
    let before: Vec<NaiveDate> = running_series(&days, date(8, 25))
        .iter()
        .map(|day| day.date)
        .collect();
    assert_eq!(before, [date(8, 20)]);
}

#[test]
fn acid_of_another_end_point_is_left_out_of_the_line() {
    let titrated = |day, g_per_l, end_point| {
        let mut one = bag(1, &[20.0]);
        one.ta = Some(AcidReading { g_per_l, end_point });
        sample(day, vec![one])
    };
    let first = titrated(date(8, 20), 16.0, Some(EndPoint::Ph7));
    let second = titrated(date(8, 27), 14.0, Some(EndPoint::Ph8_2));
    let third = titrated(date(9, 3), 12.0, Some(EndPoint::Ph8_2));
    let days = sample_days(&[&first, &second, &third], None, &Assumptions::default());
    let values: Vec<f64> = readings(&days, Attribute::Ta)
        .iter()
        .map(|one| one.value)
        .collect();
    assert_eq!(values, [14.0, 12.0]);
    let change = change_per_week(&days, Attribute::Ta).expect("two readings");
    assert!((change + 2.0).abs() < 1e-12);
}

#[test]
fn a_pilot_of_five_vines_read_twice_tells_the_blocks_own_spread() {
    let stop = |vine, brix| Stop {
        at: Some(VineAddress {
            row: "A3".to_owned(),
            panel: 1,
            vine,
        }),
        brix: BrixReading {
            raw: brix,
            corrected: brix,
        },
    };
    let stops: Vec<Stop> = (1..=5u16)
        .flat_map(|vine| {
            [
                stop(vine, 20.0 + f64::from(vine)),
                stop(vine, 20.4 + f64::from(vine)),
            ]
        })
        .collect();
    let mut pilot = sample(date(9, 1), Vec::new());
    pilot.taken = Taken::Stops(stops.clone());
    let spread = own_spread(&pilot).expect("five vines, each read twice");
    // Within a vine the two readings differ by 0.4: variance 0.08.
    assert!((spread.sd_within - 0.08f64.sqrt()).abs() < 1e-9);
    pilot.taken = Taken::Stops(stops[..8].to_vec());
    assert_eq!(own_spread(&pilot), None, "four vines are too few");
}
