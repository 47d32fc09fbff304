//! The thin binary: reads the command line and hands over to `program`.

use std::process::ExitCode;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    if words.first().map(String::as_str) != Some("figure") {
        eprintln!("Type: endpost figure KIND");
        return ExitCode::from(2);
    }
    let example = words.iter().any(|word| word == "--example");
    let kind = words[1..].iter().find(|word| !word.starts_with("--"));
    endpost::program::figure::command::run(kind.map(String::as_str), example)
}
