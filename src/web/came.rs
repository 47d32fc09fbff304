//! How an entry came to the house, in words: from which paper card, how many days after the thing
//! itself. Not here: who wrote it, and what it says.

use chrono::NaiveDate;
use chrono_tz::Tz;

use crate::store::ledger::{Came, Source};

/// "from paper card K7Q2, entered 9 days later"; none for what was typed on the day itself.
pub fn came_words(came: &Came, zone: Tz) -> Option<String> {
    let from = match came.source {
        Source::Paper => match &came.card_code {
            Some(code) => Some(format!("from paper card {code}")),
            None => Some("from paper".to_owned()),
        },
        Source::Import => Some("from a file".to_owned()),
        Source::Phone | Source::House | Source::Demo => None,
    };
    let later = days_later(came, zone).map(|days| {
        let days = match days {
            1 => "1 day".to_owned(),
            days => format!("{days} days"),
        };
        match came.source {
            Source::Paper => format!("entered {days} later"),
            _ => format!("came {days} later"),
        }
    });
    // A file of earlier seasons is always late.
    let later = later.filter(|_| came.source != Source::Import);
    let parts: Vec<String> = from.into_iter().chain(later).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// Whole days, by the farm's calendar, between the thing and its entry; none on the same day.
pub fn days_later(came: &Came, zone: Tz) -> Option<usize> {
    let entered: NaiveDate = came.received_at.with_timezone(&zone).date_naive();
    let days = (entered - came.happened?).num_days();
    usize::try_from(days).ok().filter(|days| *days > 0)
}
