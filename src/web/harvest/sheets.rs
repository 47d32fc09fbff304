//! The list of sheets to print, and which older prints they supersede. Not here: the sheets.

use askama::Template;
use axum::response::Response;
use chrono::TimeDelta;
use uuid::Uuid;

use crate::store::ledger::Entry;
use crate::web::came::{came_words, days_later};
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::ledger::entry::said;
use crate::web::{App, page, see_other, words};

#[derive(Template)]
#[template(path = "harvest/sheets.html")]
struct SheetsPage {
    frame: Frame,
    years: Vec<i32>,
    /// "Sun 19 Sept 18:02": prints of older data are superseded.
    superseded_before: Option<String>,
    late: Vec<Late>,
}

/// An entry that older prints can't have known, although it is about a day before them.
struct Late {
    id: Uuid,
    what: String,
    came: String,
}

/// How far back late entries are told.
const TOLD: TimeDelta = TimeDelta::days(21);

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    let newest = read.newest_on_sheets().await?;
    let come = read.come_since(app.clock.now() - TOLD).await?;
    Ok(page(&SheetsPage {
        frame: Frame::new(&known, &app, "Sheets").at("/sheets"),
        years: read.spray_years().await?,
        superseded_before: newest
            .map(|at| words::moment(&at.with_timezone(&known.zone), known.today)),
        late: come.iter().filter_map(|one| late(one, &known)).collect(),
    }))
}

fn late(entry: &Entry, known: &Known) -> Option<Late> {
    let came = entry.came();
    days_later(&came, known.zone)?;
    let at = entry.received_at.with_timezone(&known.zone);
    Some(Late {
        id: entry.id,
        what: said(entry, known).headline,
        came: format!(
            "{}, {}",
            came_words(&came, known.zone)?,
            words::moment(&at, known.today)
        ),
    })
}
