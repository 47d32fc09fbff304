//! Which of a phone's numbers arrived, and what may still be on it, in words.
//! Not here: the pages that say so (`list`).

use std::ops::RangeInclusive;

use chrono::{DateTime, Utc};

use crate::store::{PhoneSeen, Told};
use crate::web::known::Known;
use crate::web::words;

/// What a phone told of itself and what arrived from it.
pub struct Numbers {
    pub said: Vec<String>,
    /// Something may still be on it, in words.
    pub missing: Option<String>,
}

impl Numbers {
    pub fn of(phone: &PhoneSeen, known: &Known) -> Self {
        let at = |at: DateTime<Utc>| words::moment(&at.with_timezone(&known.zone), known.today);
        let mut said = Vec::new();
        // What it told is no news once all that it had numbered then has arrived.
        let all_here = |told: &Told| missing_words(&phone.arrived, told.seq).is_none();
        if let Some(told) = phone
            .told
            .filter(|told| told.waiting == 0 || !all_here(told))
        {
            said.push(format!(
                "It told {}: its newest entry has number {}, and {} on it.",
                at(told.at),
                told.seq,
                match told.waiting {
                    0 => "none waits".to_owned(),
                    1 => "1 waits".to_owned(),
                    many => format!("{many} wait"),
                }
            ));
        }
        let highest = phone.told.map(|told| told.seq).max(phone.last_seq);
        let missing = highest.and_then(|highest| missing_words(&phone.arrived, highest));
        match phone.last_seq {
            Some(last) => said.push(format!("The newest that arrived has number {last}.")),
            None if phone.told.is_none() => said.push("It numbers nothing of its own.".to_owned()),
            None => {}
        }
        Self { said, missing }
    }
}

/// "14 arrived of 17: 3 may still be on it. Missing are numbers 5 and 16 to 17."
fn missing_words(arrived: &[i64], highest: i64) -> Option<String> {
    let gaps = gaps(arrived, highest);
    let how_many: i64 = gaps.iter().map(|gap| gap.end() - gap.start() + 1).sum();
    if how_many == 0 {
        return None;
    }
    let listed: Vec<String> = gaps
        .iter()
        .map(|gap| match gap.start() == gap.end() {
            true => gap.start().to_string(),
            false => format!("{} to {}", gap.start(), gap.end()),
        })
        .collect();
    let (numbers, are) = match how_many {
        1 => ("number", "is"),
        _ => ("numbers", "are"),
    };
    Some(format!(
        "{} arrived, and it has numbered {highest}: {how_many} may still be on it, or was discarded there. Missing {are} \
         {numbers} {}.",
        arrived.len(),
        words::list(&listed)
    ))
}

/// The numbers from 1 to the highest that never arrived. What arrived comes in order, each once.
fn gaps(arrived: &[i64], highest: i64) -> Vec<RangeInclusive<i64>> {
    let mut gaps = Vec::new();
    let mut next = 1;
    for number in arrived.iter().copied().filter(|number| *number >= 1) {
        if number > next {
            gaps.push(next..=number - 1);
        }
        next = number.saturating_add(1);
    }
    if highest >= next {
        gaps.push(next..=highest);
    }
    gaps
}
