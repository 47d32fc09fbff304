//! The rules that the door and the tables hold, and why each says no, in words for a person.
//! Not here: who asks (`door`).

use crate::store::StoreError;

/// A rule of the door's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    NoSuchEntry,
    AnotherKind,
    NotSettledYet,
    WasTakenBack,
    TakenBackBefore,
    OthersHangOnIt,
    SettledBefore,
    SettledForGood,
    NotOneOfTwo,
    NotUnderstood,
}

impl Rule {
    pub fn words(self) -> &'static str {
        match self {
            Self::NoSuchEntry => "The entry it speaks of is not here.",
            Self::AnotherKind => "It speaks of an entry of another kind.",
            Self::NotSettledYet => {
                "The entry it speaks of came under a used number; say first what that one is."
            }
            Self::WasTakenBack => "The entry it speaks of was taken back.",
            Self::TakenBackBefore => "This has been taken back before.",
            Self::OthersHangOnIt => "This can't be taken back: other entries hang on it.",
            Self::SettledBefore => "This has been settled before.",
            Self::SettledForGood => "What was settled stays settled.",
            Self::NotOneOfTwo => "It changes an entry, so that it can't stand beside it.",
            Self::NotUnderstood => "This does not say what is to be done.",
        }
    }
}

impl From<Rule> for StoreError {
    fn from(rule: Rule) -> Self {
        Self::Refused(rule.words())
    }
}

/// Why not, if a rule said no; none for a failure that is nobody's fault.
pub fn why_not(error: &StoreError) -> Option<&'static str> {
    match error {
        StoreError::Refused(words) => Some(words),
        StoreError::Constraint(rule) => Some(table_words(rule)),
        _ => None,
    }
}

fn table_words(rule: &str) -> &'static str {
    let says = |word| rule.contains(word);
    if says("block.name") {
        "Another block has this name."
    } else if says("instrument.name") {
        "Another instrument has this name."
    } else if says("person.initials") {
        "Another person has these initials."
    } else if says("card.code") {
        "Another card has this code."
    } else if says("day_list.on_date") {
        "There is a list for that day already; change that one."
    } else if says("season_closed.year") {
        "This season is closed already."
    } else if says("farm.one") || says("assumptions.one") {
        "There is one already; change that one."
    } else if says("not_to_be_voided") {
        "This can be changed but not taken back."
    } else {
        "It names a block or an instrument that is not here."
    }
}
