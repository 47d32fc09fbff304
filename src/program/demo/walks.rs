//! The demo's cards: the one that lay in a jacket, and two walks drawn up for this Friday.
//! Not here: what was typed from them (`september`).

use super::script::{Script, moment};
use crate::store::ledger::Kind;

type Wishes = [(&'static str, &'static str)];

/// Code, block, when it was drawn up, and what it is for.
const CARDS: &[(&str, &str, &str, &Wishes)] = &[
    ("K7Q2", "B", "2027-08-25 19:40", &[("what", "berries")]),
    (
        "7HW4",
        "B",
        "2027-09-10 06:40",
        &[("what", "walk"), ("read", "bags")],
    ),
    (
        "T5RN",
        "C",
        "2027-09-10 06:45",
        &[("what", "walk"), ("read", "vines"), ("wanted", "0.7")],
    ),
];

pub fn write(script: &mut Script) -> anyhow::Result<()> {
    for (code, block, typed, wishes) in CARDS {
        let date = typed.split(' ').next().unwrap_or_default();
        let fields = [("block", *block), ("date", date), ("code", *code)];
        let fields = [fields.as_slice(), wishes].concat();
        script
            .line(Kind::Card, format!("card {code}"), moment(typed)?, &fields)
            .by("JT");
    }
    Ok(())
}
