//! Help for a phone that does not get here, by what is seen on it.
//! Not here: the addresses to type (`qr`).

use askama::Template;
use axum::response::Response;

use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::{App, page};

#[derive(Template)]
#[template(path = "reach/connect.html")]
struct ConnectPage {
    frame: Frame,
    lead_in: bool,
    url: String,
    port: u16,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let ways = app.reach.ways();
    Ok(page(&ConnectPage {
        frame: Frame::even_if_damaged(&app, "A phone does not get here")
            .await?
            .at("/house"),
        lead_in: ways.lead_in(),
        url: ways.canonical().url(),
        port: app.reach.port(),
    }))
}
