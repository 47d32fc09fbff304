//! Telephone numbers in typed text, for links that a phone dials. The text itself stays as typed.
//! Not here: whose number it is (`told`).

/// A piece of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    pub text: String,
    /// What a phone dials, where the piece is a number.
    pub number: Option<String>,
}

/// A number of this few digits is one only without signs between: 112 is, 7.30 is none.
const FEWEST: usize = 3;
const FEWEST_WITH_SIGNS: usize = 6;

/// The pieces of a text, such as "555-0142, in the evening 555-0143".
pub fn pieces(text: &str) -> Vec<Piece> {
    let mut found: Vec<Piece> = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let same = rest
            .find(|sign| may_be_dialled(sign) != may_be_dialled(first))
            .unwrap_or(rest.len());
        let (run, after) = rest.split_at(same);
        rest = after;
        let core =
            run.trim_matches(|sign: char| !sign.is_ascii_digit() && !matches!(sign, '+' | '('));
        match number(core) {
            Some(number) => {
                let at = run.find(core).unwrap_or(0);
                plain(&mut found, &run[..at]);
                found.push(Piece {
                    text: core.to_owned(),
                    number: Some(number),
                });
                plain(&mut found, &run[at + core.len()..]);
            }
            None => plain(&mut found, run),
        }
    }
    found
}

/// Adds text that is no number to what stands before it.
fn plain(found: &mut Vec<Piece>, text: &str) {
    match found.last_mut().filter(|last| last.number.is_none()) {
        Some(last) => last.text.push_str(text),
        None if text.is_empty() => {}
        None => found.push(Piece {
            text: text.to_owned(),
            number: None,
        }),
    }
}

fn may_be_dialled(sign: char) -> bool {
    sign.is_ascii_digit() || matches!(sign, '+' | '-' | ' ' | '.' | '/' | '(' | ')')
}

fn number(run: &str) -> Option<String> {
    let digits = run.chars().filter(char::is_ascii_digit).count();
    let alone = digits == run.len();
    if digits < FEWEST || (!alone && digits < FEWEST_WITH_SIGNS) {
        return None;
    }
    let dialled = run
        .chars()
        .filter(|sign| sign.is_ascii_digit() || *sign == '+');
    Some(dialled.collect())
}
