//! Sampling errors against the Maryland leaflet and Rankine, Cellier and Boehm 1962.

use super::table::Worst;
use endpost::science::normal::{chance_below, normal_quantile, student_quantile};
use endpost::science::ripeness::plan::{
    Plan, PlanError, PlanQuestion, bags_for, more_bags, plan, samples_per_vine,
};
use endpost::science::ripeness::plan_error::standard_error;
use endpost::science::ripeness::spread::{SpreadError, components};
use endpost::science::ripeness::standard_error::{SampleError, Stops, bags, shown_about, stops};
use endpost::science::ripeness::{Assumptions, Attribute};

/// University of Maryland Extension, Crop Development Sampling: two bags ±1.0, five ±0.5. One figure
/// for a bag cannot meet both; 0.15 is what lies between (0.90 and 0.57).
#[test]
fn maryland_precision() {
    let bag = Assumptions::default().brix.bag_sd;
    let mut worst = Worst::of("Maryland's precision from one bag's spread");
    for (count, printed) in [(2.0_f64, 1.0), (5.0, 0.5)] {
        let half_width = 1.96 * bag / count.sqrt();
        worst.hold(format!("{count} bags"), half_width, printed, 0.15);
    }
    worst.print(2);
}

/// Rankine, Cellier and Boehm 1962 (abstract): standard error 0.25 for both plans. The spreads are
/// rounded to 0.01, which moves it by 0.001.
#[test]
fn rankine_plans() {
    let start = Assumptions::default().brix;
    let (between, within) = (start.between_vines_sd, start.within_vine_sd);
    let mut worst = Worst::of("Rankine's plans");
    for (vines, per_vine) in [(25, 1), (21, 2)] {
        let found = standard_error(between, within, vines, per_vine).expect("an error");
        worst.hold(format!("{vines} vines"), found, 0.25, 0.0011);
    }
    worst.print(2);
}

/// Any printed table of Student's t; three decimals, so 0.0005.
#[test]
fn student_table() {
    let mut worst = Worst::of("Student's t");
    for (freedom, chance, printed) in [
        (1.0, 0.975, 12.706),
        (2.0, 0.975, 4.303),
        (4.0, 0.9, 1.533),
        (10.0, 0.975, 2.228),
        (30.0, 0.95, 1.697),
        (120.0, 0.995, 2.617),
    ] {
        let found = student_quantile(chance, freedom).expect("a quantile");
        worst.hold(format!("{freedom}, {chance}"), found, printed, 0.0005);
    }
    worst.print(6);
    assert_eq!(student_quantile(0.975, f64::NAN), None);
    assert_eq!(student_quantile(0.0, 3.0), None);
}

#[test]
fn normal_there_and_back() {
    for step in 1..200 {
        let chance = f64::from(step) / 200.0;
        let back = chance_below(normal_quantile(chance).expect("a quantile"));
        assert!((back - chance).abs() < 1e-14, "{chance}");
    }
    assert_eq!(normal_quantile(f64::NAN), None);
}

#[test]
fn bags_that_are_no_sample() {
    let start = Assumptions::default();
    let error = |count, sd| bags(Attribute::Brix, count, sd, &start);
    assert_eq!(error(0.0, None), Err(SampleError::NoBags));
    assert_eq!(error(f64::NAN, None), Err(SampleError::NoBags));
    assert_eq!(error(2.0, Some(-1.0)), Err(SampleError::UnusableSpread));
    // Half a bag has no spread of its own; two bags far apart are less sure than two close ones.
    let half = error(0.5, Some(3.0)).expect("an error");
    assert!((half - (0.65_f64.powi(2) / 0.5 + 0.04).sqrt()).abs() < 1e-12);
    let [apart, close] = [2.0, 0.1].map(|sd| error(2.0, Some(sd)).expect("an error"));
    assert!(apart > close);
}

/// The rule the keeper prints beside a value: 1.4, 1.0, 0.8, 0.7, 0.6 for one to five bags.
#[test]
fn shown_beside_the_value() {
    let shown: Vec<String> = (1..=5)
        .map(|count| format!("{:.1}", shown_about(f64::from(count)).expect("bags")))
        .collect();
    assert_eq!(shown, ["1.4", "1.0", "0.8", "0.7", "0.6"]);
    let needed = [1.4, 1.0, 0.8, 0.7, 0.6].map(|about| bags_for(about).expect("bags"));
    assert_eq!(needed, [1, 2, 3, 4, 5]);
    assert_eq!(bags_for(0.0), None);
    let one = more_bags(1.0, 1).expect("bags").to_string();
    assert_eq!(one, "one more bag would bring ±1.4 down to ±1.0");
    assert_eq!(more_bags(0.0, 1), None);
}

