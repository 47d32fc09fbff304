//! Sets up the rows of a block from one typed line, and the odd panels from a line a row.
//!
//! Labels are painted on posts: they are unique on the farm and never given out again.

mod odd;

use super::RowLayout;
use super::address::split_label;
use crate::science::number::text;
use thiserror::Error;

/// More than these in one block is a slip of the thumb (judgement).
const MOST_ROWS: u16 = 400;
const MOST_PANELS: u16 = 300;
const MOST_VINES: u16 = 60;

/// Why lines are no layout.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LayoutError {
    #[error("Nothing was typed. Write one line such as \"8 rows, 11 panels, 4 vines\".")]
    Empty,
    #[error("\"{typed}\" does not say how many {missing}. Write \"8 rows, 11 panels, 4 vines\".")]
    Missing {
        typed: String,
        missing: &'static str,
    },
    #[error("\"{typed}\" says more than once how many {what}.")]
    Twice { typed: String, what: &'static str },
    #[error("\"{typed}\" is not understood. Write \"8 rows, 11 panels, 4 vines\".")]
    NotUnderstood { typed: String },
    #[error("{count} {what} can't be; from 1 to {most} can be set up in one line.")]
    TooMany {
        count: String,
        what: &'static str,
        most: u16,
    },
    #[error("The block needs a letter of its own, such as A.")]
    NoLetter,
    #[error("There is no row {row} in this block; its rows are {known}.")]
    NoSuchRow { row: String, known: String },
    #[error("\"{typed}\" is not understood. Write \"A8: 11 panels, last 2\" or \"A8: 4 4 4 2\".")]
    OddRow { typed: String },
}

/// Rows × panels a row × vines a panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shape {
    pub rows: u16,
    pub panels: u16,
    pub vines: u16,
}

#[derive(Clone, Copy, PartialEq)]
enum Word {
    Rows,
    Panels,
    Vines,
}

impl Word {
    const fn name(self) -> &'static str {
        match self {
            Word::Rows => "rows",
            Word::Panels => "panels a row",
            Word::Vines => "vines a panel",
        }
    }

    const fn most(self) -> u16 {
        match self {
            Word::Rows => MOST_ROWS,
            Word::Panels => MOST_PANELS,
            Word::Vines => MOST_VINES,
        }
    }

    fn of(word: &str) -> Option<Word> {
        Some(match word {
            "row" | "rows" => Word::Rows,
            "panel" | "panels" | "bay" | "bays" => Word::Panels,
            "vine" | "vines" | "plant" | "plants" | "position" | "positions" => Word::Vines,
            _ => return None,
        })
    }
}

enum Token {
    Number(String),
    Word(Word),
    Other(String),
}

fn tokens(line: &str) -> Vec<Token> {
    let plain = text::plain(line).to_lowercase();
    let mut spaced = String::new();
    let mut before = ' ';
    for sign in plain.chars() {
        if sign.is_ascii_digit() != before.is_ascii_digit() {
            spaced.push(' ');
        }
        spaced.push(if matches!(sign, ',' | ':' | ';' | '=' | '(' | ')') {
            ' '
        } else {
            sign
        });
        before = sign;
    }
    spaced
        .split_whitespace()
        .map(|part| {
            if part.starts_with(|sign: char| sign.is_ascii_digit()) {
                Token::Number(part.to_owned())
            } else {
                let word = part.trim_end_matches('.');
                Word::of(word).map_or_else(|| Token::Other(word.to_owned()), Token::Word)
            }
        })
        .collect()
}

/// Reads one line such as "8 rows, 11 panels, 4 vines", in any order, or "8 x 11 x 4".
///
/// ```
/// use endpost::science::places::layout::{parse_shape, Shape};
/// let shape = Shape { rows: 8, panels: 11, vines: 4 };
/// assert_eq!(parse_shape("4 vines to a panel, 11 panels a row, 8 rows"), Ok(shape));
/// assert_eq!(parse_shape("8 x 11 x 4"), Ok(shape));
/// ```
pub fn parse_shape(line: &str) -> Result<Shape, LayoutError> {
    let tokens = tokens(line);
    if tokens.is_empty() {
        return Err(LayoutError::Empty);
    }
    let typed = text::quoted(line);
    if !tokens.iter().any(|token| matches!(token, Token::Word(_))) {
        return bare_shape(&tokens, typed);
    }
    let mut counts: [Option<u16>; 3] = [None; 3];
    for (number, word) in pairs(&tokens) {
        let word = word.ok_or_else(|| LayoutError::NotUnderstood {
            typed: typed.clone(),
        })?;
        let place = &mut counts[word as usize];
        if place.is_some() {
            return Err(LayoutError::Twice {
                typed,
                what: word.name(),
            });
        }
        *place = Some(count(number, word)?);
    }
    let count_of = |word: Word| {
        counts[word as usize].ok_or_else(|| LayoutError::Missing {
            typed: typed.clone(),
            missing: word.name(),
        })
    };
    Ok(Shape {
        rows: count_of(Word::Rows)?,
        panels: count_of(Word::Panels)?,
        vines: count_of(Word::Vines)?,
    })
}

