//! Who may look down at whom: program, web, store, science; and where SQL and the time are.
//! Not here: how paths are found (`uses`).

use super::uses::{inside, module_of, outside};
use super::{Breach, File, files_in, none};

/// A floor, and what it may not name: other floors first, then packages and parts of `std`.
const FLOORS: [(&str, &[&str], &[&str]); 4] = [
    (
        "science",
        &["store", "web", "program", "clock"],
        &[
            "sqlx",
            "axum",
            "askama",
            "tokio",
            "tracing",
            "tower_http",
            "std::fs",
            "std::io",
            "std::net",
            "std::thread",
            "std::process",
            "std::env",
            "std::time",
        ],
    ),
    (
        "store",
        &["web", "program"],
        &[
            "axum",
            "askama",
            "tower_http",
            "clap",
            "std::net",
            "std::process",
        ],
    ),
    (
        "web",
        &["program"],
        &["sqlx", "clap", "std::fs", "std::process", "tokio::fs"],
    ),
    ("program", &[], &["sqlx", "askama"]),
];

fn floor_breaches(file: &File) -> Vec<Breach> {
    let module = module_of(&file.path);
    let Some((floor, floors, packages)) = FLOORS
        .iter()
        .find(|(name, _, _)| module.first().is_some_and(|first| first == name))
    else {
        return Vec::new();
    };
    let upward = inside(&file.path, &file.text)
        .into_iter()
        .filter(|named| {
            let top = named.path.first().map(String::as_str);
            top.is_some_and(|top| floors.contains(&top))
        })
        .map(|named| {
            let path = named.path.join("::");
            Breach::at(
                &file.path,
                named.line,
                format!("{floor} may not know {path}"),
            )
        });
    let foreign = packages.iter().flat_map(|package| {
        outside(&file.text, package)
            .into_iter()
            .map(move |line| Breach::at(&file.path, line, format!("{floor} may not use {package}")))
    });
    upward.chain(foreign).collect()
}

#[test]
fn no_floor_looks_up() {
    let files = files_in("src/", ".rs");
    none(files.iter().flat_map(floor_breaches).collect());
}

#[test]
fn a_look_up_is_found() {
    let planted = |path: &str, text: &str| {
        floor_breaches(&File {
            path: path.to_owned(),
            text: text.to_owned(),
        })
    };
    let found = planted(
        "src/science/sprays/hold.rs",
        "//! x\nuse crate::{\n    science::zone,\n    store::Read,\n};\n",
    );
    assert_eq!(
        found,
        [Breach::at(
            "src/science/sprays/hold.rs",
            4,
            "science may not know store::Read"
        )]
    );
    let slips = [
        ("src/store/row.rs", "fn f() { crate::web::page(); }"),
        ("src/store/row.rs", "use super::super::web;"),
        ("src/web/words.rs", "use crate::{program, science};"),
        ("src/web/words.rs", "use sqlx::Row;"),
        ("src/web/words.rs", "let x = std::fs::read(y);"),
        ("src/science/zone.rs", "use tokio::time;"),
        ("src/science/mod.rs", "use crate::clock::Clock;"),
        ("src/program/demo/mod.rs", "#[derive(askama::Template)]"),
    ];
    for (path, text) in slips {
        assert_eq!(planted(path, text).len(), 1, "{path}: {text}");
    }
    for (path, text) in [
        (
            "src/store/row.rs",
            "use crate::science::zone; // crate::web",
        ),
        (
            "src/web/words.rs",
            "use crate::store::ledger::{Kind, Values};",
        ),
        ("src/program/serve.rs", "use crate::web::router;"),
    ] {
        assert_eq!(planted(path, text), [], "{path}: {text}");
    }
}

/// SQL stays in the store, also where it is only a text.
fn sql_breaches(file: &File) -> Vec<Breach> {
    const STATEMENTS: [&str; 6] = [
        "SELECT ",
        "INSERT INTO ",
        "UPDATE ",
        "DELETE FROM ",
        "CREATE TABLE ",
        "PRAGMA ",
    ];
    if file.path.starts_with("src/store/") {
        return Vec::new();
    }
    (1..)
        .zip(file.text.lines())
        .filter(|(_, line)| {
            let statement = |word: &&str| line.contains(&format!("\"{word}"));
            STATEMENTS.iter().any(statement)
        })
        .map(|(line, _)| Breach::at(&file.path, line, "SQL outside of src/store"))
        .chain(
            outside(&file.text, "sqlx")
                .into_iter()
                .map(|line| Breach::at(&file.path, line, "sqlx outside of src/store")),
        )
        .collect()
}

#[test]
fn sql_is_only_in_the_store() {
    none(
        files_in("src/", ".rs")
            .iter()
            .flat_map(sql_breaches)
            .collect(),
    );
}

#[test]
fn sql_elsewhere_is_found() {
    let planted = |path: &str| File {
        path: path.to_owned(),
        text: "//! x\nlet all = sqlx::query(\"SELECT * FROM sample\");\n".to_owned(),
    };
    assert_eq!(sql_breaches(&planted("src/program/export.rs")).len(), 2);
    assert_eq!(sql_breaches(&planted("src/store/sample.rs")), []);
}

/// Only `src/clock.rs` asks for the time.
fn time_breaches(file: &File) -> Vec<Breach> {
    const ASKS: [&str; 6] = [
        "Utc::now",
        "Local::now",
        "SystemTime::now",
        "Instant::now",
        "Uuid::now_v7",
        "Timestamp::now",
    ];
    if file.path == "src/clock.rs" {
        return Vec::new();
    }
    let code = super::code::without_comments_and_strings(&file.text);
    (1..)
        .zip(code.lines())
        .flat_map(|(line, text)| {
            ASKS.iter()
                .filter(|asks| text.replace(' ', "").contains(**asks))
                .map(move |asks| (line, asks))
        })
        .map(|(line, asks)| Breach::at(&file.path, line, format!("{asks}: only src/clock.rs asks")))
        .collect()
}

#[test]
fn only_the_clock_asks_for_the_time() {
    none(
        files_in("src/", ".rs")
            .iter()
            .flat_map(time_breaches)
            .collect(),
    );
}

#[test]
fn a_look_at_the_clock_is_found() {
    let planted = |path: &str, text: &str| {
        time_breaches(&File {
            path: path.to_owned(),
            text: text.to_owned(),
        })
    };
    for asks in ["chrono::Utc::now()", "Instant :: now()", "Uuid::now_v7()"] {
        assert_eq!(planted("src/web/known.rs", asks).len(), 1, "{asks}");
    }
    assert_eq!(planted("src/clock.rs", "Utc::now()"), []);
    assert_eq!(
        planted("src/web/known.rs", "// Utc::now()\nclock.now()"),
        []
    );
}
