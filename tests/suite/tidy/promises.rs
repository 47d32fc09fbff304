//! The table of promises in DEVELOPERS.md: each row names a test, and each test named is there.

use super::{Breach, files_in, top};

const NOTES: &str = "DEVELOPERS.md";

/// The rows of the table, with their line in the file.
fn rows(text: &str) -> Vec<(usize, &str)> {
    let lines = text.lines().enumerate();
    lines
        .skip_while(|(_, line)| !line.starts_with("## Promises"))
        .skip(1)
        .take_while(|(_, line)| !line.starts_with("## "))
        .filter(|(_, line)| line.starts_with("| ") && !line.starts_with("| promise"))
        .filter(|(_, line)| !line.starts_with("| ---"))
        .map(|(place, line)| (place + 1, line))
        .collect()
}

/// What a row names between back ticks in its second cell.
fn tests_of(row: &str) -> Vec<&str> {
    let cell = row.trim_end_matches([' ', '|']).rsplit("| ").next();
    let parts = cell.unwrap_or_default().split('`');
    parts.skip(1).step_by(2).collect()
}

fn breaches(text: &str, source: &str) -> Vec<Breach> {
    let mut found = Vec::new();
    for (line, row) in rows(text) {
        let tests = tests_of(row);
        if tests.is_empty() {
            found.push(Breach::at(NOTES, line, "a promise without a test"));
        }
        for test in tests {
            if !source.contains(&format!("fn {test}(")) {
                let what = format!("there is no test {test}");
                found.push(Breach::at(NOTES, line, what));
            }
        }
    }
    found
}

#[test]
fn every_promise_has_tests_that_are_there() {
    let text = std::fs::read_to_string(top().join(NOTES)).expect("the notes");
    assert!(rows(&text).len() > 15, "{:?}", rows(&text));
    let source: String = files_in("tests/suite/", ".rs")
        .into_iter()
        .map(|file| file.text)
        .collect();
    super::none(breaches(&text, &source));
}

#[test]
fn a_promise_without_its_test_is_found() {
    let text = "## Promises\n| promise | test |\n| --- | --- |\n| a | `there`, `gone` |\n| b | |\n## Next\n| c | `gone` |";
    let found = breaches(text, "fn there() {}");
    assert_eq!(
        found,
        [
            Breach::at(NOTES, 4, "there is no test gone"),
            Breach::at(NOTES, 5, "a promise without a test"),
        ]
    );
}
