//! What must hold for any readings: chances stay chances, time only adds, a lower target is never
//! later, the same question gives the same bits.

use chrono::{Days, NaiveDate};
use endpost::science::normal::{normal_quantile, student_quantile};
use endpost::science::ripeness::juice::correction;
use endpost::science::ripeness::seasons::{prior, shape_weights};
use endpost::science::ripeness::{
    Assumptions, Attribute, Forecast, ForecastError, Plateau, Question, Reading, Window, forecast,
};
use proptest::prelude::*;

fn first_day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 8, 10).expect("a date")
}

fn after(days: u64) -> NaiveDate {
    first_day() + Days::new(days)
}

/// A season of any attribute, with readings in any order, and a question about it.
fn season() -> impl Strategy<Value = (Vec<Reading>, Question)> {
    let attribute = prop_oneof![
        Just((Attribute::Brix, 5.0..30.0, 0.05..3.0)),
        Just((Attribute::Ph, 2.6..4.2, 0.005..0.3)),
        Just((Attribute::Ta, 3.0..35.0, 0.05..3.0)),
    ];
    attribute.prop_flat_map(|(attribute, values, errors)| {
        let reading = (0_u64..60, values.clone(), errors);
        let readings = prop::collection::vec(reading, 2..15);
        let width = (values.end - values.start) / 10.0;
        let prior = prop::option::of((values.clone(), 0.01..4.0));
        (readings, values, 0_u64..20, 1_u64..70, prior).prop_map(
            move |(readings, low, wait, ahead, prior)| {
                let readings: Vec<Reading> = readings
                    .into_iter()
                    .map(|(day, value, standard_error)| Reading {
                        date: after(day),
                        value,
                        standard_error,
                    })
                    .collect();
                let last = readings.iter().map(|one| one.date).max();
                let today = last.expect("a reading") + Days::new(wait);
                let question = Question {
                    attribute,
                    window: Window {
                        low: Some(low),
                        aim: None,
                        high: Some(low + width),
                    },
                    today,
                    season_end: today + Days::new(ahead),
                    prior: prior.map(|(mean, sd)| Plateau { mean, sd }),
                    shape_weights: None,
                    assumptions: Assumptions::default(),
                };
                (readings, question)
            },
        )
    })
}

fn hold_chances(chances: &[f64]) {
    for chance in chances {
        assert!((0.0..=1.0).contains(chance), "{chance}");
    }
}

