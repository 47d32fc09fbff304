//! Two entries of which somebody has to say what they are: what is asked, and the answers that
//! make sense. Not here: what follows from an answer (the door).

use uuid::Uuid;

use super::entry::said;
use crate::store::ledger::{Entry, Settled};
use crate::web::changed::{compared, with_headline};
use crate::web::known::Known;

/// Why an entry stands beside another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// The same page was sent before with other values.
    OtherValues,
    /// The same contents came twice within minutes, on a page without an id.
    LooksLikeARepeat,
    /// What it changes was changed by somebody else meanwhile.
    Overtaken,
}

impl Why {
    /// Why an entry stands beside which other; none for one that came alone.
    pub fn of(entry: &Entry) -> Option<(Self, Uuid)> {
        match (entry.twin_of, entry.overtaken_by) {
            (Some(twin), _) if entry.no_client_id => Some((Self::LooksLikeARepeat, twin)),
            (Some(twin), _) => Some((Self::OtherValues, twin)),
            (None, Some(by)) => Some((Self::Overtaken, by)),
            (None, None) => None,
        }
    }

    pub fn in_short(self) -> &'static str {
        match self {
            Self::OtherValues => "It came under the number of another entry, with other values.",
            Self::LooksLikeARepeat => "It looks like a repeat of an entry just before it.",
            Self::Overtaken => "It changes an entry that was changed by somebody else meanwhile.",
        }
    }

    /// What is said right after it came.
    pub fn news(self) -> &'static str {
        match self {
            Self::OtherValues => {
                "The same page was sent before with other values. Both are kept; say below which it is."
            }
            Self::LooksLikeARepeat => {
                "The same was stored just before. Both are kept; say below which it is."
            }
            Self::Overtaken => {
                "It was changed by somebody else meanwhile. Both are kept; say below which it is."
            }
        }
    }

    /// What it stands beside, in the history.
    pub fn beside(self) -> &'static str {
        match self {
            Self::Overtaken => "Kept beside what stands",
            Self::OtherValues | Self::LooksLikeARepeat => "Kept beside the first",
        }
    }

    fn heading(self) -> &'static str {
        match self {
            Self::OtherValues => "The same page was sent twice with different values",
            Self::LooksLikeARepeat => "This looks like a repeat",
            Self::Overtaken => "Somebody else changed it meanwhile",
        }
    }

    fn to_the_other(self) -> &'static str {
        match self {
            Self::OtherValues => "See the first one.",
            Self::LooksLikeARepeat => "See the one before it.",
            Self::Overtaken => "See what stands.",
        }
    }

    fn question(self) -> &'static str {
        match self {
            Self::Overtaken => "Which one counts?",
            Self::OtherValues | Self::LooksLikeARepeat => "What is this one?",
        }
    }

    fn answers(self) -> Vec<(&'static str, &'static str)> {
        let (correction, second, mistake) = (
            Settled::Correction.word(),
            Settled::Second.word(),
            Settled::Mistake.word(),
        );
        match self {
            Self::OtherValues => vec![
                (correction, "It corrects the first"),
                (second, "They are two"),
                (mistake, "A slip; leave it out"),
            ],
            Self::LooksLikeARepeat => {
                vec![(second, "Keep both"), (mistake, "It was a repeat")]
            }
            Self::Overtaken => vec![
                (correction, "Take this one"),
                (mistake, "Leave what stands"),
            ],
        }
    }
}

/// The question as the page of the entry asks it.
pub struct Question {
    pub heading: &'static str,
    pub other: Uuid,
    pub to_the_other: &'static str,
    /// What this one says other than what stands, where it would take its place.
    pub differs: Vec<String>,
    pub question: &'static str,
    pub answers: Vec<(&'static str, &'static str)>,
}

impl Question {
    pub fn about(why: Why, entry: &Entry, other: &Entry, known: &Known) -> Self {
        let differs = match why {
            Why::Overtaken => {
                let lines = |one| with_headline(said(one, known));
                let differs = compared(&lines(other), &lines(entry));
                differs.iter().map(ToString::to_string).collect()
            }
            Why::OtherValues | Why::LooksLikeARepeat => Vec::new(),
        };
        Self {
            heading: why.heading(),
            other: other.id,
            to_the_other: why.to_the_other(),
            differs,
            question: why.question(),
            answers: why.answers(),
        }
    }
}
