//! The list of entries that need a look: kept as typed, or in conflict.
//! Not here: mending, which is the form of each.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use super::entry::said;
use crate::store::ledger::{Entry, State as Became};
use crate::web::error::PageError;
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
    conflict: bool,
}

pub async fn get(State(app): State<App>) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let entries = read
        .need_a_look()
        .await?
        .into_iter()
        .map(|entry| Waiting {
            said: said(&entry, &known),
            when: words::moment(&entry.received_at.with_timezone(&known.zone), known.today),
            conflict: entry.state == Became::Conflict,
            entry,
        })
        .collect();
    Ok(page(&HeldPage {
        frame: Frame::new(&known, &app, "Entries that need a look"),
        entries,
    }))
}
