//! When an entry was typed and when it was stored, where that is not the same; and what is odd
//! about the clocks that say so. Not here: when the thing itself happened (the forms).

use chrono::{DateTime, TimeDelta, Utc};

use crate::store::ledger::{CLOCKS_AGREE, Entry};
use crate::web::known::Known;
use crate::web::words;

/// When an entry was typed by the house's clock. A phone's clock is corrected by what it was wrong
/// when it sent; what it said stays in the ledger.
pub fn typed_at(entry: &Entry) -> Option<DateTime<Utc>> {
    let said = entry.typed_at?;
    match wrong_by(entry) {
        Some(slow) => said.checked_add_signed(slow),
        None => Some(said),
    }
}

/// By how much the phone's clock was slow; none where it agreed with this computer's.
fn wrong_by(entry: &Entry) -> Option<TimeDelta> {
    let slow = TimeDelta::try_seconds(entry.skew_s?)?;
    (slow.abs() > CLOCKS_AGREE).then_some(slow)
}

/// What there is to say, each in a sentence.
pub fn said(entry: &Entry, numbered_before_but_later: bool, known: &Known) -> Vec<String> {
    let at = |at: DateTime<Utc>| words::moment(&at.with_timezone(&known.zone), known.today);
    let mut said = Vec::new();
    let typed = typed_at(entry);
    let apart = typed.filter(|typed| (entry.received_at - *typed).abs() > CLOCKS_AGREE);
    if let Some(typed) = apart {
        let stored = at(entry.received_at);
        said.push(format!("Typed {} on a phone, stored {stored}.", at(typed)));
    }
    if let (Some(slow), Some(phone_said)) = (wrong_by(entry), entry.typed_at) {
        said.push(format!(
            "The phone's clock was {} and said {}.",
            off(slow),
            at(phone_said)
        ));
    }
    if entry.sent_at.is_some() && entry.skew_s.is_none() {
        said.push(
            "This computer's own clock was behind when it came, so that the phone's was not \
             corrected."
                .to_owned(),
        );
    }
    if numbered_before_but_later {
        said.push(
            "The phone's clock was changed: an entry that it numbered before this one says a later \
             time."
                .to_owned(),
        );
    }
    said
}

/// "3 h slow", "5 min fast"
fn off(slow: TimeDelta) -> String {
    let way = match slow > TimeDelta::zero() {
        true => "slow",
        false => "fast",
    };
    let minutes = (slow.abs().num_seconds() + 30) / 60;
    let hours = (minutes + 30) / 60;
    let amount = match minutes {
        0..90 => format!("{minutes} min"),
        90..2880 => format!("{hours} h"),
        _ => format!("{} days", (hours + 12) / 24),
    };
    format!("{amount} {way}")
}
