//! Holds of sprays: the stories of the board, the published example, and the laws.

use chrono::{DateTime, Duration, FixedOffset, NaiveDate, NaiveTime, TimeZone};
use chrono_tz::America::New_York;
use endpost::science::sprays::{
    Blank, Hold, HoldError, Limit, Limits, Product, Spray, Until, first_pick, holds_on,
    latest_finish, limits,
};
use proptest::prelude::*;

/// A block's id, made from its letter.
fn block(letter: char) -> uuid::Uuid {
    uuid::Uuid::from_u128(u128::from(letter))
}

fn row(label: &str) -> endpost::science::places::RowLayout {
    endpost::science::places::RowLayout {
        label: label.to_owned(),
        panels: vec![4; 9],
    }
}

fn moment(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

fn product(name: &str, entry_hours: Option<f64>, harvest_days: Option<f64>) -> Product {
    Product {
        name: name.to_owned(),
        entry_hours,
        harvest_days,
        ..Product::default()
    }
}

fn spray(start: &str, end: &str, products: Vec<Product>) -> Spray {
    Spray {
        blocks: vec![block('C'), block('D')],
        rows: Vec::new(),
        date: moment(start).date_naive(),
        start: Some(moment(start)),
        end: Some(moment(end)),
        volume_l: Some(180.0),
        applicator: "keeper".to_owned(),
        wind: "light, west".to_owned(),
        temperature_c: Some(18.0),
        label_read: true,
        products,
        note: String::new(),
    }
}

fn at(limit: &Limit) -> DateTime<FixedOffset> {
    match limit {
        Limit::At(moment) => *moment,
        Limit::ClosedUntilTyped(blanks) => panic!("closed: {blanks:?}"),
    }
}

fn story_9() -> Spray {
    spray(
        "2027-09-04T09:10:00-04:00",
        "2027-09-04T10:40:00-04:00",
        vec![
            product("first", Some(12.0), Some(7.0)),
            product("second", Some(48.0), Some(14.0)),
        ],
    )
}

#[test]
fn story_9_the_longest_interval_of_the_tank_counts() {
    let found = story_9().limits();
    assert_eq!(at(&found.entry), moment("2027-09-06T10:40:00-04:00"));
    assert_eq!(at(&found.picking), moment("2027-09-18T10:40:00-04:00"));
}

#[test]
fn story_9_entry_outranks_harvest() {
    let found = limits(
        moment("2027-09-20T18:30:00-04:00"),
        &[product("third", Some(72.0), Some(0.0))],
    )
    .unwrap();
    assert_eq!(at(&found.picking), moment("2027-09-23T18:30:00-04:00"));
}

/// Washington State tree-fruit guide: entry interval 72 h, harvest interval 48 h, no harvest for
/// 72 h. Exact.
#[test]
fn published_an_entry_interval_longer_than_the_harvest_interval_wins() {
    let end = moment("2027-06-01T08:00:00-07:00");
    let found = limits(end, &[product("any", Some(72.0), Some(2.0))]).unwrap();
    assert_eq!(at(&found.picking), end + Duration::hours(72));
}

#[test]
fn a_blank_interval_keeps_the_block_closed_and_is_named() {
    let mut sprayed = story_9();
    sprayed.products[1].harvest_days = None;
    let found = sprayed.limits();
    assert_eq!(at(&found.entry), moment("2027-09-06T10:40:00-04:00"));
    let Limit::ClosedUntilTyped(blanks) = &found.picking else {
        panic!("open");
    };
    assert_eq!(
        blanks[0].to_string(),
        "closed until you type the label's days to harvest of second"
    );
    sprayed.products[0].entry_hours = None;
    let found = sprayed.limits();
    let entry = Blank::EntryHours {
        product: "first".to_owned(),
    };
    assert_eq!(found.entry, Limit::ClosedUntilTyped(vec![entry.clone()]));
    let Limit::ClosedUntilTyped(blanks) = &found.picking else {
        panic!("open");
    };
    assert!(blanks.contains(&entry));
    // However long ago.
    let hold = holds_on(&[sprayed], moment("2031-01-01T00:00:00-05:00"));
    assert!(hold.entry.is_closed() && hold.picking.is_closed());
}

#[test]
fn a_spray_without_its_end_or_its_products_keeps_the_block_closed() {
    let now = moment("2027-12-01T08:00:00-05:00");
    let mut open_ended = story_9();
    open_ended.end = None;
    let mut bare = story_9();
    bare.products.clear();
    for (sprayed, blank) in [(open_ended, Blank::End), (bare, Blank::Products)] {
        let hold = holds_on(&[sprayed], now);
        let closed = Until::ClosedUntilTyped {
            blanks: vec![blank],
        };
        assert_eq!((&hold.entry, &hold.picking), (&closed, &closed));
    }
}

#[test]
fn a_slip_never_opens_a_block() {
    let end = moment("2027-09-04T10:40:00-04:00");
    for (hours, days) in [
        (-1.0, 7.0),
        (f64::NAN, 7.0),
        (f64::INFINITY, 7.0),
        (9000.0, 7.0),
        (12.0, -0.5),
        (12.0, f64::NAN),
        (12.0, 400.0),
    ] {
        let odd = product("odd", Some(hours), Some(days));
        assert!(matches!(
            limits(end, std::slice::from_ref(&odd)),
            Err(HoldError::EntryHours { .. } | HoldError::HarvestDays { .. })
        ));
        let sprayed = spray(
            "2027-09-04T09:10:00-04:00",
            "2027-09-04T10:40:00-04:00",
            vec![odd],
        );
        let hold = holds_on(&[sprayed], moment("2029-01-01T00:00:00-05:00"));
        assert!(matches!(hold.picking, Until::ClosedUntilTyped { .. }));
    }
    assert_eq!(limits(end, &[]), Err(HoldError::NoProduct));
}

#[test]
fn several_sprays_join_to_the_latest() {
    let later = spray(
        "2027-09-10T08:00:00-04:00",
        "2027-09-10T09:00:00-04:00",
        vec![product("short", Some(4.0), Some(1.0))],
    );
    let sprays = [story_9(), later];
    let hold = holds_on(&sprays, moment("2027-09-10T09:30:00-04:00"));
    let expected = Hold {
        entry: Until::Closed {
            until: moment("2027-09-10T13:00:00-04:00"),
        },
        picking: Until::Closed {
            until: moment("2027-09-18T10:40:00-04:00"),
        },
    };
    assert_eq!(hold, expected);
    // The later spray had not begun on Sunday the 5th.
    let sunday = holds_on(&sprays, moment("2027-09-05T08:00:00-04:00"));
    assert_eq!(
        sunday.entry,
        Until::Closed {
            until: moment("2027-09-06T10:40:00-04:00")
        }
    );
    let open = holds_on(&sprays, moment("2027-09-18T10:40:00-04:00"));
    assert_eq!(
        open.picking,
        Until::Open {
            since: moment("2027-09-18T10:40:00-04:00")
        }
    );
    assert!(open.entry.is_open());
}

#[test]
fn no_written_spray_is_not_open() {
    let hold = holds_on(&[], moment("2027-09-05T08:00:00-04:00"));
    assert_eq!(hold.entry, Until::NothingWritten);
    assert!(!hold.entry.is_open() && !hold.entry.is_closed());
}

#[test]
fn a_spray_covers_its_blocks_and_the_rows_they_have_that_day() {
    let mut sprayed = story_9();
    assert!(sprayed.covers(block('C'), &[]));
    assert!(!sprayed.covers(block('E'), &[row("E1")]));
    sprayed.rows = vec!["E1".to_owned()];
    assert!(sprayed.covers(block('E'), &[row("E1"), row("E2")]));
    let text = serde_json::to_string(&sprayed).unwrap();
    assert_eq!(serde_json::from_str::<Spray>(&text).unwrap(), sprayed);
}

#[test]
fn story_10_counting_back() {
    let wish = New_York.with_ymd_and_hms(2027, 9, 14, 7, 30, 0).unwrap();
    let latest = latest_finish(wish, 66.0, 24.0).unwrap();
    assert_eq!(latest.finish, moment("2027-07-10T07:30:00-04:00"));
    assert_eq!(latest.finish.format("%a").to_string(), "Sat");
    assert_eq!(
        latest.in_practice,
        NaiveDate::from_ymd_opt(2027, 7, 9).unwrap()
    );

    let found = limits(
        moment("2027-07-14T11:00:00-04:00"),
        &[product("any", Some(24.0), Some(66.0))],
    )
    .unwrap();
    let picking = at(&found.picking);
    assert_eq!(picking, moment("2027-09-18T11:00:00-04:00"));
    let usual = NaiveTime::from_hms_opt(7, 30, 0).unwrap();
    let first = first_pick(&picking, New_York, usual).unwrap();
    assert_eq!(first, NaiveDate::from_ymd_opt(2027, 9, 19).unwrap());
    assert_eq!((first - wish.date_naive()).num_days(), 5);
    let early = moment("2027-09-18T07:30:00-04:00");
    let first = first_pick(&early, New_York, usual).unwrap();
    assert_eq!(first, NaiveDate::from_ymd_opt(2027, 9, 18).unwrap());
    assert!(latest_finish(wish, -1.0, 0.0).is_err());
    assert!(latest_finish(wish, 66.0, f64::NAN).is_err());
}

#[test]
fn the_clock_change_is_counted_in_elapsed_hours() {
    let found = limits(
        moment("2027-11-06T18:00:00-04:00"),
        &[product("any", Some(24.0), Some(1.0))],
    )
    .unwrap();
    let wall = at(&found.entry).with_timezone(&New_York);
    assert_eq!(wall.to_rfc3339(), "2027-11-07T17:00:00-05:00");
    let wish = New_York.with_ymd_and_hms(2027, 11, 7, 17, 0, 0).unwrap();
    let latest = latest_finish(wish, 1.0, 0.0).unwrap();
    assert_eq!(latest.finish.to_rfc3339(), "2027-11-06T18:00:00-04:00");
}

#[test]
fn fractions_are_never_rounded_down() {
    let end = moment("2027-07-14T11:00:00-04:00");
    let after = |hours: f64| {
        let found = limits(end, &[product("any", Some(hours), Some(0.0))]).unwrap();
        (at(&found.entry) - end).num_milliseconds()
    };
    assert_eq!(after(0.5), 1_800_000);
    assert_eq!(after(1.1), 3_960_000);
    assert_eq!(after(0.0001), 1_000);
    assert_eq!(after(0.0), 0);
}

fn interval(most: f64) -> impl Strategy<Value = Option<f64>> {
    prop_oneof![1 => Just(None), 6 => (0.0..most).prop_map(Some)]
}

fn products() -> impl Strategy<Value = Vec<Product>> {
    prop::collection::vec((interval(200.0), interval(100.0)), 1..5).prop_map(|tank| {
        let named = tank.into_iter().enumerate();
        named
            .map(|(at, (hours, days))| product(&at.to_string(), hours, days))
            .collect()
    })
}

/// A blank is the longest hold there is.
fn no_shorter(after: &Limit, before: &Limit) -> bool {
    match (after, before) {
        (Limit::ClosedUntilTyped(_), _) => true,
        (Limit::At(_), Limit::ClosedUntilTyped(_)) => false,
        (Limit::At(after), Limit::At(before)) => after >= before,
    }
}

fn same(one: &Limits, other: &Limits) -> bool {
    [(&one.entry, &other.entry), (&one.picking, &other.picking)]
        .iter()
        .all(|(one, other)| no_shorter(one, other) && no_shorter(other, one))
}

proptest! {
    #[test]
    fn a_further_product_never_shortens_a_hold(tank in products(), more in products()) {
        let end = moment("2027-07-14T11:00:00-04:00");
        let before = limits(end, &tank).unwrap();
        let after = limits(end, &[tank, more].concat()).unwrap();
        prop_assert!(no_shorter(&after.entry, &before.entry));
        prop_assert!(no_shorter(&after.picking, &before.picking));
    }

    #[test]
    fn the_order_of_the_tank_does_not_matter(tank in products()) {
        let end = moment("2027-07-14T11:00:00-04:00");
        let mut turned = tank.clone();
        turned.reverse();
        prop_assert!(same(&limits(end, &tank).unwrap(), &limits(end, &turned).unwrap()));
    }

    #[test]
    fn picking_never_opens_before_entry_nor_either_before_the_end(tank in products()) {
        let end = moment("2027-07-14T11:00:00-04:00");
        let found = limits(end, &tank).unwrap();
        prop_assert!(no_shorter(&found.picking, &found.entry));
        prop_assert!(no_shorter(&found.entry, &Limit::At(end)));
    }

    #[test]
    fn the_order_of_the_sprays_does_not_matter(one in products(), other in products(), hours in 0_i64..2000) {
        let first = spray("2027-07-14T09:00:00-04:00", "2027-07-14T11:00:00-04:00", one);
        let second = spray("2027-07-20T09:00:00-04:00", "2027-07-20T11:00:00-04:00", other);
        let now = moment("2027-07-14T09:00:00-04:00") + Duration::hours(hours);
        let hold = holds_on(&[first.clone(), second.clone()], now);
        prop_assert_eq!(&hold, &holds_on(&[second, first.clone()], now));
        let alone = holds_on(&[first], now);
        prop_assert!(!(alone.picking.is_closed() && hold.picking.is_open()));
    }

    #[test]
    fn counting_back_and_on_again_gives_the_wish(days in 0.0_f64..120.0, hours in 0.0_f64..96.0) {
        let wish = New_York.with_ymd_and_hms(2027, 11, 20, 7, 30, 0).unwrap();
        let finish = latest_finish(wish, days, hours).unwrap().finish;
        let found = limits(finish.fixed_offset(), &[product("any", Some(hours), Some(days))]).unwrap();
        prop_assert_eq!(at(&found.picking), wish);
    }
}
