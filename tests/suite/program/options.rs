//! The command line: every command is listed with a line, every option has help.

use endpost::program::import::columns;

use super::{complained, run, said};

#[test]
fn every_command_is_listed_with_a_line() {
    let help = said(&run(&["--help"]));
    for command in ["serve", "demo", "import", "export", "check", "figure"] {
        let line = help
            .lines()
            .find(|line| line.trim_start().starts_with(command));
        let words = line.unwrap_or_default().split_whitespace().count();
        assert!(words > 3, "{command} has no line of help: {help}");
    }
}

#[test]
fn every_option_of_every_command_has_help() {
    for (command, options) in [
        ("serve", &["--data", "--listen", "--known-as", "--qr"][..]),
        ("demo", &["--data", "--listen", "--known-as", "--qr"]),
        (
            "import",
            &[
                "--data",
                "--only-good",
                "--make-blocks",
                "--confirm-unusual",
                "--block-for",
            ],
        ),
        ("export", &["--data"]),
        ("check", &["--data"]),
        ("figure", &["--example"]),
    ] {
        let help = said(&run(&[command, "--help"]));
        for option in options {
            assert!(help.contains(option), "{command} {option}: {help}");
        }
    }
}

#[test]
fn the_help_of_import_documents_every_column() {
    let help = said(&run(&["import", "--help"]));
    for (name, holds) in columns::COLUMNS {
        assert!(
            help.contains(name) && help.contains(holds),
            "{name}: {help}"
        );
    }
}

#[test]
fn a_slip_in_an_option_is_answered_with_a_sentence() {
    let refused = run(&["import", "x.csv", "--block-for", "North hill"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(complained(&refused).contains("write the name in the file"));
    let refused = run(&["serve", "--listen", "here"]);
    assert_eq!(refused.status.code(), Some(2));
}