fn hold_forecast(found: &Forecast, days: usize) {
    let reaching = found.reaching.as_ref().expect("a target");
    let leaving = found.leaving.as_ref().expect("a far edge");
    for chances in [&reaching.by_day, &found.in_window, &leaving.beyond] {
        assert_eq!(chances.len(), days);
        hold_chances(chances);
    }
    assert!(reaching.by_day.is_sorted());
    hold_chances(&[reaching.not_reached]);
    for (reached, inside) in reaching.by_day.iter().zip(&found.in_window) {
        assert!(inside <= reached);
    }
    let chances: Vec<f64> = found.p_outlier.iter().flatten().copied().collect();
    hold_chances(&chances);
    assert!(chances.iter().sum::<f64>() <= 1.0 + 1e-9);
    assert!((found.shape_weights.iter().sum::<f64>() - 1.0).abs() < 1e-9);
    for values in [&found.mean, &found.sd, &found.band_low, &found.band_high] {
        assert_eq!(values.len(), days);
        assert!(values.iter().all(|value| value.is_finite()));
    }
    for (low, high) in found.band_low.iter().zip(&found.band_high) {
        assert!(low < high, "{low} and {high}");
    }
    for days in [reaching.quantiles, reaching.quantiles_if_reached] {
        let known: Vec<f64> = days.into_iter().flatten().collect();
        assert!(known.is_sorted() && known.iter().all(|&day| day >= 0.0));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(150) })]

    #[test]
    fn chances_stay_chances((readings, question) in season()) {
        let found = forecast(&readings, &question).expect("a forecast");
        let days = (question.season_end - question.today).num_days() + 1;
        hold_forecast(&found, days as usize);
        prop_assert_eq!(found.p_outlier.len(), readings.len());
    }

    #[test]
    fn same_question_same_bits((readings, question) in season()) {
        let once = format!("{:?}", forecast(&readings, &question));
        prop_assert_eq!(once, format!("{:?}", forecast(&readings, &question)));
    }

    /// With the plateau given, the target enters only where the curves are cut. The quick sum may
    /// leave out 1e-7 of weight, the exact one none.
    #[test]
    fn a_nearer_target_is_never_later((readings, mut question) in season(), nearer in 0.0..3.0) {
        let mean = question.window.low.expect("an edge");
        question.prior.get_or_insert(Plateau { mean, sd: 2.0 });
        let sign = question.attribute.sign();
        let ask = |edge: f64| {
            let mut asked = question.clone();
            asked.window = match question.attribute {
                Attribute::Ta => Window { high: Some(edge), ..Window::default() },
                _ => Window { low: Some(edge), ..Window::default() },
            };
            let found = forecast(&readings, &asked).expect("a forecast");
            found.reaching.expect("a target").by_day
        };
        let far = ask(mean);
        let near = ask(mean - sign * nearer);
        for (near, far) in near.iter().zip(&far) {
            prop_assert!(near >= &(far - 3e-7), "{} and {}", near, far);
        }
    }

    /// A far edge set at the band's upper end is passed with chance 0.1 on that day.
    #[test]
    fn the_band_holds_eight_in_ten((readings, mut question) in season(), day in 0_usize..70) {
        question.prior.get_or_insert(Plateau { mean: 20.0, sd: 2.0 });
        let found = forecast(&readings, &question).expect("a forecast");
        let day = day % found.mean.len();
        for (edge, above) in [(found.band_high[day], 0.1), (found.band_low[day], 0.9)] {
            let mut asked = question.clone();
            let (mut wanted, far) = (above, Some(edge));
            asked.window = match question.attribute {
                Attribute::Ta => {
                    wanted = 1.0 - above;
                    Window { low: far, ..Window::default() }
                }
                _ => Window { high: far, ..Window::default() },
            };
            let beyond = forecast(&readings, &asked).expect("a forecast");
            let chance = beyond.leaving.expect("a far edge").beyond[day];
            prop_assert!((chance - wanted).abs() < 1e-3, "{} and {}", chance, wanted);
        }
    }

    /// Whatever is typed, there is an answer in numbers or a sentence, and never a NaN.
    #[test]
    fn never_a_nan(
        values in prop::collection::vec((0_u64..400, any::<f64>(), any::<f64>()), 0..14),
        low in prop::option::of(any::<f64>()),
        high in prop::option::of(any::<f64>()),
        prior in prop::option::of((any::<f64>(), any::<f64>())),
        ahead in 0_u64..450,
    ) {
        let readings: Vec<Reading> = values
            .into_iter()
            .map(|(day, value, standard_error)| Reading { date: after(day), value, standard_error })
            .collect();
        let today = after(400);
        let question = Question {
            attribute: Attribute::Brix,
            window: Window { low, aim: None, high },
            today,
            season_end: today + Days::new(ahead),
            prior: prior.map(|(mean, sd)| Plateau { mean, sd }),
            shape_weights: None,
            assumptions: Assumptions::default(),
        };
        match forecast(&readings, &question) {
            Ok(found) => {
                let printed = format!("{found:?}");
                prop_assert!(!printed.contains("NaN"));
            }
            Err(error) => prop_assert!(error.to_string().ends_with('.')),
        }
    }

    /// Water and juice alike: nothing to correct at 20 °C, and more with every degree.
    #[test]
    fn correction_rises_with_temperature(brix in 0.0..40.0_f64, from in 5.0..39.9_f64, step in 0.1..30.0_f64) {
        prop_assert_eq!(correction(brix, 20.0), 0.0);
        let to = (from + step).min(40.0);
        prop_assert!(correction(brix, to) > correction(brix, from));
    }

    /// A past season pulls the start toward its own plateau, and never makes it less sure.
    #[test]
    fn past_seasons_pull(target in 18.0..26.0, mean in 15.0..30.0, sd in 0.0..3.0) {
        let assumptions = Assumptions::default();
        for attribute in Attribute::ALL {
            let with = |past: &[Plateau]| prior(attribute, target, past, &assumptions);
            let plain = with(&[]).expect("a start");
            let after = with(&[Plateau { mean, sd }]).expect("a start");
            prop_assert!((after.mean - mean).abs() <= (plain.mean - mean).abs());
            prop_assert!(after.sd < plain.sd);
        }
    }
}

/// Twelve readings are the most that count, and the curves still start at the very first.
#[test]
fn old_readings_make_room() {
    let mut readings: Vec<Reading> = (0..14)
        .map(|at| Reading {
            date: after(4 * at),
            value: 12.0 + 0.6 * at as f64,
            standard_error: 0.5,
        })
        .collect();
    let question = Question {
        attribute: Attribute::Brix,
        window: Window {
            low: Some(22.0),
            ..Window::default()
        },
        today: after(56),
        season_end: after(90),
        prior: None,
        shape_weights: None,
        assumptions: Assumptions::default(),
    };
    let all = forecast(&readings, &question).expect("a forecast");
    let counted: Vec<bool> = all.p_outlier.iter().map(Option::is_some).collect();
    assert_eq!(counted[..3], [false, false, true]);
    assert_eq!(counted.iter().filter(|&&counted| counted).count(), 12);
    // The first reading's value no longer counts, its day does.
    readings[0].value = 25.0;
    let same = forecast(&readings, &question).expect("a forecast");
    assert_eq!(format!("{all:?}"), format!("{same:?}"));
    readings[0].date = after(2);
    let other = forecast(&readings, &question).expect("a forecast");
    assert_ne!(format!("{all:?}"), format!("{other:?}"));
}

