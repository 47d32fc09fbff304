//! The text in which a phone hands its entries over by hand, as a file or by mail:
//!
//! ```text
//! Endpost entries 1
//! 0f3a99c2 {"v":1,"id":"…","fields":{"note":"on\u0020the\u0020hill"},…}
//! ```
//!
//! One line an entry: the CRC32 (IEEE, eight hexadecimal digits) of the envelope's text, a blank,
//! the envelope as JSON. That is written in ASCII without any blank or `>`; within its strings
//! those and all other letters stand as `\u0020`. So whatever a mail program adds or wraps can be
//! left out again before the CRC is looked at. Text around the entries is left out and said.
//! Not here: what becomes of the envelopes (`paste`).

use crc32fast::Hasher;

use super::envelope::{Envelope, Unreadable};

const HEADER: &str = "Endpost entries 1";

/// One piece of a pasted text, with the line it begins in.
pub struct Piece {
    pub line: usize,
    pub found: Result<Box<Envelope>, NoEntry>,
}

/// Why a piece is no entry.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoEntry {
    #[error("It was cut or changed on the way, since its checksum does not fit.")]
    Changed,
    #[error("This is no entry.")]
    OtherText,
    #[error("{0}")]
    Unreadable(#[from] Unreadable),
}

/// All pieces of a text, in order.
pub fn pieces(text: &str) -> Vec<Piece> {
    let lines: Vec<&str> = text.lines().collect();
    let mut found = Vec::new();
    let mut at = 0;
    while at < lines.len() {
        let rest = &lines[at..];
        let line = at + 1;
        match beginning(rest[0]) {
            Some((crc, first)) => {
                let following = rest[1..].iter();
                let following = following.take_while(|line| beginning(line).is_none());
                let block: Vec<&str> = [first].into_iter().chain(following.copied()).collect();
                let (json, used) = whole(crc, &block).unzip();
                found.push(Piece {
                    line,
                    found: match json {
                        Some(json) => Envelope::read(json.as_bytes())
                            .map(Box::new)
                            .map_err(NoEntry::from),
                        None => Err(NoEntry::Changed),
                    },
                });
                at += used.unwrap_or(block.len());
            }
            None => {
                let other = rest.iter().take_while(|line| beginning(line).is_none());
                let other: Vec<&&str> = other.collect();
                if other.iter().any(|line| says_something(line)) {
                    found.push(Piece {
                        line,
                        found: Err(NoEntry::OtherText),
                    });
                }
                at += other.len();
            }
        }
    }
    found
}

/// The checksum and what follows it, where a line begins an entry.
fn beginning(line: &str) -> Option<(u32, &str)> {
    let line = line.trim_start_matches(|letter: char| !belongs(letter));
    let (crc, rest) = line.split_at_checked(8)?;
    let follows = rest.chars().find(|letter| belongs(*letter));
    if !crc.bytes().all(|digit| digit.is_ascii_hexdigit()) || !matches!(follows, None | Some('{')) {
        return None;
    }
    Some((u32::from_str_radix(crc, 16).ok()?, rest))
}

/// The JSON that the checksum fits, and how many lines of the block it takes.
fn whole(crc: u32, block: &[&str]) -> Option<(String, usize)> {
    let as_it_stands = block[0].trim();
    if crc32fast::hash(as_it_stands.as_bytes()) == crc {
        return Some((as_it_stands.to_owned(), 1));
    }
    let mut json = String::new();
    let mut hasher = Hasher::new();
    for (used, line) in (1..).zip(block) {
        let part: String = line.chars().filter(|letter| belongs(*letter)).collect();
        hasher.update(part.as_bytes());
        json.push_str(&part);
        if hasher.clone().finalize() == crc {
            return Some((json, used));
        }
    }
    None
}

/// The letters an entry is written in.
fn belongs(letter: char) -> bool {
    letter.is_ascii_graphic() && letter != '>'
}

fn says_something(line: &str) -> bool {
    let line = line.trim_matches(|letter: char| !belongs(letter));
    !line.is_empty() && line != HEADER
}
