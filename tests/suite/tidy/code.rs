//! Rust text without its comments and the contents of its strings, line for line, and cut into
//! words. Not here: rules.

/// A word or a sign of code, with its line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token {
    pub text: String,
    pub line: usize,
}

/// The same text with blanks for comments, and for what stands between quotes.
pub fn without_comments_and_strings(text: &str) -> String {
    blanked(text, true)
}

/// The same text with blanks for comments alone.
pub fn without_comments(text: &str) -> String {
    blanked(text, false)
}

fn blanked(text: &str, strings_too: bool) -> String {
    let letters: Vec<char> = text.chars().collect();
    let mut kept = String::with_capacity(text.len());
    let mut at = 0;
    while at < letters.len() {
        let end = match &letters[at..] {
            ['/', '/', ..] => find(&letters, at, &['\n']),
            ['/', '*', ..] => end_of_comment(&letters, at),
            ['"', ..] => end_of_string(&letters, at + 1),
            ['r', '"' | '#', ..] if !follows_word(&letters, at) => end_of_raw(&letters, at),
            ['\'', '\\', ..] => find(&letters, at + 3, &['\'']) + 1,
            ['\'', _, '\'', ..] => at + 3,
            _ => at,
        };
        if end == at {
            kept.push(letters[at]);
            at += 1;
        } else {
            let end = end.min(letters.len());
            let blank = strings_too || letters[at] == '/';
            kept.extend(letters[at..end].iter().map(|letter| match letter {
                ' '..='\u{10FFFF}' if blank => ' ',
                letter => *letter,
            }));
            at = end;
        }
    }
    kept
}

fn follows_word(letters: &[char], at: usize) -> bool {
    at > 0 && (letters[at - 1].is_alphanumeric() || letters[at - 1] == '_')
}

fn find(letters: &[char], from: usize, wanted: &[char]) -> usize {
    (from..letters.len())
        .find(|at| letters[*at..].starts_with(wanted))
        .unwrap_or(letters.len())
}

fn end_of_comment(letters: &[char], from: usize) -> usize {
    let mut depth = 0;
    let mut at = from;
    while at < letters.len() {
        match &letters[at..] {
            ['/', '*', ..] => (depth, at) = (depth + 1, at + 2),
            ['*', '/', ..] => (depth, at) = (depth - 1, at + 2),
            _ => at += 1,
        }
        if depth == 0 {
            break;
        }
    }
    at
}

fn end_of_string(letters: &[char], from: usize) -> usize {
    let mut at = from;
    while at < letters.len() && letters[at] != '"' {
        at += if letters[at] == '\\' { 2 } else { 1 };
    }
    at + 1
}

/// `r#"…"#`; a raw name such as `r#type` is no string and stays.
fn end_of_raw(letters: &[char], from: usize) -> usize {
    let hashes = letters[from + 1..]
        .iter()
        .take_while(|letter| **letter == '#')
        .count();
    let open = from + 1 + hashes;
    if letters.get(open) != Some(&'"') {
        return from;
    }
    let mut close = vec!['"'];
    close.resize(hashes + 1, '#');
    find(letters, open + 1, &close) + close.len()
}

/// The words and signs of code; `::` is one sign.
pub fn tokens(text: &str) -> Vec<Token> {
    let code = without_comments_and_strings(text);
    let mut found = Vec::new();
    for (line, text) in (1..).zip(code.lines()) {
        let mut rest = text;
        while let Some(first) = rest.chars().next() {
            let length = if first.is_alphanumeric() || first == '_' {
                rest.find(|letter: char| !letter.is_alphanumeric() && letter != '_')
                    .unwrap_or(rest.len())
            } else if rest.starts_with("::") {
                2
            } else {
                first.len_utf8()
            };
            let (token, after) = rest.split_at(length);
            if !first.is_whitespace() {
                found.push(Token {
                    text: token.to_owned(),
                    line,
                });
            }
            rest = after;
        }
    }
    found
}

#[test]
fn comments_and_strings_are_blanked_and_lines_stay() {
    let text =
        "a // crate::web\n/* b /* c */ d */ e \"f \\\" // g\" h r#\"i\" j\"# 'k' '\\'' l<'m>";
    let code = without_comments_and_strings(text);
    let words: Vec<&str> = code.split_whitespace().collect();
    assert_eq!(words, ["a", "e", "h", "l<'m>"]);
    assert_eq!(code.lines().count(), 2);
    assert_eq!(without_comments("a // b\n\"// c\""), "a     \n\"// c\"");
}

#[test]
fn code_is_cut_into_words() {
    let cut = tokens("use crate::{a,\n b as c};");
    let texts: Vec<&str> = cut.iter().map(|token| token.text.as_str()).collect();
    assert_eq!(
        texts,
        [
            "use", "crate", "::", "{", "a", ",", "b", "as", "c", "}", ";"
        ]
    );
    assert_eq!(cut[6].line, 2);
}