#[test]
fn stops_and_their_own_spread() {
    let start = Assumptions::default();
    let walk = Stops {
        stops: 4,
        samples_per_stop: 1,
        sd: Some(0.2),
        vines_in_block: None,
    };
    let few = stops(Attribute::Brix, &walk, &start).expect("an error");
    assert!(!few.own_spread);
    let variance = (1.03_f64.powi(2) + 0.71_f64.powi(2)) / 4.0;
    assert!((few.standard_error - (variance + 0.04).sqrt()).abs() < 1e-12);
    // With known spreads the half-width is the normal one: 1.96 in any printed table.
    let half_width = few.half_width.expect("a width");
    assert!((half_width - 1.96 * variance.sqrt()).abs() < 1e-4);
    let two = Stops { stops: 2, ..walk };
    let two = stops(Attribute::Brix, &two, &start).expect("an error");
    assert!((two.half_width.expect("a width") - 1.734).abs() < 1e-3);

    let walk = Stops {
        stops: 20,
        sd: Some(1.25),
        ..walk
    };
    let many = stops(Attribute::Brix, &walk, &start).expect("an error");
    // t of 19 degrees of freedom is 2.093 in any printed table.
    let half_width = 2.093 * 1.25 / 20.0_f64.sqrt();
    assert!(many.own_spread);
    assert!((many.half_width.expect("a width") - half_width).abs() < 1e-3);

    let all = Stops {
        vines_in_block: Some(20),
        ..walk
    };
    let all = stops(Attribute::Brix, &all, &start).expect("an error");
    assert_eq!(all.standard_error, 0.2);
    let too_many = Stops {
        vines_in_block: Some(19),
        ..walk
    };
    assert!(stops(Attribute::Brix, &too_many, &start).is_err());
    let one = Stops { stops: 1, ..walk };
    let one = stops(Attribute::Brix, &one, &start).expect("one");
    let half_width = 1.96 * (1.03_f64.powi(2) + 0.71_f64.powi(2)).sqrt();
    assert!((one.half_width.expect("a width") - half_width).abs() < 1e-4);
}

fn wanted() -> PlanQuestion {
    PlanQuestion {
        sd_between: 1.03,
        sd_within: 0.71,
        half_width: 0.5,
        confidence: 0.9,
        vines_in_block: 352,
        minutes_per_vine: 1.5,
        minutes_per_sample: 0.25,
        max_per_vine: 6,
    }
}

/// The plan is the cheapest of all walks, tried one by one.
#[test]
fn no_cheaper_walk() {
    let question = wanted();
    let Ok(Plan::Enough(best)) = plan(&question) else {
        panic!("there is a plan");
    };
    assert!(best.half_width <= 0.5);
    let (between, within) = (question.sd_between, question.sd_within);
    for per_vine in 1..=6_u32 {
        for vines in 2..=352_u32 {
            let cost = f64::from(vines) * (1.5 + 0.25 * f64::from(per_vine));
            if cost >= best.cost_minutes {
                break;
            }
            let large = standard_error(between, within, vines, per_vine).expect("an error");
            let variance = large.powi(2) - between.powi(2) / 352.0;
            let student = student_quantile(0.95, f64::from(vines - 1)).expect("a quantile");
            assert!(student * variance.sqrt() > 0.5, "{vines} and {per_vine}");
        }
    }
}

#[test]
fn plans_that_cannot_be() {
    let hopeless = PlanQuestion {
        half_width: 1e-6,
        ..wanted()
    };
    let Ok(Plan::Best(best)) = plan(&hopeless) else {
        panic!("there is none");
    };
    assert_eq!((best.vines, best.per_vine), (352, 6));
    let error = |change: fn(&mut PlanQuestion)| {
        let mut question = wanted();
        change(&mut question);
        plan(&question).err()
    };
    assert_eq!(
        error(|plan| plan.confidence = 1.0),
        Some(PlanError::Confidence)
    );
    assert_eq!(
        error(|plan| plan.vines_in_block = 1),
        Some(PlanError::FewVines)
    );
    assert_eq!(
        error(|plan| plan.max_per_vine = 0),
        Some(PlanError::MaxPerVine)
    );
    let same = PlanQuestion {
        sd_between: 0.0,
        ..wanted()
    };
    assert_eq!(samples_per_vine(&same), None);
}

#[test]
fn pilots_without_a_spread() {
    assert_eq!(components(&[vec![20.0, 21.0]]), Err(SpreadError::FewVines));
    assert_eq!(
        components(&[vec![20.0], vec![21.0]]),
        Err(SpreadError::NoRepeats)
    );
    assert_eq!(
        components(&[vec![20.0, 21.0], vec![]]),
        Err(SpreadError::EmptyVine(1))
    );
    let pilot = [vec![20.0, f64::NAN], vec![21.0]];
    assert_eq!(components(&pilot), Err(SpreadError::Unusable(0)));
}
