//! The command line of `endpost figure`: standard input in, standard output out.
//! No sums here.

use super::{FigureError, KINDS, answer, kind};
use std::io::{Read, Write};
use std::process::ExitCode;

/// Lists the kinds, prints an example, or answers what stands on standard input.
///
/// Exit 0 with JSON on standard output; exit 2 with a sentence on standard error that names the
/// field.
pub fn run(name: Option<&str>, example: bool) -> ExitCode {
    let printed = match name {
        None => Ok(list()),
        Some(name) if example => example_of(name),
        Some(name) => answer_to(name),
    };
    match printed {
        Ok(text) => print(&text),
        Err(error) => {
            // Nothing more can be said where standard error itself is closed.
            let _ = writeln!(std::io::stderr(), "{error}");
            ExitCode::from(2)
        }
    }
}

/// The kinds with a line each.
pub fn list() -> String {
    let width = KINDS.iter().map(|figure| figure.name.len()).max();
    let width = width.unwrap_or(0);
    KINDS
        .iter()
        .map(|figure| format!("{:width$}  {}\n", figure.name, figure.about))
        .collect()
}

fn example_of(name: &str) -> Result<String, FigureError> {
    let figure = kind(name).ok_or_else(|| unknown(name))?;
    Ok(format!("{}\n", figure.example))
}

fn answer_to(name: &str) -> Result<String, FigureError> {
    kind(name).ok_or_else(|| unknown(name))?;
    let mut typed = String::new();
    std::io::stdin()
        .read_to_string(&mut typed)
        .map_err(|_| FigureError("Standard input is not text.".to_owned()))?;
    let input = serde_json::from_str(&typed)
        .map_err(|error| FigureError(format!("Standard input is not JSON: {error}.")))?;
    Ok(format!("{}\n", answer(name, input)?))
}

fn unknown(name: &str) -> FigureError {
    FigureError(format!(
        "There is no figure {name}. These there are:\n{}",
        list().trim_end()
    ))
}

fn print(text: &str) -> ExitCode {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => ExitCode::SUCCESS,
        // Whoever reads has had enough, as with `head`.
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(_) => ExitCode::FAILURE,
    }
}
