//! The running season of the demo, up to Thu 9 Sept 2027: samples as they were typed, with the
//! slips and second thoughts of a real September, and the weather.
//! Not here: the seasons before (`seasons`).

use super::script::{Script, day, evening, moment};
use super::seasons::weather;
use crate::store::ledger::Kind;

/// Block, day, time, bags (their looks with a slash), pH and acid (a dash: not measured).
const SAMPLES: &[&str] = &[
    "A 2027-08-12 07:30 17.0/17.1 2.99 19.4",
    "A 2027-08-19 07:25 19.2/19.3 3.07 16.9",
    "A 2027-08-26 07:40 21.3/21.4 21.9/21.8 3.16 14.5",
    "A 2027-09-02 07:20 22.7/22.8 23.3/23.2 3.25 12.6",
    "A 2027-09-09 07:15 24.1/24.0/24.1 24.5/24.6/24.5 3.31 11.2",
    "B 2027-08-19 08:10 16.1/16.2 2.91 22.4",
    "B 2027-09-02 08:05 20.2/20.3 20.8/20.7 3.03 17.6",
    "B 2027-09-09 08:00 22.0/22.1 22.6/22.5 3.08 15.6",
    "C 2027-08-17 08:30 12.8/12.9 2.93 16.8",
    "C 2027-08-24 08:25 14.7/14.6 2.97 14.9",
    "C 2027-08-31 08:20 16.3/16.4 3.01 13.2",
    "C 2027-09-07 08:15 17.5/17.6 18.1/18.0 3.05 12.0",
    "D 2027-08-19 08:50 16.3/16.4 2.98 13.9",
    "D 2027-08-26 08:45 17.6/17.7 3.03 12.5",
    "D 2027-09-02 08:40 18.5/18.6 19.0/19.1 3.08 11.4",
    "D 2027-09-09 08:35 19.8/19.9 20.4/20.3 3.12 10.6",
    "E 2027-08-18 17:10 15.3/15.2 - -",
    "E 2027-08-25 17:20 16.4/16.4 - -",
    "E 2027-09-01 17:05 17.2/17.2 - -",
];

/// What was seen beside the readings, by block and day.
const SEEN: &[(&str, &[(&str, &str)])] = &[
    (
        "A 2027-09-09",
        &[
            ("taste", "Cherry, little green left"),
            ("seeds", "Brown, a few tan"),
            ("skins", "Colour runs when pressed"),
            ("rot", "1"),
            ("animals", "2"),
        ],
    ),
    (
        "B 2027-09-09",
        &[("taste", "Sharp still"), ("seeds", "Tan"), ("rot", "0")],
    ),
    (
        "C 2027-09-07",
        &[
            ("taste", "Green apple"),
            ("rot", "0.5"),
            ("note", "Sampled before the rain."),
        ],
    ),
    (
        "D 2027-09-09",
        &[
            ("taste", "Spice begins"),
            ("animals", "4"),
            ("note", "Wasps at the hedge end."),
        ],
    ),
    (
        "E 2027-09-01",
        &[("note", "One bag only, light was going.")],
    ),
];

/// Day, rain in inches, lowest and highest in °F, note.
const WEATHER: &[&str] = &[
    "2027-08-05 0.40 64 84",
    "2027-08-14 0.25 62 81",
    "2027-08-21 0.85 61 77 Two showers in the night.",
    "2027-08-28 0.00 57 79",
    "2027-09-03 0.15 55 74",
    "2027-09-08 0.00 50 69 Dew till ten.",
    "2027-09-09 0.00 48 71",
];

pub fn write(script: &mut Script) -> anyhow::Result<()> {
    for line in SAMPLES {
        sample(script, line)?;
    }
    for line in WEATHER {
        weather(script, line)?;
    }
    thunderstorm(script)?;
    late_card(script)?;
    wrong_block(script)?;
    slip_of_the_thumb(script)
}

