//! Rain since a sample (rule R5).

use chrono::{NaiveDate, NaiveTime};
use endpost::science::units::RainUnit;
use endpost::science::weather::{WeatherDay, makes_stale, rain_since};

fn day(of_september: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 9, of_september).unwrap()
}

fn at(hour: u32) -> Option<NaiveTime> {
    NaiveTime::from_hms_opt(hour, 0, 0)
}

fn rain(of_september: u32, time: Option<NaiveTime>, mm: f64) -> WeatherDay {
    WeatherDay {
        date: day(of_september),
        time,
        rain_mm: Some(mm),
        low_c: None,
        high_c: None,
        hard_frost: false,
        note: String::new(),
    }
}

#[test]
fn rain_of_later_days_counts_and_of_earlier_ones_does_not() {
    let days = [rain(2, None, 30.0), rain(4, None, 3.0), rain(5, None, 4.0)];
    assert_eq!(rain_since(&days, day(3), at(7)), Some(7.0));
}

#[test]
fn rain_of_the_same_day_counts_unless_it_is_known_to_be_earlier() {
    let sampled = at(7);
    for (rain_at, sample_at, expected) in [
        (at(5), sampled, None),
        (at(7), sampled, Some(5.0)),
        (at(9), sampled, Some(5.0)),
        (None, sampled, Some(5.0)),
        (at(5), None, Some(5.0)),
        (None, None, Some(5.0)),
    ] {
        assert_eq!(
            rain_since(&[rain(3, rain_at, 5.0)], day(3), sample_at),
            expected
        );
    }
}

#[test]
fn ten_millimetres_make_a_sample_stale() {
    let stale = |days: &[WeatherDay]| rain_since(days, day(3), None).is_some_and(makes_stale);
    let tenths: Vec<WeatherDay> = (0..100).map(|_| rain(4, None, 0.1)).collect();
    assert!(stale(&tenths));
    assert!(stale(&[rain(4, None, RainUnit::Inch.to_millimetres(0.4))]));
    assert!(!stale(&[rain(4, None, 9.9)]));
    assert!(!stale(&[]));
}

#[test]
fn what_is_not_measured_is_not_zero_and_adds_nothing() {
    let read: WeatherDay = serde_json::from_str(r#"{"date":"2027-09-04"}"#).unwrap();
    assert_eq!(read.rain_mm, None);
    let odd = [
        read,
        rain(5, None, f64::NAN),
        rain(5, None, -3.0),
        rain(5, None, 2.0),
    ];
    assert_eq!(rain_since(&odd, day(3), None), Some(2.0));
}

#[test]
fn where_no_rain_was_written_down_there_is_no_sum_and_a_typed_zero_is_none() {
    let blank = WeatherDay {
        rain_mm: None,
        ..rain(4, None, 0.0)
    };
    let since = |days: &[WeatherDay]| rain_since(days, day(3), None);
    assert_eq!(since(&[]), None);
    assert_eq!(since(std::slice::from_ref(&blank)), None);
    assert_eq!(since(&[rain(2, None, 4.0)]), None);
    assert_eq!(since(&[rain(4, None, -1.0), rain(5, None, f64::NAN)]), None);
    assert_eq!(since(&[rain(4, None, 0.0)]), Some(0.0));
    assert_eq!(since(&[blank, rain(5, None, 3.0)]), Some(3.0));
}
