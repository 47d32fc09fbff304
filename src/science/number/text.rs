//! Brings typed text to one plain alphabet before it is read as a number.
//!
//! Nothing is understood here: that is the business of the room's other files.

/// Gives the text with ASCII digits, single plain blanks, `-` for every minus, `'` and `"` for
/// every quote mark, and vulgar fractions written out; marks that can't be seen are dropped.
pub fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for typed in text.chars() {
        match typed {
            '\u{061c}'
            | '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'
            | '\u{feff}' => {}
            '½' => out.push_str(" 1/2"),
            '¼' => out.push_str(" 1/4"),
            '¾' => out.push_str(" 3/4"),
            // The Arabic group mark stands only between groups, like a blank.
            '\u{066c}' => out.push(' '),
            _ => out.push(one(typed)),
        }
    }
    let words: Vec<&str> = out.split(' ').filter(|word| !word.is_empty()).collect();
    words.join(" ")
}

fn one(typed: char) -> char {
    match typed {
        '\u{0660}'..='\u{0669}' => digit(typed, 0x0660),
        '\u{06f0}'..='\u{06f9}' => digit(typed, 0x06f0),
        '\u{066b}' => '.',
        '\u{066a}' => '%',
        '\u{2212}' | '\u{2010}'..='\u{2014}' => '-',
        '\u{2044}' | '\u{2215}' => '/',
        '\u{2018}' | '\u{2019}' | '\u{2032}' => '\'',
        '\u{201c}' | '\u{201d}' | '\u{2033}' => '"',
        'º' => '°',
        blank if blank.is_whitespace() => ' ',
        other => other,
    }
}

fn digit(typed: char, zero: u32) -> char {
    char::from_digit(typed as u32 - zero, 10).unwrap_or(typed)
}

/// Gives the first forty characters, for sentences that quote what was typed.
pub fn quoted(text: &str) -> String {
    text.trim().chars().take(40).collect()
}
