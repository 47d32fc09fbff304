//! The vine census: every place where something happened to a vine.
//! Not here: the form (`vine_form`).

use askama::Template;
use axum::response::Response;
use uuid::Uuid;

use super::VineForm;
use crate::science::places::census::{Count, count_on};
use crate::store::ledger::Values;
use crate::web::error::PageError;
use crate::web::form::Form;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::words::ReadBack;
use crate::web::{App, page};

#[derive(Template)]
#[template(path = "places/vines.html")]
struct VinesPage {
    frame: Frame,
    counts: Vec<(String, Count)>,
    events: Vec<(Uuid, ReadBack)>,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let counts = known
        .blocks
        .iter()
        .map(|one| {
            let rows = known.rows(one.id, known.today);
            (
                one.block.called(),
                count_on(&rows, &known.vines, known.today),
            )
        })
        .collect();
    let mut events: Vec<(Uuid, ReadBack)> = read
        .vine_events()
        .await?
        .into_iter()
        .map(|(id, event)| (id, VineForm.read_back(&Values::Vine(event), &known)))
        .collect();
    events.reverse();
    Ok(page(&VinesPage {
        frame: Frame::new(&known, &app, "Vine census").at("/blocks"),
        counts,
        events,
    }))
}
