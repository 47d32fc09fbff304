//! `endpost export`: every table, a complete dictionary, and nothing a spreadsheet would run.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use endpost::program::export::text;
use endpost::store::catalogue::{self, TABLES};
use endpost::store::export::{Cell, dictionary};

use super::{complained, demo_in, run};

fn rows(folder: &Path, name: &str) -> (Vec<String>, Vec<BTreeMap<String, String>>) {
    let mut reader = csv::Reader::from_path(folder.join(name)).expect("a file of the export");
    let header: Vec<String> = reader
        .headers()
        .expect("a header")
        .iter()
        .map(str::to_owned)
        .collect();
    let rows = reader.deserialize().map(|row| row.expect("a row"));
    (header, rows.collect())
}

async fn exported(into: &Path) {
    let folder = tempfile::tempdir().expect("a folder");
    demo_in(folder.path()).await.close().await;
    let data = folder.path().to_str().expect("a plain path");
    let done = run(&[
        "export",
        into.to_str().expect("a plain path"),
        "--data",
        data,
    ]);
    assert!(done.status.success(), "{}", complained(&done));
}

#[tokio::test]
async fn every_table_is_there_with_its_rows() {
    let out = tempfile::tempdir().expect("a folder");
    let into = out.path().join("tables");
    exported(&into).await;
    for table in catalogue::exported() {
        let (header, _) = rows(&into, &format!("{}.csv", table.name));
        assert!(!header.is_empty(), "{}", table.name);
    }
    assert_eq!(rows(&into, "block.csv").1.len(), 5);
    assert_eq!(rows(&into, "block_row.csv").1.len(), 26);
    let (_, ledger) = rows(&into, "ledger.csv");
    assert!(ledger.iter().all(|row| row["source"] == "demo"));
    let arrived = &ledger[0]["received_at"];
    assert_eq!(arrived, "2025-03-01T14:05:00.000Z");
    assert!(ledger[0]["id"].parse::<uuid::Uuid>().is_ok());
    // What opens the door stays in the house.
    for guarded in ["passphrase", "session", "share"] {
        assert!(!into.join(format!("{guarded}.csv")).exists(), "{guarded}");
    }
    let (_, sprays) = rows(&into, "spray.csv");
    assert!(
        sprays
            .iter()
            .any(|row| row["ended_at"] == "2027-09-04T22:30:00.000Z")
    );
    assert!(sprays.iter().all(|row| row["label_read"] == "1"));
}

#[tokio::test]
async fn the_dictionary_has_every_column_and_no_other() {
    let out = tempfile::tempdir().expect("a folder");
    exported(&out.path().join("tables")).await;
    let into = out.path().join("tables");
    let (_, words) = rows(&into, "data-dictionary.csv");
    let mut described: BTreeSet<(String, String)> = BTreeSet::new();
    for row in &words {
        assert!(!row["meaning"].is_empty(), "{row:?}");
        assert!(!row["type"].is_empty(), "{row:?}");
        described.insert((row["table"].clone(), row["column"].clone()));
    }
    let mut there = BTreeSet::new();
    for table in catalogue::exported() {
        let (header, _) = rows(&into, &format!("{}.csv", table.name));
        there.extend(header.into_iter().map(|name| (table.name.to_owned(), name)));
    }
    assert_eq!(described, there);
    let known: BTreeSet<(String, String)> = dictionary::all()
        .map(|column| (column.table.to_owned(), column.name.to_owned()))
        .collect();
    assert_eq!(
        known, there,
        "the dictionary speaks of columns that are not there"
    );
}

#[tokio::test]
async fn the_catalogue_names_every_table_of_the_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let mut read = store.read().await.expect("a view");
    let there: BTreeSet<String> = read
        .table_names()
        .await
        .expect("names")
        .into_iter()
        .collect();
    let named: BTreeSet<String> = TABLES.iter().map(|table| table.name.to_owned()).collect();
    assert_eq!(named, there);
}

/// A unit in a column's name is the unit in the dictionary.
#[test]
fn units_agree_with_the_names() {
    let endings = [
        ("_g_per_l", "g/L"),
        ("_percent", "%"),
        ("_hours", "h"),
        ("_days", "d"),
        ("_mm", "mm"),
        ("_offset_s", "s"),
        ("_c", "°C"),
        ("_g", "g"),
        ("_at", "UTC"),
    ];
    for column in dictionary::all() {
        let ending = endings
            .iter()
            .find(|(ending, _)| column.name.ends_with(ending));
        if let Some((_, unit)) = ending {
            assert_eq!(column.unit, *unit, "{}.{}", column.table, column.name);
        }
    }
}

/// Source of the list of first letters: OWASP, "CSV Injection" (from memory).
#[test]
fn texts_like_formulas_are_guarded_and_numbers_are_not() {
    for formula in ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx"] {
        assert_eq!(text(Cell::Text(formula.to_owned())), format!("'{formula}"));
    }
    assert_eq!(text(Cell::Text("2 - 1".to_owned())), "2 - 1");
    assert_eq!(text(Cell::Number(-0.2)), "-0.2");
    assert_eq!(text(Cell::Whole(-14400)), "-14400");
    assert_eq!(text(Cell::Nothing), "");
}

#[tokio::test]
async fn a_folder_that_is_not_empty_is_refused_and_untouched() {
    let folder = tempfile::tempdir().expect("a folder");
    demo_in(folder.path()).await.close().await;
    let into = tempfile::tempdir().expect("a folder");
    std::fs::write(into.path().join("block.csv"), "mine").expect("a file");
    let refused = run(&[
        "export",
        into.path().to_str().expect("a plain path"),
        "--data",
        folder.path().to_str().expect("a plain path"),
    ]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(complained(&refused).contains("is not empty"));
    let kept = std::fs::read_to_string(into.path().join("block.csv")).expect("the file");
    assert_eq!(kept, "mine");
}
