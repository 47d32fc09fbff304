//! The first that holds of Past, Ready, Nearing, Hanging; flags beside it, never instead of it.
//! The rules are common practice, no source.

use chrono::{DateTime, FixedOffset, NaiveDate};
use endpost::science::harvest::{
    Because, BlockFacts, Decide, Flag, Missing, Readiness, State, outlooks, readiness,
};
use endpost::science::ripeness::day::{SampleDay, running_series, sample_days};
use endpost::science::ripeness::{
    AcidReading, Assumptions, Attribute, Bag, DayOfYear, Sample, Target, Window,
};
use endpost::science::sprays::{Hold, Product, Spray, Until, holds_on};
use endpost::science::weather::WeatherDay;
use uuid::Uuid;

use crate::ripeness::{bag, date, sample};

fn target(brix: Window, ta: Window) -> Target {
    Target {
        block: Uuid::from_u128(1),
        from: date(1, 1),
        brix,
        ph: Window::default(),
        ta,
        season_end: DayOfYear::SEASON_END,
    }
}

fn at_least(low: f64) -> Window {
    Window {
        low: Some(low),
        ..Window::default()
    }
}

fn at_most(high: f64) -> Window {
    Window {
        high: Some(high),
        ..Window::default()
    }
}

fn with_acid(number: u16, brix: f64, g_per_l: f64) -> Bag {
    let mut one = bag(number, &[brix]);
    one.ta = Some(AcidReading {
        g_per_l,
        end_point: None,
    });
    one
}

struct Farm {
    samples: Vec<Sample>,
    target: Option<Target>,
    weather: Vec<WeatherDay>,
    hold: Hold,
    today: NaiveDate,
}

impl Farm {
    fn new(samples: Vec<Sample>, target: Target, today: NaiveDate) -> Self {
        Self {
            samples,
            target: Some(target),
            weather: Vec::new(),
            hold: Hold {
                entry: Until::NothingWritten,
                picking: Until::NothingWritten,
            },
            today,
        }
    }

    fn judged(&self) -> Readiness {
        let assumptions = Assumptions::default();
        let samples: Vec<&Sample> = self.samples.iter().collect();
        let days: Vec<SampleDay> = sample_days(&samples, None, &assumptions);
        let end = date(10, 31);
        let found = outlooks(&days, self.target.as_ref(), self.today, end, &assumptions);
        readiness(BlockFacts {
            series: running_series(&days, self.today),
            outlooks: &found,
            weather: &self.weather,
            hold: self.hold.clone(),
            today: self.today,
            assumptions: &assumptions,
        })
    }
}

fn course() -> Vec<Sample> {
    vec![
        sample(date(8, 20), vec![with_acid(1, 18.7, 15.0)]),
        sample(date(8, 27), vec![with_acid(1, 20.1, 13.8)]),
        sample(date(9, 3), vec![with_acid(1, 21.8, 12.4)]),
    ]
}

fn with_last(brix: f64, ta: f64) -> Vec<Sample> {
    let mut samples = course();
    samples[2] = sample(date(9, 3), vec![with_acid(1, brix, ta)]);
    samples
}

#[test]
fn sugar_inside_but_acid_above_is_not_ready() {
    let farm = Farm::new(
        with_last(24.3, 12.4),
        target(at_least(24.0), at_most(11.5)),
        date(9, 3),
    );
    let judged = farm.judged();
    assert_ne!(judged.state, State::Ready);
    assert_eq!(judged.slowest, Some(Attribute::Ta));
    assert!(judged.because.contains(&Because::Inside(Attribute::Brix)));
}

#[test]
fn all_inside_and_fresh_is_ready_and_four_days_later_only_nearing() {
    let mut farm = Farm::new(
        with_last(24.3, 11.2),
        target(at_least(24.0), at_most(11.5)),
        date(9, 7),
    );
    assert_eq!(farm.judged().state, State::Ready);
    farm.today = date(9, 8);
    let judged = farm.judged();
    assert_eq!(judged.state, State::Nearing);
    assert!(judged.because.contains(&Because::InsideButOld {
        attribute: Attribute::Brix,
        days: 5
    }));
}

