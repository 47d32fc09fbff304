//! `/copies`: every copy of the farm's data, the second place, and what went wrong.
//! Not here: the sheet to print (`sheet`).

use askama::Template;
use axum::response::Response;
use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::keeping::{Copy, Kept, Second};
use super::tried::last_tried;
use crate::science::copies::Why;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page, words};

#[derive(Template)]
#[template(path = "copies/list.html")]
struct ListPage {
    frame: Frame,
    /// Nobody looks after copies of a demo.
    kept: bool,
    folder: String,
    copies: Vec<Shown>,
    /// What lay in the farm's place until a copy was put back.
    replaced: Vec<Shown>,
    failed: Option<String>,
    second: String,
    looked: String,
    tried: Option<String>,
}

struct Shown {
    when: String,
    name: String,
    words: String,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let kept = app.keeping.now();
    let is_replaced = |copy: &&Copy| copy.name.why == Why::Replaced;
    let newest_first = || kept.copies.iter().rev();
    let copies = newest_first().filter(|copy| !is_replaced(copy));
    let replaced = newest_first().filter(is_replaced);
    let shown = |copy| shown(copy, known.zone);
    let moment = |at: DateTime<Utc>| words::moment(&at.with_timezone(&known.zone), known.today);
    Ok(page(&ListPage {
        kept: !kept.folder.is_empty(),
        copies: copies.map(shown).collect(),
        replaced: replaced.map(shown).collect(),
        failed: kept
            .failed
            .as_ref()
            .map(|(at, why)| format!("The last try, {}, came to nothing: {why}.", moment(*at))),
        second: second_words(kept.second.as_ref()),
        looked: looked_words(&kept, moment),
        tried: last_tried(&mut read).await?,
        folder: kept.folder,
        frame: Frame::new(&known, &app, "Copies").at("/house"),
    }))
}

fn shown(copy: &Copy, zone: Tz) -> Shown {
    let begins = copy.sha256.as_deref();
    let checked = match begins.and_then(|sha256| sha256.split_at_checked(8)) {
        Some((first, _)) => format!("looked into when it was made, SHA-256 {first} …"),
        None => "not looked into".to_owned(),
    };
    Shown {
        when: when(copy.name.made.with_timezone(&zone)),
        name: copy.name.to_string(),
        words: format!("{}, {}, {checked}", copy.name.why.words(), size(copy.bytes)),
    }
}

/// "Fri 10 Sept 2027 02:00"
pub fn when(made: DateTime<Tz>) -> String {
    format!(
        "{} {}",
        words::day_and_year(made.date_naive()),
        words::clock(made.time())
    )
}

/// "225 kB", "1.4 MB"
fn size(bytes: u64) -> String {
    match bytes {
        0..1_000_000 => format!("{} kB", bytes.div_ceil(1000)),
        bytes => format!("{} MB", words::number(bytes as f64 / 1e6, 1)),
    }
}

fn second_words(second: Option<&Second>) -> String {
    match second {
        None => "None is named. endpost serve --second-place and a folder on a stick brings every \
                 copy there too."
            .to_owned(),
        Some(Second {
            path,
            trouble: Some(trouble),
            ..
        }) => format!("{path}: {trouble}."),
        Some(Second { path, copies, .. }) => {
            let copies = copies.map_or_else(
                || "it is there".to_owned(),
                |copies| {
                    format!(
                        "{}, each read back there",
                        words::counted(copies, "copy", "copies")
                    )
                },
            );
            format!("{path}: {copies}.")
        }
    }
}

fn looked_words(kept: &Kept, moment: impl Fn(DateTime<Utc>) -> String) -> String {
    match &kept.looked {
        None => "Not yet since the start.".to_owned(),
        Some((at, 0)) => format!("{}: nothing wrong was found.", moment(*at)),
        Some((at, faults)) => format!(
            "{}: {} found; the program's log names them.",
            moment(*at),
            words::counted(*faults, "fault was", "faults were")
        ),
    }
}
