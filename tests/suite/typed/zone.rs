//! Zones: names as typed, and times that come twice or never (IANA list, America/New_York 2027).

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::{America, Europe};
use endpost::science::zone::{Local, ZoneError, local, parse_zone};

fn wall(date: (i32, u32, u32), time: (u32, u32)) -> (NaiveDate, NaiveTime) {
    (
        NaiveDate::from_ymd_opt(date.0, date.1, date.2).unwrap(),
        NaiveTime::from_hms_opt(time.0, time.1, 0).unwrap(),
    )
}

fn moment(text: &str) -> DateTime<chrono::FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

#[test]
fn names_are_read_whatever_their_case_and_blanks() {
    for typed in [
        "America/New_York",
        "america/new_york",
        " America / New York ",
        "AMERICA/NEW  YORK",
        "new york",
    ] {
        assert_eq!(parse_zone(typed), Ok(America::New_York), "{typed:?}");
    }
    assert_eq!(parse_zone("europe/vienna"), Ok(Europe::Vienna));
    assert_eq!(parse_zone("utc"), Ok(chrono_tz::UTC));
    assert_eq!(parse_zone("  "), Err(ZoneError::Empty));
    assert!(matches!(
        parse_zone("Tamarack Bend"),
        Err(ZoneError::Unknown { .. })
    ));
    let several = parse_zone("louisville").unwrap_err().to_string();
    assert!(several.contains(" or "), "{several}");
}

#[test]
fn a_plain_time_comes_once() {
    let (date, time) = wall((2027, 7, 14), (11, 0));
    let Local::Once(found) = local(America::New_York, date, time) else {
        panic!("not once");
    };
    assert_eq!(found, moment("2027-07-14T11:00:00-04:00"));
}

#[test]
fn an_autumn_hour_comes_twice() {
    let (date, time) = wall((2027, 11, 7), (1, 30));
    let Local::Twice { first, second } = local(America::New_York, date, time) else {
        panic!("not twice");
    };
    assert_eq!(first, moment("2027-11-07T01:30:00-04:00"));
    assert_eq!(second, moment("2027-11-07T01:30:00-05:00"));
}

#[test]
fn a_spring_hour_never_comes() {
    let (date, time) = wall((2027, 3, 14), (2, 30));
    let Local::Never { before, after } = local(America::New_York, date, time) else {
        panic!("it came");
    };
    assert_eq!(before, moment("2027-03-14T01:30:00-05:00"));
    assert_eq!(after, moment("2027-03-14T03:30:00-04:00"));
}

#[test]
fn the_ends_of_the_calendar_do_not_panic() {
    for date in [NaiveDate::MIN, NaiveDate::MAX] {
        let time = NaiveTime::from_hms_opt(12, 0, 0).unwrap();
        assert!(matches!(local(chrono_tz::UTC, date, time), Local::Once(_)));
    }
}
