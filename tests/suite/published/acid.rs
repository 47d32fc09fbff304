//! Titratable acidity against worked examples of laboratory sheets.

use super::table::{Table, Worst};
use endpost::science::ripeness::acid::{
    EndPoint, Titration, TitrationError, g_per_l_from_percent, sulfuric_from_tartaric,
    tartaric_from_sulfuric, titrate,
};

#[test]
fn check_vectors() {
    let table = Table::read(include_str!("../../published/check_vectors_acidity.csv"));
    let mut worst = Worst::of("titratable acidity");
    for row in &table.rows {
        let number = |column| table.number(row, column).expect("a number");
        let done = Titration {
            sample_ml: number("sample_ml"),
            naoh_ml: number("naoh_ml"),
            naoh_n: number("naoh_n"),
            end_point: Some(EndPoint::Ph7),
        };
        let found = titrate(&done).expect("a result");
        let at = || format!("{done:?}");
        let tolerance = table.tolerance();
        worst.hold(at(), found.meq_per_l, number("meq_l"), 10.0 * tolerance);
        worst.hold(
            at(),
            found.tartaric_g_per_l,
            number("g_l_tartaric"),
            tolerance,
        );
        worst.hold(
            at(),
            found.sulfuric_g_per_l,
            number("g_l_sulfuric"),
            tolerance,
        );
        assert_eq!(found.end_point, Some(EndPoint::Ph7));
        let sulfuric = sulfuric_from_tartaric(found.tartaric_g_per_l);
        assert!((sulfuric - found.sulfuric_g_per_l).abs() < 1e-12);
    }
    worst.print(24);
}

#[test]
fn units() {
    // 0.60 % is 6.0 g/L: the sheet's own example. 1.53 is the ratio growers remember.
    assert!((g_per_l_from_percent(0.60) - 6.0).abs() < 1e-12);
    assert!((tartaric_from_sulfuric(1.0) - 1.53).abs() < 0.005);
}

#[test]
fn no_titration_no_result() {
    let done = Titration {
        sample_ml: 10.0,
        naoh_ml: 8.0,
        naoh_n: 0.1,
        end_point: None,
    };
    let with = |change: fn(&mut Titration)| {
        let mut changed = done;
        change(&mut changed);
        titrate(&changed).map(|found| found.meq_per_l)
    };
    assert_eq!(
        with(|done| done.sample_ml = 0.0),
        Err(TitrationError::Sample)
    );
    assert_eq!(
        with(|done| done.naoh_n = -0.1),
        Err(TitrationError::Normality)
    );
    assert_eq!(
        with(|done| done.naoh_ml = f64::NAN),
        Err(TitrationError::Volume)
    );
    assert_eq!(
        with(|done| done.sample_ml = 1e-308),
        Err(TitrationError::TooLarge)
    );
    assert_eq!(with(|done| done.naoh_ml = 0.0), Ok(0.0));
}