#[test]
fn shapes_of_past_seasons_count_half() {
    let plain = shape_weights(&[]);
    assert!((plain.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    let mut one = [0.0; 12];
    one[3] = 1.0;
    let mixed = shape_weights(&[one]);
    assert!((mixed[3] - (0.5 + 0.5 * plain[3])).abs() < 1e-12);
    assert!((mixed[0] - 0.5 * plain[0]).abs() < 1e-12);
}

/// Edges of the question, each with its own sentence.
#[test]
fn questions_without_a_forecast() {
    let readings = [(0, 14.0), (8, 16.0), (15, 18.0)].map(|(day, value)| Reading {
        date: after(day),
        value,
        standard_error: 0.5,
    });
    let question = Question {
        attribute: Attribute::Brix,
        window: Window {
            low: Some(22.0),
            aim: None,
            high: Some(24.0),
        },
        today: after(15),
        season_end: after(60),
        prior: None,
        shape_weights: None,
        assumptions: Assumptions::default(),
    };
    let asked = |readings: &[Reading], change: &dyn Fn(&mut Question)| {
        let mut asked = question.clone();
        change(&mut asked);
        forecast(readings, &asked)
    };
    let same = |_: &mut Question| {};
    assert_eq!(asked(&[], &same), Err(ForecastError::NoReading));
    let one = asked(&readings[..1], &same).expect_err("one reading");
    assert!(one.to_string().contains("needs a second reading"));
    let over = asked(&readings, &|asked| {
        asked.season_end = asked.today - Days::new(1)
    });
    assert!(matches!(over, Err(ForecastError::SeasonOver { .. })));
    // The season's last day still counts.
    let last = asked(&readings, &|asked| asked.season_end = asked.today).expect("a day");
    assert_eq!((last.mean.len(), last.in_window.len()), (1, 1));
    let late = asked(&readings, &|asked| asked.today = after(14));
    assert_eq!(late, Err(ForecastError::ReadingAfterToday(after(15))));
    let reversed = asked(&readings, &|asked| asked.window.high = Some(21.0));
    assert_eq!(reversed, Err(ForecastError::WindowReversed));
    for wrong in [0.0, -0.5, f64::NAN, f64::INFINITY] {
        let mut readings = readings;
        readings[1].standard_error = wrong;
        let error = asked(&readings, &same);
        assert_eq!(error, Err(ForecastError::UnusableStandardError(after(8))));
    }
    let always_bad = asked(&readings, &|asked| asked.assumptions.bad_share = 0.1);
    assert!(matches!(always_bad, Err(ForecastError::Assumption(_))));

    // Without the edge met first there is a course but no chance of reaching anything.
    let open = asked(&readings, &|asked| asked.window.low = None).expect("a course");
    assert!(open.reaching.is_none() && open.leaving.is_some());
    assert_eq!(open.mean.len(), 46);
    // Then being inside is not being beyond the far one.
    let beyond = &open.leaving.as_ref().expect("a far edge").beyond;
    for (inside, beyond) in open.in_window.iter().zip(beyond) {
        assert!((inside + beyond - 1.0).abs() < 1e-12);
    }
    // Without the far edge, being inside is having passed the first.
    let half = asked(&readings, &|asked| asked.window.high = None).expect("a forecast");
    assert!(half.leaving.is_none());
    assert!(half.in_window.last() > Some(&0.5));
    // Two readings on one day are two readings.
    let mut twins = readings;
    twins[1].date = twins[0].date;
    assert_eq!(
        asked(&twins[..2], &same).expect("a forecast").sample_days,
        1
    );
}

/// Where the series takes over, and far beyond it, there is no step in Student's t.
#[test]
fn student_goes_over_into_the_normal() {
    for p in [0.5, 0.6, 0.9, 0.975, 0.9999, 1e-6] {
        let at = |freedom| student_quantile(p, freedom).expect("a quantile");
        let (before, behind) = (at(1e6), at(1e6 + 1.0));
        assert!((before - behind).abs() < 1e-9, "{p}: {before} {behind}");
        let normal = normal_quantile(p).expect("a quantile");
        for freedom in [1e9, 1e12, 1e300, f64::MAX] {
            let far = at(freedom);
            assert!((far - normal).abs() < 1e-6, "{p}: {far} {normal}");
        }
    }
}
