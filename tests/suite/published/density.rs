//! Specific gravity against the NBS scale, the sucrose density formula and the CRC Handbook.

use super::table::{Table, Worst};
use endpost::science::ripeness::density::{brix, oechsle, specific_gravity};

#[test]
fn check_vectors() {
    let table = Table::read(include_str!("../../published/check_vectors_sg.csv"));
    let mut scale = Worst::of("specific gravity, NBS scale");
    let mut formula = Worst::of("specific gravity, density formula");
    let mut back = Worst::of("Brix from gravity");
    for row in &table.rows {
        let number = |column| table.number(row, column).expect("a number");
        let typed = number("brix");
        let at = || format!("{typed} °Brix");
        let found = specific_gravity(typed).expect("a gravity");
        scale.hold(at(), found, number("sg_nbs"), table.tolerance());
        formula.hold(at(), found, number("sg_density"), table.tolerance());
        // The published cubic gives -0.005 at 0, and gravity is rounded to 0.00001 (0.0013 °Brix).
        back.hold(at(), brix(number("sg_nbs")).expect("a Brix"), typed, 0.006);
    }
    for worst in [scale, formula, back] {
        worst.print(41);
    }
}

#[test]
fn crc_handbook() {
    let table = Table::read(include_str!("../../published/crc_density20.csv"));
    let mut worst = Worst::of("specific gravity, CRC density");
    let mut rows = 0;
    for row in &table.rows {
        let number = |column| table.number(row, column).expect("a number");
        let Some(found) = specific_gravity(number("brix")) else {
            assert!(number("brix") > 40.0);
            continue;
        };
        // Weighed in air of 1.2 kg/m3, against water of 998.2 kg/m3.
        let in_air = (number("rho20") - 1.2) / (998.2 - 1.2);
        let at = format!("{} °Brix", number("brix"));
        worst.hold(at, found, in_air, table.tolerance());
        rows += 1;
    }
    worst.print(rows);
    assert!(rows >= 40);
}

#[test]
fn oechsle_by_its_definition() {
    let gravity = specific_gravity(20.0).expect("a gravity");
    // 20 °Brix is 83 °Oe on the usual conversion tables, which print whole degrees.
    assert_eq!(oechsle(gravity).round(), 83.0);
    assert_eq!(specific_gravity(-0.1), None);
    assert_eq!(brix(0.99), None);
}
