//! What every file of the project is: it opens with what it is for, stays short, and keeps words
//! out that have no place here. Not here: what is in the code (`floors`).

use super::code::{without_comments, without_comments_and_strings};
use super::{Breach, File, all_files, files_in, none};

const MOST_LINES: usize = 500;

fn opening_breaches(file: &File) -> Vec<Breach> {
    let opens = file
        .text
        .lines()
        .next()
        .is_some_and(|line| line.starts_with("//! ") && line.len() > 20);
    let mut found = Vec::new();
    if !opens {
        let what = "it does not open with //! and what it is for";
        found.push(Breach::at(&file.path, 1, what));
    }
    found
}

#[test]
fn every_source_file_says_what_it_is_for() {
    let files = [files_in("src/", ".rs"), files_in("tests/", ".rs")];
    none(files.iter().flatten().flat_map(opening_breaches).collect());
}

#[test]
fn a_file_that_does_not_say_is_found() {
    let planted = |text: &str| {
        opening_breaches(&File {
            path: "src/x.rs".to_owned(),
            text: text.to_owned(),
        })
    };
    for text in [
        "",
        "use x;",
        "//!",
        "// The rooms of the house.",
        "\n//! The rooms of the house.",
    ] {
        assert_eq!(planted(text).len(), 1, "{text:?}");
    }
    assert_eq!(planted("//! The rooms of the house.\n"), []);
}

/// Data, and what a tool writes, may be long.
fn may_be_long(path: &str) -> bool {
    path == "Cargo.lock"
        || path.starts_with("tests/published/")
        || path.starts_with("tests/golden/")
        || path.starts_with("tests/fixtures/")
}

fn length_breaches(file: &File) -> Vec<Breach> {
    let lines = file.text.lines().count();
    let mut found = Vec::new();
    if lines > MOST_LINES && !may_be_long(&file.path) {
        let what = format!("{lines} lines; {MOST_LINES} are the most");
        found.push(Breach::at(&file.path, lines, what));
    }
    found
}

#[test]
fn no_file_is_longer_than_can_be_read() {
    none(all_files().iter().flat_map(length_breaches).collect());
}

#[test]
fn a_long_file_is_found() {
    let planted = |path: &str, lines: usize| {
        length_breaches(&File {
            path: path.to_owned(),
            text: "x\n".repeat(lines),
        })
    };
    assert_eq!(planted("src/x.rs", 501).len(), 1);
    assert_eq!(planted("src/x.rs", 500), []);
    assert_eq!(planted("tests/published/x.csv", 501), []);
}

/// Words that must not stand anywhere; put together here, so that they do not stand here either.
fn nowhere() -> [String; 3] {
    [
        ["trans", "cript"].concat(),
        ["crates", ".io"].concat(),
        ["/wo", "rk/"].concat(),
    ]
}

fn word_breaches(file: &File) -> Vec<Breach> {
    if file.path == "Cargo.lock" {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (line, text) in (1..).zip(file.text.lines()) {
        let lower = text.to_lowercase();
        for word in nowhere() {
            if lower.contains(&word) {
                found.push(Breach::at(&file.path, line, format!("the word {word:?}")));
            }
        }
    }
    found
}

#[test]
fn words_without_a_place_here_are_nowhere() {
    none(all_files().iter().flat_map(word_breaches).collect());
}

/// The tool adds up intervals; it never says that something is safe.
fn promise_breaches(file: &File) -> Vec<Breach> {
    let spoken: Vec<(usize, String)> = if file.path.ends_with(".html") {
        // A filter of the templates has the same name as the promise.
        let lines = file.text.lines().map(|line| line.replace("|safe", ""));
        (1..).zip(lines).collect()
    } else {
        let text = without_comments(&file.text);
        let code = without_comments_and_strings(&file.text);
        (1..)
            .zip(text.lines().zip(code.lines()))
            .map(|(line, (text, code))| (line, only_strings(text, code)))
            .collect()
    };
    spoken
        .into_iter()
        .filter(|(_, text)| {
            let mut words = text.split(|letter: char| !letter.is_alphabetic());
            words.any(|word| matches!(word.to_lowercase().as_str(), "safe" | "safely"))
        })
        .map(|(line, _)| Breach::at(&file.path, line, "the tool never says that"))
        .collect()
}

/// The letters of a line that are no code.
fn only_strings(text: &str, code: &str) -> String {
    text.chars()
        .zip(code.chars())
        .map(|(letter, kept)| if kept == ' ' { letter } else { ' ' })
        .collect()
}

#[test]
fn nothing_is_ever_called_safe() {
    let files = [
        files_in("templates/", ".html"),
        files_in("src/web/", ".rs"),
        files_in("src/science/sprays/", ".rs"),
        files_in("src/science/harvest/", ".rs"),
        files_in("src/program/", ".rs"),
    ];
    none(files.iter().flatten().flat_map(promise_breaches).collect());
}

#[test]
fn words_are_found() {
    let planted = |path: &str, text: &str| File {
        path: path.to_owned(),
        text: text.to_owned(),
    };
    for word in nowhere() {
        let text = format!("one\nA {} here", word.to_uppercase());
        assert_eq!(
            word_breaches(&planted("README.md", &text)).len(),
            1,
            "{word}"
        );
    }
    for (path, text) in [
        ("templates/x.html", "<p>It is safe to go in.</p>"),
        ("src/web/x.rs", "let said = \"Safe to enter\";"),
    ] {
        assert_eq!(promise_breaches(&planted(path, text)).len(), 1, "{text}");
    }
    for (path, text) in [
        ("templates/x.html", "{{ rail|safe }}"),
        ("src/web/x.rs", "let safe = 1; // safe"),
        ("src/web/x.rs", "\"the safety interval\""),
    ] {
        assert_eq!(promise_breaches(&planted(path, text)), [], "{text}");
    }
}
