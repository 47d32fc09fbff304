//! The place: the farm, its people and instruments, five blocks with their rows, the vines that
//! are gone, and what is wanted of each block. All of it is invented.
//! Not here: what was measured, rained and sprayed.

use chrono::TimeDelta;

use super::script::{Script, evening, moment};
use crate::store::ledger::Kind;

type Target = &'static [(&'static str, &'static str)];

/// Name, variety, rows in one line, and the target by field.
const BLOCKS: &[(&str, &str, &str, Target)] = &[
    (
        "A",
        "Marquette",
        "8 rows, 11 panels, 4 vines",
        &[
            ("brix_low", "24.0"),
            ("brix_high", "26.0"),
            ("ph_high", "3.45"),
            ("ta_high", "11.5"),
        ],
    ),
    (
        "B",
        "Frontenac",
        "6 rows, 11 panels, 4 vines",
        &[
            ("brix_low", "24.0"),
            ("brix_high", "26.0"),
            ("ta_high", "12.0"),
        ],
    ),
    (
        "C",
        "Vidal",
        "5 rows, 9 panels, 4 vines",
        &[("brix_low", "20.0"), ("brix_high", "22.0")],
    ),
    (
        "D",
        "Traminette",
        "4 rows, 9 panels, 4 vines",
        &[
            ("brix_low", "22.0"),
            ("brix_high", "24.0"),
            ("ph_high", "3.30"),
            ("ta_high", "9.5"),
        ],
    ),
    (
        "E",
        "Cabernet franc",
        "3 rows, 9 panels, 4 vines",
        &[("brix_low", "21.0"), ("brix_high", "24.0")],
    ),
];

/// Vines that are gone, by the day on which it was written down.
const GONE: &[(&str, &str)] = &[
    (
        "2025-04-12",
        "A1-1-1 A1-4-2 A2-6-1 A3-3-1 A4-5-2 A5-9-1 A6-4-4 A6-10-3 A7-8-1 A8-11-1 \
         B2-4-1 B5-6-3 C2-7-1 C5-8-4 D3-2-4",
    ),
    (
        "2026-05-16",
        "A1-9-3 A2-2-4 A2-10-2 A4-1-3 A5-2-2 A7-3-2 B3-9-2 C1-2-3 D1-5-2 \
         E1-1-1 E1-2-2 E1-4-3 E1-5-4 E1-7-1 E2-2-3 E2-3-4 E2-5-2 E2-6-1 E2-8-3 \
         E3-3-1 E3-6-2 E3-7-4 E3-9-4",
    ),
    (
        "2027-05-08",
        "A3-8-4 A4-11-4 A5-7-3 A6-6-2 A8-5-4 B5-1-1 B6-2-2 C4-1-2 D4-8-1",
    ),
];

pub fn write(script: &mut Script) -> anyhow::Result<()> {
    farm(script)?;
    people(script)?;
    instruments(script)?;
    blocks(script)?;
    vines(script)
}

fn farm(script: &mut Script) -> anyhow::Result<()> {
    let fields = [
        ("name", "Tamarack Bend"),
        ("zone", "America/New_York"),
        ("temperature", "fahrenheit"),
        ("mass", "pound"),
        ("length", "foot"),
        (
            "address",
            "118 Tamarack Bend Road. Second gate after the bridge, by the milk can.",
        ),
        ("keeper_phone", "555-0142"),
        ("emergency_place", "Alder Falls hospital, emergency door"),
        ("emergency_phone", "555-0111"),
        ("emergency_address", "40 Mill Street, Alder Falls"),
        ("emergency_number", "555-0110, made up"),
        ("who_to_ask", "Jo, the keeper"),
        ("second_person", "Rae"),
        ("second_phone", "555-0143"),
        ("water", "Tap on the barn wall, left of the door"),
        ("toilet", "Behind the barn, green door"),
        ("first_aid", "White box on the barn door"),
    ];
    script
        .line(Kind::Farm, "farm", moment("2025-03-01 09:05")?, &fields)
        .by("JT");
    // The poison line was found missing on the first board that was printed.
    let more = [
        ("poison_line", "555-0199"),
        ("reason", "poison line was missing on the board"),
    ];
    let fields = [fields.as_slice(), &more].concat();
    let typed = moment("2025-05-24 19:30")?;
    script
        .line(Kind::Farm, "farm again", typed, &fields)
        .about("farm")
        .by("JT");
    Ok(())
}

