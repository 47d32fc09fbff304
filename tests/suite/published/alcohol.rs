//! Potential alcohol against the European must table, leaflets and Troost.

use super::table::{Table, Worst};
use endpost::science::ripeness::alcohol::Rule;
use endpost::science::ripeness::density::brix;

#[test]
fn printed_values() {
    let table = Table::read(include_str!("../../published/potential_alcohol.csv"));
    let mut worst = Worst::of("potential alcohol");
    for row in &table.rows {
        let number = |column| table.number(row, column).expect("a number");
        let rule: Rule = table.text(row, "rule").parse().expect("a rule");
        let typed = number("input");
        let unit = table.text(row, "unit");
        let sugar = match unit {
            "oechsle" => brix(1.0 + typed / 1000.0).expect("a Brix"),
            _ => typed,
        };
        let found = rule.percent(sugar).expect("within the rule's range");
        let at = format!("{typed} {unit} by {rule}");
        worst.hold(at, found, number("alcohol_pct_vol"), number("tolerance"));
    }
    worst.print(18);
}

/// The rows that the table leaves out, and why: below 15 °Brix no rule comes near them.
#[test]
fn printed_values_below_fifteen_brix_belong_to_no_rule() {
    let of_oechsle = |oechsle: f64| brix(1.0 + oechsle / 1000.0).expect("a Brix");
    for (sugar, printed) in [
        (of_oechsle(50.0), 6.08),
        (of_oechsle(60.0), 7.65),
        (10.0, 4.89),
    ] {
        assert_eq!(Rule::TableFit.percent(sugar), None, "{sugar}");
        let above = Rule::default().percent(sugar).expect("within 0 to 40") - printed;
        assert!((0.7..1.0).contains(&above), "{sugar}: {above}");
    }
}

#[test]
fn rules_keep_to_their_range() {
    for (rule, inside, outside) in [
        (Rule::TableFit, [15.0, 25.0], [14.99, 25.01]),
        (Rule::Factor(57), [0.0, 40.0], [-0.01, 40.01]),
    ] {
        assert!(inside.iter().all(|&brix| rule.percent(brix).is_some()));
        assert!(outside.iter().all(|&brix| rule.percent(brix).is_none()));
        assert_eq!(rule.percent(f64::NAN), None);
    }
}

#[test]
fn rules_name_themselves() {
    for rule in Rule::ALL {
        assert_eq!(rule.to_string().parse(), Ok(rule));
    }
    assert_eq!(Rule::default().to_string(), "factor-0.57");
    for wrong in ["factor-0.60", "factor-0.5", "table", "factor-0.057", ""] {
        assert!(wrong.parse::<Rule>().is_err(), "{wrong}");
    }
}
