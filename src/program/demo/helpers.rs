//! What the demo's helpers do on this Friday. Not here: where they find things (`place`).

use super::script::{Script, moment};
use crate::store::ledger::Kind;

const TO_DO: [&str; 5] = [
    "07:30 at the barn: fill your water bottle.",
    "A7 and A8: close the nets at the bottom and at both ends.",
    "B1: pick up what lies under the vines, carry it to the bin at the barn.",
    "Walk B with the card, if Rae asks you to.",
    "Before you go: come to the barn and say what is done.",
];

const NOT_TO_TOUCH: [&str; 3] = [
    "The fence charger at the gate, and its wires.",
    "The sprayer, and the shed with the yellow door.",
    "Posts with red tape: they are weak.",
];

pub fn write(script: &mut Script) -> anyhow::Result<()> {
    let (to_do, not_to_touch) = (TO_DO.join("\n"), NOT_TO_TOUCH.join("\n"));
    let fields = [
        ("date", "2027-09-10"),
        ("to_do", to_do.as_str()),
        ("not_to_touch", not_to_touch.as_str()),
    ];
    let typed = moment("2027-09-09 20:45")?;
    script
        .line(Kind::DayList, "day list", typed, &fields)
        .by("JT");
    Ok(())
}
