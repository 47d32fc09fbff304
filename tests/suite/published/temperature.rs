//! The refractometer's temperature correction against ICUMSA SPS-3 and OIV-MA-AS2-02, Table I.

use super::table::{Table, Worst};
use endpost::science::ripeness::juice::{RawReading, RefractometerError, correct, correction};

/// Holds every published cell from 10 °C on and up to 40 °Brix.
fn hold_cells(name: &'static str, text: &str, cells: usize) {
    let table = Table::read(text);
    let mut worst = Worst::of(name);
    for row in &table.rows {
        let temperature = table.number(row, "temp_c").expect("a temperature");
        if temperature < 10.0 {
            continue;
        }
        for column in &table.columns[1..] {
            let brix: f64 = column[1..].parse().expect("a column is named by its Brix");
            let Some(printed) = table.number(row, column).filter(|_| brix <= 40.0) else {
                continue;
            };
            let at = format!("{temperature} °C, {brix} °Brix");
            let found = correction(brix, temperature);
            worst.hold(at, found, printed, table.tolerance());
        }
    }
    worst.print(cells);
}

#[test]
fn icumsa_sps3() {
    let text = include_str!("../../published/icumsa_sps3_temp_correction.csv");
    hold_cells("ICUMSA SPS-3", text, 99);
}

#[test]
fn oiv_table_1() {
    let text = include_str!("../../published/oiv_table1_temp_correction.csv");
    hold_cells("OIV Table I", text, 56);
}

#[test]
fn check_vectors() {
    let table = Table::read(include_str!(
        "../../published/check_vectors_temperature.csv"
    ));
    let mut worst = Worst::of("temperature, check vectors");
    let mut worst_printed = Worst::of("temperature, check vectors with a published cell");
    let mut printed_cells = 0;
    for row in &table.rows {
        let number = |column| table.number(row, column);
        let temperature = number("temp_c").expect("a temperature");
        let reading = number("reading").expect("a reading");
        let at = || format!("{temperature} °C, {reading} °Brix");
        let raw = RawReading {
            reading,
            temperature_c: Some(temperature),
            compensated: false,
            zero_offset: 0.0,
        };
        let found = correct(&raw).expect("a correction");
        let formula = number("corr_formula").expect("a correction");
        let corrected = number("corrected_brix").expect("a corrected reading");
        let tolerance = table.tolerance();
        worst.hold(at(), found.correction, formula, tolerance / 10.0);
        worst.hold(at(), found.corrected_brix, corrected, tolerance);
        if let Some(published) = number("corr_published") {
            // The tolerance of the published tables themselves.
            worst_printed.hold(at(), found.correction, published, 0.012);
            printed_cells += 1;
        }
    }
    worst.print(2 * table.rows.len());
    worst_printed.print(printed_cells);
    assert_eq!(table.rows.len(), 117);
}

#[test]
fn offset_first_and_never_twice() {
    let raw = RawReading {
        reading: 20.3,
        temperature_c: Some(28.0),
        compensated: false,
        zero_offset: 0.3,
    };
    let once = correct(&raw).expect("a correction");
    assert_eq!(once.correction, correction(20.3 - 0.3, 28.0));
    assert!(!once.outside_10_to_30);
    let compensating = RawReading {
        compensated: true,
        temperature_c: None,
        ..raw
    };
    let kept = correct(&compensating).expect("no correction");
    assert_eq!((kept.correction, kept.corrected_brix), (0.0, 20.3 - 0.3));
}

#[test]
fn flags_and_refusals() {
    let at = |temperature_c| {
        correct(&RawReading {
            reading: 20.0,
            temperature_c,
            compensated: false,
            zero_offset: 0.0,
        })
    };
    for (temperature, outside) in [(5.0, true), (9.9, true), (10.0, false), (30.0, false)] {
        let found = at(Some(temperature)).expect("a correction");
        assert_eq!(found.outside_10_to_30, outside, "{temperature}");
    }
    assert!(at(Some(40.0)).expect("a correction").outside_10_to_30);
    for refused in [4.9, 40.1, f64::NAN] {
        let error = at(Some(refused)).expect_err("too far");
        assert!(matches!(error, RefractometerError::Temperature(_)));
    }
    assert_eq!(at(None), Err(RefractometerError::TemperatureMissing));
}

/// Table I below 10 °C, to which nothing was fitted. The cell 6 °C, 10 % is left out: −0.80 lies
/// between −0.82 and −0.74 and so too near its neighbour above. The tolerance is that of a wider,
/// second check: half of the last digit printed and what a fit may lose five degrees beyond its
/// cells.
#[test]
fn oiv_table_1_below_ten_degrees() {
    let table = Table::read(include_str!(
        "../../published/oiv_table1_temp_correction.csv"
    ));
    let mut worst = Worst::of("OIV Table I, 5 to 9 °C");
    for row in &table.rows {
        let temperature = table.number(row, "temp_c").expect("a temperature");
        if temperature >= 10.0 {
            continue;
        }
        for column in &table.columns[1..] {
            let brix: f64 = column[1..].parse().expect("a column is named by its Brix");
            let Some(printed) = table.number(row, column) else {
                continue;
            };
            if (temperature, brix) == (6.0, 10.0) {
                continue;
            }
            let at = format!("{temperature} °C, {brix} °Brix");
            worst.hold(at, correction(brix, temperature), printed, 0.03);
        }
    }
    worst.print(24);
}
