//! Whatever file is brought to `endpost import`: samples or sentences that name lines, and what is
//! taken in holds the file's own words. Not here: what lines become (`program::import`).

use std::cell::Cell;

use endpost::program::import::{bring_in, sheet};
use endpost::program::options::ImportChoices;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{select, subsequence};

use super::draw::{hit, text};
use super::{Asked, cases};
use crate::support::farm::{MORNING, moment};

const COLUMNS: [&str; 14] = [
    "block",
    "date",
    "time",
    "bag",
    "berries",
    "brix",
    "ph",
    "ta_g_per_l",
    "juice_temperature_c",
    "instrument",
    "taste",
    "rot_percent",
    "note",
    "person",
];

/// Something that may stand under a column, now and then what should.
fn cell(column: &'static str) -> BoxedStrategy<String> {
    let good: &'static [&'static str] = match column {
        "block" => &["A", "a", "A Marquette", "G"],
        "time" => &["07:30", "7.30", ""],
        "bag" => &["1", "2", ""],
        "brix" => &["21.4", "21,4", "215", ""],
        "ph" => &["3.2", ""],
        "rot_percent" => &["0", "5 %", ""],
        "note" => &["sunny side", "\"so\"", "a\nb"],
        _ => &["", "10", "OW"],
    };
    if column == "date" {
        let day = (2005..2027, 1..13, 1..29)
            .prop_map(|(year, month, day)| format!("{year}-{month:02}-{day:02}"));
        return prop_oneof![24 => day, 1 => text()].boxed();
    }
    prop_oneof![24 => select(good).prop_map(str::to_owned), 1 => text()].boxed()
}

/// A table, written as a program or a person may write it.
fn file() -> impl Strategy<Value = Vec<u8>> {
    let columns = prop_oneof![
        1 => subsequence(&COLUMNS[..], 3..=14),
        2 => Just(["date", "block", "bag", "brix", "note"].to_vec()),
    ];
    let style = (
        select(&[',', ';', '\t'][..]),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
    );
    (columns, style).prop_flat_map(|(columns, (mark, quoted, windows, marked))| {
        let line: Vec<_> = columns.iter().map(|column| cell(column)).collect();
        vec(line, 0..8).prop_map(move |lines| {
            let end = if windows { "\r\n" } else { "\n" };
            let quote = |cell: &str| match quoted {
                true => format!("\"{}\"", cell.replace('"', "\"\"")),
                false => cell.to_owned(),
            };
            let header: Vec<String> = columns.iter().map(|name| quote(name)).collect();
            let mut text = if marked { "\u{feff}" } else { "" }.to_owned();
            for cells in [header].into_iter().chain(lines) {
                let cells: Vec<String> = cells.iter().map(|cell| quote(cell)).collect();
                text.push_str(&cells.join(&mark.to_string()));
                text.push_str(end);
            }
            text.into_bytes()
        })
    })
}

fn any_file() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        4 => file(),
        2 => file().prop_flat_map(hit),
        1 => vec(any::<u8>(), 0..200),
        1 => (vec(any::<u8>(), 0..60)).prop_map(|tail| {
            [b"block,date,brix\n".as_slice(), &tail].concat()
        }),
        1 => text().prop_map(|text| format!("block,date,brix,note\nA,2024-09-03,21.4,\"{}\"\n", text.repeat(60)).into_bytes()),
    ]
}

proptest! {
    #![proptest_config(cases(1000))]

    #[test]
    fn any_bytes_are_lines_or_a_sentence(bytes in any_file()) {
        let lines_of_text = bytes.split(|byte| *byte == b'\n' || *byte == b'\r').count() as u64;
        match sheet::read(&bytes) {
            Ok(lines) => {
                for line in lines {
                    prop_assert!((1..=lines_of_text).contains(&line.number), "line {}", line.number);
                    prop_assert!(COLUMNS.iter().any(|column| !line.cell(column).is_empty()));
                }
            }
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }
}

/// What came in holds the words of the file; what did not is said with its line.
#[test]
fn any_file_is_imported_or_refused_by_its_lines() {
    let asked = Asked::started();
    let choices = (any::<bool>(), any::<bool>(), any::<bool>());
    let drawn = (any_file(), choices);
    let entered = Cell::new(0);
    asked.about(100, drawn, async |farm, (bytes, (make, good, unusual))| {
        let choices = ImportChoices {
            make_blocks: make,
            only_good: good,
            confirm_unusual: unusual,
            ..ImportChoices::default()
        };
        let clock = endpost::clock::Clock::starting_at(moment(MORNING));
        let before = farm.store.commits();
        let done = match bring_in(&farm.store, clock, &bytes, &choices).await {
            Ok(done) => done,
            Err(error) => {
                prop_assert!(!error.to_string().is_empty());
                prop_assert_eq!(farm.store.commits(), before, "something was stored");
                return Ok(());
            }
        };
        for refusal in &done.refused {
            prop_assert!(refusal.line > 1, "{:?}", refusal);
            prop_assert!(!refusal.text.is_empty());
        }
        if !done.refused.is_empty() && !good {
            prop_assert_eq!(farm.store.commits(), before, "something was stored");
        }
        entered.set(entered.get() + done.entered);
        let again = bring_in(&farm.store, clock, &bytes, &choices).await;
        let again = again.expect("the same file");
        prop_assert_eq!(again.entered, 0, "it was entered twice");
        prop_assert!(
            again.here_before >= done.entered,
            "{:?} then {:?}",
            done,
            again
        );
        Ok(())
    });
    println!("{} samples were entered", entered.get());
    assert!(entered.get() > 0, "nothing was entered");
    asked.ends_well();
}