fn people(script: &mut Script) -> anyhow::Result<()> {
    let typed = moment("2025-03-01 09:12")?;
    for (initials, name, here) in [
        ("JT", "Keeper", "yes"),
        ("RM", "Keeper", "yes"),
        ("LK", "Helps on Saturdays", "yes"),
        ("OW", "Helped in 2025", ""),
    ] {
        let fields = [("initials", initials), ("name", name), ("here", here)];
        script
            .line(Kind::Person, format!("person {initials}"), typed, &fields)
            .by("JT");
    }
    Ok(())
}

fn instruments(script: &mut Script) -> anyhow::Result<()> {
    let typed = moment("2025-03-01 09:20")?;
    let old = [
        ("name", "the old one"),
        ("compensated", "no"),
        ("water", "0.4"),
        ("zeroed_on", "2025-02-22"),
        ("note", "Scale hard to read below 10."),
    ];
    script
        .line(Kind::Instrument, "instrument old", typed, &old)
        .by("JT");
    let blue = [
        ("name", "the blue one"),
        ("compensated", "yes"),
        ("water", "0"),
        ("zeroed_on", "2027-08-12"),
    ];
    script
        .line(Kind::Instrument, "instrument blue", typed, &blue)
        .by("JT");
    Ok(())
}

fn blocks(script: &mut Script) -> anyhow::Result<()> {
    let start = moment("2025-03-01 09:30")?;
    for (place, (name, variety, rows, target)) in BLOCKS.iter().enumerate() {
        let typed = start + TimeDelta::minutes(3 * place as i64);
        let fields = [("name", *name), ("variety", *variety)];
        script
            .line(Kind::Block, format!("block {name}"), typed, &fields)
            .by("JT");
        let typed = moment("2025-03-01 10:00")? + TimeDelta::minutes(2 * place as i64);
        let fields = [("block", *name), ("rows", *rows), ("from", "2018-05-05")];
        script
            .line(Kind::Rows, format!("rows {name}"), typed, &fields)
            .by("JT");
        let typed = moment("2025-07-12 20:10")? + TimeDelta::minutes(2 * place as i64);
        let fields = [("block", *name), ("from", "2025-07-01")];
        let fields = [fields.as_slice(), target].concat();
        script
            .line(Kind::Target, format!("target {name}"), typed, &fields)
            .by("JT");
    }
    Ok(())
}

fn vines(script: &mut Script) -> anyhow::Result<()> {
    for (date, addresses) in GONE {
        let typed = moment(&format!("{date} 19:15"))?;
        for address in addresses.split_whitespace() {
            let fields = [("address", address), ("change", "gone"), ("date", date)];
            script
                .line(Kind::Vine, format!("gone {address}"), typed, &fields)
                .by("RM");
        }
    }
    let replanted = [
        ("address", "a3 7 2"),
        ("change", "replanted"),
        ("date", "2025-05-10"),
        ("variety", "Marquette"),
        ("bearing_from", "2027"),
    ];
    let day = super::script::day("2025-05-10")?;
    script
        .line(
            Kind::Vine,
            "replanted",
            evening(day, "replanted")?,
            &replanted,
        )
        .by("JT");
    let weak = [
        ("address", "E2.4.1"),
        ("change", "weak"),
        ("date", "2027-06-19"),
    ];
    let day = super::script::day("2027-06-19")?;
    script
        .line(Kind::Vine, "weak", evening(day, "weak")?, &weak)
        .by("RM");
    Ok(())
}
