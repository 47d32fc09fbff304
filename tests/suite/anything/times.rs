//! Whatever is typed where a form reads a day, a time of day, a count or a share: a value within
//! its bounds, or a problem at its field; and the value as it prints is read as the same.
//! Not here: the forms (`forms`).

use chrono::{Datelike, NaiveDate};
use endpost::science::number::Expect;
use endpost::store::ledger::Fields;
use endpost::web::form::Reader;
use proptest::prelude::*;

use super::cases;
use super::draw::text;

fn one(typed: &str) -> Fields {
    [("field", typed)].into_iter().collect()
}

/// A day, or something like one.
fn day() -> impl Strategy<Value = String> {
    prop_oneof![
        text(),
        "[+-]?[0-9]{1,6}[-/. ][0-9]{1,3}[-/. ][0-9]{1,3}",
        "(19|20|29)[0-9]{2}-[01]?[0-9]-[0-3]?[0-9]",
    ]
}

fn time() -> impl Strategy<Value = String> {
    prop_oneof![
        text(),
        "[0-9]{1,3}[:.][0-9]{1,3}([:.][0-9]{1,3})?",
        "[0-2][0-9]:[0-5][0-9](:60)?",
    ]
}

/// What is read of a field and, where something was typed and nothing read, why.
fn read<T>(
    typed: &str,
    from_paper: bool,
    how: impl Fn(&mut Reader) -> Option<T>,
) -> Result<Option<T>, TestCaseError> {
    let fields = one(typed);
    let mut reader = Reader::new(&fields);
    reader.from_paper = from_paper;
    let found = how(&mut reader);
    let was_typed = !typed.trim().is_empty();
    let unreadable = from_paper && typed.trim().chars().all(|sign| sign == '?');
    prop_assert!(
        found.is_some() || !was_typed || unreadable || !reader.problems.is_empty(),
        "{typed:?} went by without a word"
    );
    for problem in &reader.problems {
        prop_assert_eq!(&problem.field, "field");
        prop_assert!(!problem.text.is_empty());
    }
    Ok(found)
}

proptest! {
    #![proptest_config(cases(1000))]

    #[test]
    fn a_day_is_within_a_thousand_years(typed in day()) {
        if let Some(date) = read(&typed, false, |reader| reader.date("field"))? {
            prop_assert!((1900..=2999).contains(&date.year()));
            prop_assert_eq!(read(&date.to_string(), false, |reader| reader.date("field"))?, Some(date));
        }
    }

    #[test]
    fn a_day_gone_by_is_asked_about_in_words(typed in day(), today in 0_i64..400_000) {
        let today = NaiveDate::from_ymd_opt(1900, 1, 1).expect("a day") + chrono::TimeDelta::days(today);
        read(&typed, false, |reader| reader.past_date("field", "Type the day.", today))?;
    }

    #[test]
    fn a_time_of_day_is_read_as_it_prints(typed in time()) {
        if let Some(time) = read(&typed, false, |reader| reader.time("field"))? {
            prop_assert_eq!(read(&time.to_string(), false, |reader| reader.time("field"))?, Some(time));
        }
    }

    #[test]
    fn a_count_is_within_its_bounds(typed in text(), least in 0_u16..10, more in 0_u16..500, paper in any::<bool>()) {
        let most = least + more;
        let counted = read(&typed, paper, |reader| reader.count("field", least, most))?;
        let whole = read(&typed, paper, |reader| reader.whole("field", least, most))?;
        for number in [counted, whole].into_iter().flatten() {
            prop_assert!((least..=most).contains(&number), "{typed:?} is {number}");
        }
    }

    #[test]
    fn a_share_is_from_0_to_100(typed in text(), paper in any::<bool>()) {
        if let Some(share) = read(&typed, paper, |reader| reader.percent("field"))? {
            prop_assert!((0.0..=100.0).contains(&share));
        }
    }

    #[test]
    fn a_plain_number_is_finite(typed in text(), paper in any::<bool>()) {
        let expect = Expect::up_to(1e6);
        if let Some(number) = read(&typed, paper, |reader| reader.number("field", expect))? {
            prop_assert!(number.is_finite() && number >= 0.0);
        }
    }
}