fn sample(script: &mut Script, line: &str) -> anyhow::Result<()> {
    let words: Vec<&str> = line.split(' ').collect();
    let ([block, date, time], [bags @ .., ph, ta]) = words
        .split_first_chunk()
        .map_or(([""; 3], &[][..]), |(head, rest)| (*head, rest))
    else {
        anyhow::bail!("the demo's line {line} is no sample");
    };
    let fields = [
        ("block", block),
        ("date", date),
        ("time", time),
        ("instrument", "the blue one"),
        ("zeroed", "yes"),
    ];
    let key = format!("sample {block} {date}");
    let line = script.line(Kind::Sample, key, evening(day(date)?, line)?, &fields);
    for (bag, looks) in (1..).zip(bags) {
        for (look, read) in (1..).zip(looks.split('/')) {
            line.set(&format!("brix_{bag}_{look}"), read);
        }
    }
    if *ph != "-" {
        line.set("ph_1_1", ph)
            .set("ta_1", ta)
            .set("ta_end_1", "ph8_2");
    }
    let seen = SEEN.iter().find(|(of, _)| *of == format!("{block} {date}"));
    for (name, text) in seen.map_or(&[][..], |(_, fields)| fields) {
        line.set(name, text);
    }
    line.by(if block == "E" { "LK" } else { "JT" });
    Ok(())
}

/// Rain after C was sampled that morning: its date is in doubt.
fn thunderstorm(script: &mut Script) -> anyhow::Result<()> {
    let fields = [
        ("date", "2027-09-07"),
        ("rain", "0.62"),
        ("time", "16:30"),
        ("low", "58"),
        ("high", "78"),
        ("note", "Thunderstorm from the west, no hail."),
    ];
    let typed = moment("2027-09-07 19:05")?;
    script.line(Kind::Weather, "storm", typed, &fields).by("RM");
    Ok(())
}

/// A card that lay in a jacket, with two digits swapped when it was typed, and mended.
fn late_card(script: &mut Script) -> anyhow::Result<()> {
    let fields = |second: &'static str| {
        [
            ("block", "B"),
            ("date", "2027-08-26"),
            ("instrument", "the blue one"),
            ("brix_1_1", "18.0"),
            ("brix_1_2", "18.1"),
            ("brix_2_1", second),
            ("ph_1_1", "2.97"),
            ("ta_1", "19.8"),
        ]
    };
    script
        .line(
            Kind::Sample,
            "late card",
            moment("2027-08-30 20:05")?,
            &fields("16.8"),
        )
        .by("RM")
        .on_card("K7Q2");
    script
        .line(
            Kind::Sample,
            "late card mended",
            moment("2027-08-30 20:12")?,
            &fields("18.6"),
        )
        .set("reason", "digits swapped; the card says 18.6")
        .about("late card")
        .by("RM")
        .on_card("K7Q2");
    Ok(())
}

/// A bag of another block, written under A and taken back.
fn wrong_block(script: &mut Script) -> anyhow::Result<()> {
    let fields = [
        ("block", "A"),
        ("date", "2027-08-31"),
        ("instrument", "the blue one"),
        ("brix_1_1", "19.4"),
    ];
    script
        .line(
            Kind::Sample,
            "wrong block",
            moment("2027-08-31 18:20")?,
            &fields,
        )
        .by("LK");
    script
        .line(
            Kind::Void,
            "wrong block taken back",
            moment("2027-08-31 18:31")?,
            &[],
        )
        .set("reason", "the bag was from B")
        .about("wrong block")
        .by("JT");
    Ok(())
}

/// A reading without its decimal mark, kept as typed.
fn slip_of_the_thumb(script: &mut Script) -> anyhow::Result<()> {
    let fields = [
        ("block", "E"),
        ("date", "2027-09-05"),
        ("instrument", "the blue one"),
        ("brix_1_1", "178"),
        ("note", "Read in the row, bag not kept."),
    ];
    script
        .line(Kind::Sample, "slip", moment("2027-09-05 11:40")?, &fields)
        .by("LK")
        .kept();
    Ok(())
}
