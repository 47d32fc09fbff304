//! Which copies are kept, when the next is due, and what they are called: rules without files.

use std::collections::BTreeSet;

use chrono::{DateTime, Datelike, NaiveDate, NaiveDateTime, TimeDelta, Utc};
use chrono_tz::America::New_York;
use chrono_tz::Tz;
use endpost::science::copies::{
    BY_HAND_KEPT, CopyName, DAYS_KEPT, MIGRATIONS_KEPT, WEEKS_KEPT, Why, due, no_longer_kept,
};
use proptest::prelude::*;

/// A moment by the farm's clock.
fn at(text: &str) -> DateTime<Tz> {
    let at = NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").expect("a moment");
    at.and_local_timezone(New_York)
        .earliest()
        .expect("a moment that was")
}

fn named(made: DateTime<Tz>, why: Why) -> CopyName {
    CopyName {
        made: made.to_utc(),
        number: 1,
        why,
    }
}

/// The night that a moment belongs to, reckoned in another way than the rule does.
fn night(at: DateTime<Utc>) -> NaiveDate {
    let at = at.with_timezone(&New_York).naive_local();
    match at.time() >= chrono::NaiveTime::from_hms_opt(2, 0, 0).expect("2 o'clock") {
        true => at.date(),
        false => at.date().pred_opt().expect("the day before"),
    }
}

#[test]
fn names_say_when_and_why() {
    for (text, why) in [
        ("endpost-2027-09-10-0200Z-daily.db", Why::Daily),
        ("endpost-2027-09-10-1405Z-by-hand.db", Why::ByHand),
        (
            "endpost-2027-09-10-0700Z-before-migration-8.db",
            Why::BeforeMigration(8),
        ),
        ("endpost-2027-09-10-0700Z-2-replaced.db", Why::Replaced),
    ] {
        let name: CopyName = text.parse().expect(text);
        assert_eq!(name.why, why);
        assert_eq!(name.to_string(), text);
    }
    for text in [
        "endpost.db",
        "endpost-2027-09-10-0200Z-daily.db.coming",
        "endpost-2027-09-10-0200Z-daily.db.sha256",
        "endpost-2027-09-31-0200Z-daily.db",
        "endpost-2027-09-10-0200Z-nightly.db",
        "endpost-2027-09-10-0200Z-01-daily.db",
        "endpost-2027-09-10-0200-daily.db",
        "endpost-2027-09-10-02ä0Z-daily.db",
        "endpost-2027",
        "",
    ] {
        assert!(text.parse::<CopyName>().is_err(), "{text}");
    }
}

#[test]
fn a_second_copy_of_a_minute_gets_a_name_of_its_own() {
    let now = at("2027-09-10 07:00").to_utc() + TimeDelta::seconds(41);
    let first = CopyName::unused(now, Why::ByHand, &[]);
    let second = CopyName::unused(now, Why::Daily, &[first]);
    assert_eq!(first.to_string(), "endpost-2027-09-10-1100Z-by-hand.db");
    assert_eq!(second.to_string(), "endpost-2027-09-10-1100Z-2-daily.db");
    assert!(second > first, "the names stand in the order of making");
}

#[test]
fn one_is_due_once_a_night() {
    let made = [named(at("2027-09-09 02:10"), Why::Daily)];
    for (now, wanted) in [
        ("2027-09-09 02:20", false),
        ("2027-09-09 23:59", false),
        ("2027-09-10 01:59", false),
        ("2027-09-10 02:00", true),
        ("2027-09-14 12:00", true),
    ] {
        assert_eq!(due(&made, at(now)), wanted, "{now}");
    }
    assert!(due(&[], at("2027-09-10 12:00")), "none was made yet");
    let later = [named(at("2031-01-01 02:00"), Why::Daily)];
    assert!(
        due(&later, at("2027-09-10 12:00")),
        "a wrong clock's copy stands for no night of now"
    );
    let by_hand = [named(at("2027-09-10 08:00"), Why::ByHand)];
    assert!(!due(&by_hand, at("2027-09-10 12:00")));
    let other = [
        named(at("2027-09-10 08:00"), Why::Replaced),
        named(at("2027-09-10 08:00"), Why::BeforeMigration(8)),
    ];
    assert!(due(&other, at("2027-09-10 12:00")));
}

/// Clocks go back at 2 in the morning of 7 November 2027, and a farm has no zone on its first day.
#[test]
fn names_stand_in_the_order_of_making_whatever_the_clock_on_the_wall_does() {
    let summer = at("2027-11-07 01:30");
    let winter = summer + TimeDelta::minutes(40);
    assert_eq!(winter.format("%H:%M").to_string(), "01:10");
    let (summer, winter) = (named(summer, Why::Daily), named(winter, Why::Daily));
    assert!(summer.to_string() < winter.to_string() && summer < winter);
    let gone = no_longer_kept(&[summer, winter], at("2027-11-07 03:00"));
    assert_eq!(gone, [summer], "the newer of one night stays");

    let evening = at("2027-09-10 21:00").to_utc();
    let before_a_zone = CopyName::unused(evening, Why::ByHand, &[]);
    let after = CopyName::unused(evening + TimeDelta::hours(1), Why::ByHand, &[before_a_zone]);
    assert!(after > before_a_zone);
    assert_eq!(night(before_a_zone.made), night(after.made));
}

/// The night's copy is not gone because somebody asked for another.
#[test]
fn what_somebody_asked_for_pushes_no_nights_copy_out() {
    let night = named(at("2027-09-10 02:00"), Why::Daily);
    let asked = named(at("2027-09-10 09:00"), Why::ByHand);
    assert_eq!(no_longer_kept(&[night, asked], at("2027-09-10 09:00")), []);
}

