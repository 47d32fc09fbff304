//! What differs between two versions of a record, value by value, in words.
//! Not here: the history it stands in (`ledger::past`), the question about a page that was
//! overtaken (`form::overtaken`).

use std::fmt;

use super::words::{Line, ReadBack};

/// A value, with the value that stood there before it if there was one.
#[derive(Debug, PartialEq, Eq)]
pub struct Changed {
    pub label: String,
    pub before: Option<String>,
    /// None when nothing stands there any more.
    pub now: Option<String>,
}

impl Changed {
    pub fn nothing_before(line: &Line) -> Self {
        Self {
            label: line.label.clone(),
            before: None,
            now: Some(line.text.clone()),
        }
    }
}

impl fmt::Display for Changed {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let label = match self.label.as_str() {
            "" => String::new(),
            label => format!("{label} "),
        };
        match (&self.before, &self.now) {
            (Some(before), Some(now)) => write!(out, "{label}{before}, now {now}"),
            (Some(before), None) => write!(out, "{label}{before}, taken out"),
            (None, now) => write!(out, "{label}{}", now.as_deref().unwrap_or("")),
        }
    }
}

/// The values of an entry in words, with the headline as the first of them: block and day stand
/// only there.
pub fn with_headline(said: ReadBack) -> Vec<Line> {
    let headline = Line {
        label: String::new(),
        text: said.headline,
    };
    [headline].into_iter().chain(said.lines).collect()
}

/// What differs between two versions, in the order of the newer; what is gone comes last. Lines
/// that share a label are taken in turn.
pub fn compared(before: &[Line], now: &[Line]) -> Vec<Changed> {
    let mut left: Vec<&Line> = before.iter().collect();
    let mut changed = Vec::new();
    for line in now {
        let place = left.iter().position(|old| old.label == line.label);
        let old = place.map(|place| left.remove(place).text.clone());
        if old.as_ref() != Some(&line.text) {
            changed.push(Changed {
                label: line.label.clone(),
                before: old,
                now: Some(line.text.clone()),
            });
        }
    }
    changed.extend(left.into_iter().map(|gone| Changed {
        label: gone.label.clone(),
        before: Some(gone.text.clone()),
        now: None,
    }));
    changed
}
