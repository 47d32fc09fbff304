//! The worked stories of Tamarack Bend: what the forecast must say there, number for number.
//! Worked by a separate program; days to 0.05, chances to half a point of a hundred, as printed.

use chrono::NaiveDate;
use endpost::science::ripeness::forecast::Headline;
use endpost::science::ripeness::standard_error::{bags, shown_about};
use endpost::science::ripeness::{
    Assumptions, Attribute, Forecast, Question, Reading, Window, forecast,
};

fn day(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, month, day).expect("a date")
}

/// A day's mean of so many bags.
fn brix(date: NaiveDate, value: f64, count: f64, sd: Option<f64>) -> Reading {
    let assumptions = Assumptions::default();
    Reading {
        date,
        value,
        standard_error: bags(Attribute::Brix, count, sd, &assumptions).expect("an error"),
    }
}

fn ask(readings: &[Reading], low: f64, today: NaiveDate) -> Forecast {
    let question = Question {
        attribute: Attribute::Brix,
        window: Window {
            low: Some(low),
            ..Window::default()
        },
        today,
        season_end: day(10, 31),
        prior: None,
        shape_weights: None,
        assumptions: Assumptions::default(),
    };
    forecast(readings, &question).expect("a forecast")
}

fn says(found: &Forecast, dates: [NaiveDate; 3], per_cent_not_reached: f64) {
    let reaching = found.reaching.as_ref().expect("a target");
    println!(
        "{:?} days, {:.1} % not reached",
        reaching.quantiles_if_reached,
        100.0 * reaching.not_reached
    );
    let Headline::Dates {
        about,
        from,
        to,
        not_reached,
    } = found.headline()
    else {
        panic!("{:?}", found.headline());
    };
    assert_eq!([about, from, to], dates);
    assert!((100.0 * not_reached - per_cent_not_reached).abs() <= 0.5);
}

#[test]
fn two_bags_three_looks_each() {
    let two_bags_sd = 0.6 / 2.0_f64.sqrt();
    let readings = [
        brix(day(8, 20), 18.7, 1.0, None),
        brix(day(8, 27), 20.1, 1.0, None),
        brix(day(8, 31), 21.0, 1.0, None),
        brix(day(9, 3), 21.8, 2.0, Some(two_bags_sd)),
    ];
    let found = ask(&readings, 24.0, day(9, 3));
    says(&found, [day(9, 16), day(9, 10), day(9, 28)], 14.0);
    let days = found.reaching.expect("a target").quantiles_if_reached;
    for (found, told) in days.into_iter().zip([6.7, 12.8, 24.7]) {
        let off = (found.expect("a day") - told).abs();
        assert!(off <= 0.05, "{found:?} and not {told}");
    }
    assert_eq!(format!("{:.1}", shown_about(2.0).expect("bags")), "1.0");
}

#[test]
fn the_card_in_the_jacket() {
    let mut readings = vec![
        brix(day(9, 3), 17.6, 1.0, None),
        brix(day(9, 17), 20.2, 1.0, None),
    ];
    let first = ask(&readings, 22.0, day(9, 17));
    says(&first, [day(9, 29), day(9, 22), day(10, 14)], 17.0);
    assert!(first.is_rough());

    readings.push(brix(day(9, 10), 19.5, 1.0, None));
    readings.push(brix(day(9, 13), 20.0, 1.0, None));
    let second = ask(&readings, 22.0, day(9, 19));
    says(&second, [day(9, 28), day(9, 21), day(10, 11)], 15.0);
    assert!(!second.is_rough());
}

/// Three weeks off, pH and acid run about six days early: only weeks are printed.
#[test]
fn acid_far_off_is_told_in_weeks() {
    let readings = [(20, 22.0), (27, 19.5)].map(|(date, value)| Reading {
        date: day(8, date),
        value,
        standard_error: 0.6,
    });
    let mut question = Question {
        attribute: Attribute::Ta,
        window: Window {
            low: None,
            aim: None,
            high: Some(11.5),
        },
        today: day(8, 27),
        season_end: day(10, 31),
        prior: None,
        shape_weights: None,
        assumptions: Assumptions::default(),
    };
    let headline = |question: &Question| {
        let found = forecast(&readings, question).expect("a forecast");
        found.headline()
    };
    assert!(matches!(
        headline(&question),
        Headline::Weeks { about: 3..=6, .. }
    ));
    question.season_end = day(8, 31);
    assert!(matches!(headline(&question), Headline::Unlikely { .. }));
    question.window = Window {
        low: Some(21.0),
        aim: None,
        high: Some(25.0),
    };
    assert_eq!(headline(&question), Headline::Past);
    question.window = Window::default();
    assert_eq!(headline(&question), Headline::NoTarget);
}
