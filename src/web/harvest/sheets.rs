//! The list of sheets to print. Not here: the sheets.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page, see_other};

#[derive(Template)]
#[template(path = "harvest/sheets.html")]
struct SheetsPage {
    frame: Frame,
    years: Vec<i32>,
}

pub async fn get(State(app): State<App>) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    Ok(page(&SheetsPage {
        frame: Frame::new(&known, &app, "Sheets").at("/sheets"),
        years: read.spray_years().await?,
    }))
}