/// Pairs each number with its word: the first word after it, or, in a line that opens with a
/// word ("rows: 8, vines per panel: 4"), the first of the words before it.
fn pairs(tokens: &[Token]) -> Vec<(&str, Option<Word>)> {
    let opening = tokens
        .iter()
        .find(|token| !matches!(token, Token::Other(_)));
    let words_first = matches!(opening, Some(Token::Word(_)));
    let mut found: Vec<(&str, Option<Word>)> = Vec::new();
    let mut waiting: Option<Word> = None;
    for token in tokens {
        match token {
            Token::Number(number) => found.push((number, waiting.take())),
            Token::Word(word) if words_first => waiting = waiting.or(Some(*word)),
            Token::Word(word) => {
                if let Some((_, place)) = found.last_mut() {
                    *place = place.or(Some(*word));
                }
            }
            Token::Other(_) => {}
        }
    }
    found
}

fn bare_shape(tokens: &[Token], typed: String) -> Result<Shape, LayoutError> {
    let mut numbers: Vec<&str> = Vec::new();
    for token in tokens {
        match token {
            Token::Number(number) => numbers.push(number),
            Token::Other(sign) if matches!(sign.as_str(), "x" | "×" | "*" | "by") => {}
            _ => return Err(LayoutError::NotUnderstood { typed }),
        }
    }
    match numbers.as_slice() {
        [rows, panels, vines] => Ok(Shape {
            rows: count(rows, Word::Rows)?,
            panels: count(panels, Word::Panels)?,
            vines: count(vines, Word::Vines)?,
        }),
        _ => Err(LayoutError::NotUnderstood { typed }),
    }
}

fn count(number: &str, word: Word) -> Result<u16, LayoutError> {
    number
        .parse()
        .ok()
        .filter(|count| (1..=word.most()).contains(count))
        .ok_or_else(|| LayoutError::TooMany {
            count: text::quoted(number),
            what: word.name(),
            most: word.most(),
        })
}

/// Reads a block's layout: the first line its shape, each further line a row with odd panels.
///
/// `taken` are all labels the farm ever gave out, also of rows long grubbed: new rows take the
/// numbers after the highest of their letter. An odd row is written `A8: 11 panels, last 2` or
/// as the list of its panels, `A8: 4 4 4 2`.
///
/// ```
/// use endpost::science::places::read_layout;
/// let rows = read_layout("8 rows, 11 panels, 4 vines\nA8: 11 panels, last 2", "A", &[]).unwrap();
/// assert_eq!((rows[0].label.as_str(), rows[7].positions()), ("A1", 42));
/// ```
pub fn read_layout(
    lines: &str,
    letter: &str,
    taken: &[String],
) -> Result<Vec<RowLayout>, LayoutError> {
    read_layout_keeping(lines, letter, &[], taken)
}

/// The same for a block whose posts are painted: its rows keep the labels `own`, in that order,
/// and only rows beyond them get new ones.
///
/// ```
/// use endpost::science::places::read_layout_keeping;
/// let own = ["A1".to_owned(), "A2".to_owned()];
/// let taken = ["A1".to_owned(), "A2".to_owned(), "A8".to_owned()];
/// let rows = read_layout_keeping("3 x 11 x 4", "A", &own, &taken).unwrap();
/// let labels: Vec<&str> = rows.iter().map(|row| row.label.as_str()).collect();
/// assert_eq!(labels, ["A1", "A2", "A9"]);
/// ```
pub fn read_layout_keeping(
    lines: &str,
    letter: &str,
    own: &[String],
    taken: &[String],
) -> Result<Vec<RowLayout>, LayoutError> {
    let mut lines = lines.lines().filter(|line| !line.trim().is_empty());
    let shape = parse_shape(lines.next().ok_or(LayoutError::Empty)?)?;
    let count = usize::from(shape.rows);
    let mut labels: Vec<String> = own.iter().take(count).cloned().collect();
    if labels.len() < count {
        let letter = letter.trim().to_uppercase();
        if letter.is_empty() || !letter.chars().all(char::is_alphabetic) {
            return Err(LayoutError::NoLetter);
        }
        let first = next_number(&letter, taken);
        let new = (first..).map(|number| format!("{letter}{number}"));
        labels.extend(new.take(count - labels.len()));
    }
    let mut rows: Vec<RowLayout> = labels
        .into_iter()
        .map(|label| RowLayout {
            label,
            panels: vec![shape.vines; usize::from(shape.panels)],
        })
        .collect();
    for line in lines {
        odd::odd_row(line, &mut rows, shape)?;
    }
    Ok(rows)
}

/// The number after the highest ever given out with this letter.
pub fn next_number(letter: &str, taken: &[String]) -> u32 {
    taken
        .iter()
        .filter_map(|label| split_label(label))
        .filter(|(letters, _)| letters.trim().to_uppercase() == letter)
        .map(|(_, number)| number.saturating_add(1))
        .max()
        .unwrap_or(1)
}