#[test]
fn a_value_never_measured_bars_ready_and_is_named() {
    let mut samples = course();
    samples[2] = sample(date(9, 3), vec![bag(1, &[24.3])]);
    for one in &mut samples[..2] {
        *one = sample(one.date, vec![bag(1, &[20.0])]);
    }
    let farm = Farm::new(samples, target(at_least(24.0), at_most(11.5)), date(9, 3));
    let judged = farm.judged();
    assert_ne!(judged.state, State::Ready);
    assert!(
        judged
            .missing
            .contains(&Missing::NotMeasured(Attribute::Ta))
    );
}

#[test]
fn far_off_is_hanging_and_an_early_date_within_five_days_is_nearing() {
    let hanging = Farm::new(
        course(),
        target(at_least(24.0), Window::default()),
        date(9, 3),
    );
    assert_eq!(hanging.judged().state, State::Hanging);
    let nearing = Farm::new(
        course(),
        target(at_least(22.4), Window::default()),
        date(9, 3),
    );
    let judged = nearing.judged();
    assert_eq!(judged.state, State::Nearing);
    assert!(matches!(
        judged.because[0],
        Because::EarlyDateNear { days, .. } if days <= 5.0
    ));
}

#[test]
fn beyond_the_far_edge_is_past_whatever_else() {
    let window = Window {
        low: Some(20.0),
        aim: None,
        high: Some(21.0),
    };
    let farm = Farm::new(course(), target(window, at_most(13.0)), date(9, 3));
    let judged = farm.judged();
    assert_eq!(judged.state, State::Past);
    assert_eq!(judged.because, [Because::BeyondFarEdge(Attribute::Brix)]);
}

#[test]
fn one_sample_has_no_date_and_none_is_said() {
    let farm = Farm::new(
        course()[..1].to_vec(),
        target(at_least(24.0), Window::default()),
        date(8, 21),
    );
    let judged = farm.judged();
    assert_eq!(judged.state, State::Hanging);
    assert!(
        judged
            .missing
            .contains(&Missing::SecondReading(Attribute::Brix))
    );
    let mut nothing = farm;
    nothing.samples.clear();
    assert_eq!(nothing.judged().state, State::NotSampled);
    nothing.target = None;
    assert!(nothing.judged().missing.contains(&Missing::Target));
}

#[test]
fn flags_stand_beside_the_word() {
    let mut samples = with_last(24.3, 11.2);
    samples[2].rot_percent = Some(6.0);
    let mut farm = Farm::new(samples, target(at_least(24.0), at_most(11.5)), date(9, 5));
    let end = DateTime::parse_from_rfc3339("2027-09-04T18:30:00-04:00").expect("a moment");
    let now: DateTime<FixedOffset> =
        DateTime::parse_from_rfc3339("2027-09-05T07:00:00-04:00").expect("a moment");
    let spray = Spray {
        blocks: vec![Uuid::from_u128(1)],
        rows: Vec::new(),
        date: date(9, 4),
        start: None,
        end: Some(end),
        volume_l: None,
        applicator: String::new(),
        wind: String::new(),
        temperature_c: None,
        label_read: true,
        products: vec![Product {
            name: "as typed".to_owned(),
            entry_hours: Some(12.0),
            harvest_days: Some(7.0),
            ..Product::default()
        }],
        note: String::new(),
    };
    farm.hold = holds_on(&[spray], now);
    let rain = |day, mm| WeatherDay {
        date: day,
        time: None,
        rain_mm: Some(mm),
        low_c: None,
        high_c: None,
        hard_frost: false,
        note: String::new(),
    };
    farm.weather = vec![rain(date(9, 2), 30.0), rain(date(9, 4), 6.0)];
    let judged = farm.judged();
    assert_eq!(judged.state, State::Ready);
    assert!(judged.held().is_some(), "a held block says so");
    assert!(
        !judged.date_in_doubt(),
        "6 mm are too little, 30 mm fell before"
    );
    assert!(judged.flags.contains(&Flag::Decide(Decide::Rot {
        percent: 6.0,
        limit: 5.0
    })));
    farm.weather.push(rain(date(9, 5), 4.0));
    assert!(farm.judged().date_in_doubt(), "10 mm since the sample");
    farm.weather[0].hard_frost = true;
    assert!(
        farm.judged()
            .flags
            .contains(&Flag::Decide(Decide::HardFrost { on: date(9, 2) }))
    );
    farm.today = date(9, 11);
    assert!(farm.judged().flags.contains(&Flag::Stale { days: 8 }));
}
