//! Reads the line of a row with odd panels: "A8: 11 panels, last 2" or "A8: 4 4 4 2".
//!
//! The shape of the block is read in `layout`.

use super::{LayoutError, MOST_PANELS, Shape, Token, Word, count, tokens};
use crate::science::number::text;
use crate::science::places::RowLayout;

/// Gives one of the rows its own panels.
pub(super) fn odd_row(line: &str, rows: &mut [RowLayout], shape: Shape) -> Result<(), LayoutError> {
    let typed = text::quoted(line);
    let not_understood = || LayoutError::OddRow {
        typed: typed.clone(),
    };
    let (label, panels) = line.split_once(':').ok_or_else(not_understood)?;
    let label: String = label.split_whitespace().collect::<String>().to_uppercase();
    let label = label.strip_prefix("ROW").unwrap_or(&label);
    let known = match rows {
        [] => String::new(),
        [only] => only.label.clone(),
        [first, .., last] => format!("{} to {}", first.label, last.label),
    };
    let row = rows
        .iter_mut()
        .find(|row| row.label == label)
        .ok_or_else(|| LayoutError::NoSuchRow {
            row: label.to_owned(),
            known,
        })?;
    row.panels = odd_panels(&tokens(panels), shape).ok_or_else(not_understood)??;
    Ok(())
}

/// The panels of an odd row; nothing where the words are not understood.
fn odd_panels(tokens: &[Token], shape: Shape) -> Option<Result<Vec<u16>, LayoutError>> {
    let only_numbers = tokens.iter().all(|token| matches!(token, Token::Number(_)));
    if tokens.is_empty() || (only_numbers && tokens.len() > usize::from(MOST_PANELS)) {
        return None;
    }
    if only_numbers {
        let numbers = tokens.iter().filter_map(|token| match token {
            Token::Number(number) => Some(count(number, Word::Vines)),
            _ => None,
        });
        return Some(numbers.collect());
    }
    let (mut panels, mut vines, mut first, mut last) = (shape.panels, shape.vines, None, None);
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        let place = match (token, tokens.get(at + 1)) {
            (Token::Number(number), Some(Token::Word(Word::Panels))) => {
                count(number, Word::Panels).map(|count| panels = count)
            }
            (Token::Number(number), Some(Token::Word(Word::Vines))) => {
                count(number, Word::Vines).map(|count| vines = count)
            }
            (Token::Other(end), Some(Token::Number(number))) if end == "last" => {
                count(number, Word::Vines).map(|count| last = Some(count))
            }
            (Token::Other(end), Some(Token::Number(number))) if end == "first" => {
                count(number, Word::Vines).map(|count| first = Some(count))
            }
            (Token::Other(word), _)
                if matches!(word.as_str(), "of" | "with" | "and" | "but" | "each") =>
            {
                at += 1;
                continue;
            }
            (Token::Word(Word::Vines), _) => {
                at += 1;
                continue;
            }
            _ => return None,
        };
        if let Err(error) = place {
            return Some(Err(error));
        }
        at += 2;
    }
    let mut list = vec![vines; usize::from(panels)];
    if let (Some(vines), Some(panel)) = (first, list.first_mut()) {
        *panel = vines;
    }
    if let (Some(vines), Some(panel)) = (last, list.last_mut()) {
        *panel = vines;
    }
    Some(Ok(list))
}
