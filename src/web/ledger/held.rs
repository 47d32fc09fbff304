//! The list of entries that need a look: kept as typed, or in conflict.
//! Not here: mending, which is the form of each.

use askama::Template;
use axum::response::Response;

use super::conflict::Why;
use super::entry::said;
use crate::store::ledger::{Entry, State as Became};
use crate::web::access::may_change;
use crate::web::error::PageError;
use crate::web::form;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::words::{self, ReadBack};
use crate::web::{App, page};

#[derive(Template)]
#[template(path = "ledger/held.html")]
struct HeldPage {
    frame: Frame,
    entries: Vec<Waiting>,
}

struct Waiting {
    entry: Entry,
    said: ReadBack,
    when: String,
    /// Why it stands beside another, if it does.
    conflict: Option<&'static str>,
    can_mend: bool,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let mut entries = Vec::new();
    for entry in read.need_a_look().await? {
        let first = read.first_of_record(entry.id).await?;
        let may = match &first {
            Some(first) => may_change(&app, &mut read, first).await?,
            None => false,
        };
        entries.push(Waiting {
            said: said(&entry, &known),
            when: words::moment(&entry.received_at.with_timezone(&known.zone), known.today),
            conflict: Why::of(&entry)
                .filter(|_| entry.state == Became::Conflict)
                .map(|(why, _)| why.in_short()),
            can_mend: may && form::of(entry.kind).is_some(),
            entry,
        });
    }
    Ok(page(&HeldPage {
        frame: Frame::new(&known, &app, "Entries that need a look"),
        entries,
    }))
}
