//! The page of instruments. Not here: the form.

use askama::Template;
use axum::response::Response;
use uuid::Uuid;

use super::InstrumentForm;
use crate::store::ledger::Values;
use crate::web::error::PageError;
use crate::web::form::Form;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::words::ReadBack;
use crate::web::{App, page};

#[derive(Template)]
#[template(path = "ripeness/instruments.html")]
struct InstrumentsPage {
    frame: Frame,
    instruments: Vec<(Uuid, ReadBack)>,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let instruments = known
        .instruments
        .iter()
        .map(|one| {
            let values = Values::Instrument(one.instrument.clone());
            (one.id, InstrumentForm.read_back(&values, &known))
        })
        .collect();
    Ok(page(&InstrumentsPage {
        frame: Frame::new(&known, &app, "Instruments").at("/house"),
        instruments,
    }))
}
