//! `/phones`: each phone and computer seen here, which of its numbers arrived, and which may still
//! be on it. Not here: what a phone holds, which only it can show.

use std::ops::RangeInclusive;

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use crate::store::{PhoneSeen, Told};
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page, words};

#[derive(Template)]
#[template(path = "phones/list.html")]
struct PhonesPage {
    frame: Frame,
    phones: Vec<Shown>,
}

struct Shown {
    called: String,
    seen: String,
    said: Vec<String>,
    /// Something may still be on it, in words.
    missing: Option<String>,
}

pub async fn get(State(app): State<App>) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let phones = read.phones().await?;
    Ok(page(&PhonesPage {
        frame: Frame::new(&known, &app, "Phones").at("/house"),
        phones: phones.iter().map(|one| shown(one, &known)).collect(),
    }))
}

fn shown(phone: &PhoneSeen, known: &Known) -> Shown {
    let at = |at: chrono::DateTime<chrono::Utc>| {
        words::moment(&at.with_timezone(&known.zone), known.today)
    };
    let by = phone.person.as_deref();
    let by = by.map_or_else(String::new, |person| format!(", last used by {person}"));
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
    Shown {
        called: format!("Phone {}{by}", short_name(phone.device)),
        seen: at(phone.last_seen),
        said,
        missing,
    }
}

/// The last letters of its id, which differ from phone to phone.
fn short_name(device: uuid::Uuid) -> String {
    let id = device.simple().to_string();
    id[id.len() - 4..].to_uppercase()
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