#[test]
fn of_one_day_five_stay_that_somebody_asked_for() {
    let first = at("2027-09-10 09:00");
    let all: Vec<CopyName> = (0..8)
        .map(|hour| named(first + TimeDelta::hours(hour), Why::ByHand))
        .collect();
    let gone = no_longer_kept(&all, first + TimeDelta::hours(8));
    assert_eq!(gone, [all[2], all[1], all[0]]);
    assert_eq!(all.len() - gone.len(), BY_HAND_KEPT);
}

/// Copies of a week in which the clock was years ahead count for no day once it is set.
#[test]
fn a_clock_that_was_ahead_pushes_nothing_out() {
    let ahead = (0..60).map(|day| named(at("2031-01-01 02:00") + TimeDelta::days(day), Why::Daily));
    let now = (0..6).map(|day| named(at("2027-09-10 02:00") + TimeDelta::days(day), Why::Daily));
    let all: Vec<CopyName> = now.chain(ahead).collect();
    assert_eq!(no_longer_kept(&all, at("2027-09-15 03:00")), []);
}

/// A year of nights, one after the other, as they are made.
#[test]
fn after_a_year_there_are_seven_days_and_eight_weeks() {
    let first = at("2027-01-01 02:00");
    let mut kept: Vec<CopyName> = Vec::new();
    for day in 0..365 {
        let newest = named(first + TimeDelta::days(day), Why::Daily);
        kept.push(newest);
        let gone = no_longer_kept(&kept, first + TimeDelta::days(day));
        kept.retain(|one| !gone.contains(one));
        assert!(kept.len() <= DAYS_KEPT + WEEKS_KEPT);
    }
    let last = first + TimeDelta::days(364);
    for back in 0..7 {
        let day = last - TimeDelta::days(back);
        let day = day.date_naive();
        assert!(
            kept.iter().any(|one| night(one.made) == day),
            "{day} is gone"
        );
    }
    for back in 0..8 {
        let week = (last - TimeDelta::weeks(back)).date_naive().iso_week();
        let has = kept.iter().any(|one| night(one.made).iso_week() == week);
        assert!(has, "nothing of the week {week:?}");
    }
}

fn why() -> impl Strategy<Value = Why> {
    prop_oneof![
        6 => Just(Why::Daily),
        2 => Just(Why::ByHand),
        2 => (1..30i64).prop_map(Why::BeforeMigration),
        1 => Just(Why::Replaced),
    ]
}

fn copies() -> impl Strategy<Value = Vec<CopyName>> {
    let one = (0..400_000i64, 1..4u16, why()).prop_map(|(minutes, number, why)| CopyName {
        made: at("2027-01-01 00:00").to_utc() + TimeDelta::minutes(minutes),
        number,
        why,
    });
    prop::collection::btree_set(one, 1..120).prop_map(|all| all.into_iter().collect())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    #[test]
    fn names_are_read_as_they_are_written(all in copies()) {
        for name in all {
            prop_assert_eq!(name.to_string().parse(), Ok(name));
        }
    }

    #[test]
    fn the_newest_and_what_was_replaced_never_go(all in copies(), pick in any::<prop::sample::Index>()) {
        let moment = pick.get(&all).made;
        let newest = *all.iter().rfind(|one| one.made == moment).expect("the picked one at least");
        let gone = no_longer_kept(&all, newest.made.with_timezone(&New_York));
        prop_assert!(!gone.contains(&newest));
        prop_assert!(gone.iter().all(|one| all.contains(one)));
        prop_assert!(gone.iter().all(|one| one.why != Why::Replaced));
        prop_assert!(gone.iter().all(|one| one.made <= newest.made), "what a wrong clock dated stays");
    }

    #[test]
    fn of_seven_days_and_eight_weeks_the_newest_stays(all in copies()) {
        let newest = *all.last().expect("one at least");
        let gone = no_longer_kept(&all, newest.made.with_timezone(&New_York));
        for (why, more) in [(Why::Daily, 0), (Why::ByHand, BY_HAND_KEPT)] {
            let of_this = |one: &&CopyName| one.why == why;
            let nights: BTreeSet<NaiveDate> =
                all.iter().filter(of_this).map(|one| night(one.made)).collect();
            let stays = |of: &dyn Fn(NaiveDate) -> bool| {
                let newest = all.iter().filter(of_this).rfind(|one| of(night(one.made)));
                newest.is_none_or(|one| !gone.contains(one))
            };
            for day in nights.iter().rev().take(DAYS_KEPT) {
                prop_assert!(stays(&|night| night == *day), "{} is gone", day);
            }
            let weeks: BTreeSet<_> = nights.iter().map(NaiveDate::iso_week).collect();
            for week in weeks.iter().rev().take(WEEKS_KEPT) {
                prop_assert!(stays(&|night| night.iso_week() == *week), "{:?} is gone", week);
            }
            let left = all.iter().filter(of_this).filter(|one| !gone.contains(one)).count();
            prop_assert!(left <= DAYS_KEPT + WEEKS_KEPT + more);
        }
        let migrations = |one: &&CopyName| matches!(one.why, Why::BeforeMigration(_));
        let before = all.iter().filter(migrations).count();
        let left = all.iter().filter(migrations).filter(|one| !gone.contains(one)).count();
        prop_assert!(left >= before.min(MIGRATIONS_KEPT) && left <= MIGRATIONS_KEPT);
    }

    #[test]
    fn what_is_left_stays(all in copies()) {
        let newest = *all.last().expect("one at least");
        let gone = no_longer_kept(&all, newest.made.with_timezone(&New_York));
        let left: Vec<CopyName> = all.into_iter().filter(|one| !gone.contains(one)).collect();
        prop_assert_eq!(no_longer_kept(&left, newest.made.with_timezone(&New_York)), Vec::new());
    }
}
