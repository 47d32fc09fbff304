//! How the database is opened, where no test can look from outside: a phone is told "stored" only
//! after a full sync, and pages read through connections that can't write.
//! Not here: what can be seen in the file itself (`store::file`).

use super::code::without_comments;
use super::{Breach, File, files_in, none};

const OPENING: &str = "src/store/connection.rs";

/// What must be said to SQLite, and what would go wrong without it.
const SAID: [(&str, &str); 7] = [
    (
        ".synchronous(SqliteSynchronous::Full)",
        "a power cut loses what was answered",
    ),
    (
        ".journal_mode(SqliteJournalMode::Wal)",
        "pages wait for writes",
    ),
    (".foreign_keys(true)", "samples of no block are taken"),
    (
        ".pragma(\"fullfsync\", \"ON\")",
        "a Mac's disk keeps writes back",
    ),
    (
        ".pragma(\"trusted_schema\", \"OFF\")",
        "a planted file can run functions",
    ),
    (".read_only(true)", "pages could write"),
    (".pragma(\"query_only\", \"ON\")", "pages could write"),
];

fn unsaid(file: &File) -> Vec<Breach> {
    let code: String = without_comments(&file.text)
        .chars()
        .filter(|letter| !letter.is_whitespace())
        .collect();
    SAID.iter()
        .filter(|(said, _)| !code.contains(&said.replace(' ', "")))
        .map(|(said, why)| Breach::at(&file.path, 1, format!("without {said} {why}")))
        .collect()
}

#[test]
fn the_database_is_opened_so_that_answered_entries_stay() {
    let files = files_in("src/store/", ".rs");
    let opening = files.iter().find(|file| file.path == OPENING);
    none(unsaid(opening.expect(OPENING)));
}

#[test]
fn an_opening_that_saves_time_is_found() {
    let files = files_in("src/store/", ".rs");
    let opening = files.iter().find(|file| file.path == OPENING);
    let text = &opening.expect(OPENING).text;
    for (slip, instead) in [
        ("SqliteSynchronous::Full", "SqliteSynchronous::Normal"),
        (".foreign_keys(true)", "// .foreign_keys(true)"),
        (".read_only(true)", ""),
    ] {
        let planted = File {
            path: OPENING.to_owned(),
            text: text.replace(slip, instead),
        };
        assert_eq!(unsaid(&planted).len(), 1, "{slip}");
    }
}

/// Statements that write, in a file of the store, inside `impl Read`.
fn writing_readers(file: &File) -> Vec<Breach> {
    const WRITES: [&str; 5] = ["INSERT ", "UPDATE ", "DELETE ", "REPLACE ", "DROP "];
    let mut inside = false;
    let mut found = Vec::new();
    for (line, text) in (1..).zip(file.text.lines()) {
        if !text.starts_with([' ', '}']) && !text.is_empty() {
            inside = text.starts_with("impl Read ");
        }
        let trimmed = text.trim_start().trim_start_matches(['"', 'r', '#', '(']);
        let writes = WRITES.iter().any(|word| trimmed.starts_with(word))
            || WRITES
                .iter()
                .any(|word| text.contains(&format!("\"{word}")));
        if inside && writes {
            found.push(Breach::at(&file.path, line, "a reader that writes"));
        }
    }
    found
}

#[test]
fn readers_only_read() {
    let files = files_in("src/store/", ".rs");
    none(files.iter().flat_map(writing_readers).collect());
}

#[test]
fn a_reader_that_writes_is_found() {
    let planted = |text: &str| {
        writing_readers(&File {
            path: "src/store/x.rs".to_owned(),
            text: text.to_owned(),
        })
    };
    let slip =
        "impl Read {\n    fn f() {\n        query(\"UPDATE block SET name = ''\")\n    }\n}\n";
    assert_eq!(planted(slip).len(), 1);
    assert_eq!(planted(&slip.replace("impl Read ", "impl Write ")), []);
    assert_eq!(planted(&slip.replace("UPDATE", "SELECT")), []);
}
