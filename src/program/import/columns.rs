//! The columns a file of readings may have. Their names carry the units.
//! Not here: how a file is cut into cells (`sheet`).

/// Every column with what it holds.
pub const COLUMNS: &[(&str, &str)] = &[
    ("block", "the block's name, such as A"),
    ("date", "day on which the fruit was picked, 2026-09-14"),
    ("time", "time of that day, 07:30"),
    (
        "bag",
        "number of the bag; empty counts the day's lines from 1",
    ),
    ("berries", "berries in the bag; empty means 100"),
    ("brix", "reading in °Brix as the instrument showed it"),
    ("ph", "pH"),
    ("ta_g_per_l", "acid in g/L as tartaric"),
    ("juice_temperature_c", "temperature of the juice in °C"),
    (
        "instrument",
        "the instrument's name, as under House, Instruments",
    ),
    ("taste", "taste, in words"),
    (
        "rot_percent",
        "rot, per cent of the fruit; 0 is looked and none",
    ),
    ("note", "anything else"),
    ("person", "initials of the one who sampled"),
];

/// Columns of which every line needs a cell.
pub const NEEDED: [&str; 2] = ["block", "date"];
/// Columns of which the file needs at least one.
pub const READINGS: [&str; 3] = ["brix", "ph", "ta_g_per_l"];

/// The column of this name, whatever its case.
pub fn named(name: &str) -> Option<&'static str> {
    COLUMNS
        .iter()
        .map(|(known, _)| *known)
        .find(|known| known.eq_ignore_ascii_case(name.trim()))
}

/// All names in one sentence's list.
pub fn list() -> String {
    let names: Vec<&str> = COLUMNS.iter().map(|(name, _)| *name).collect();
    names.join(", ")
}

/// The text under `endpost import --help`.
pub fn help() -> String {
    let mut text =
        "Columns, in any order; block, date and one of brix, ph, ta_g_per_l are needed:\n"
            .to_owned();
    for (name, holds) in COLUMNS {
        text.push_str(&format!("  {name:19}  {holds}\n"));
    }
    text.push_str(
        "\nThe file is CSV in UTF-8 with a header line; cells may be quoted. The delimiter is a \
         comma, a semicolon or a tab. 21,5 is read as 21.5 (quoted, where the comma delimits).\n\
         Lines of the same block and day are the bags of one sample. All lines are checked before \
         any is written: with one refused, nothing is imported and the exit code is 2. The same \
         file imported again enters nothing twice.",
    );
    text
}
