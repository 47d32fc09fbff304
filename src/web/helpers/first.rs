//! The first screen of a helper: whom to ask, where this is, what is closed, what to do today.
//! Not here: the words (`told`).

use askama::Template;
use axum::response::Response;

use super::told::Told;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::{App, page, see_other};

#[derive(Template)]
#[template(path = "helpers/first.html")]
struct FirstScreen {
    frame: Frame,
    told: Told,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let Some((known, told)) = Told::now(&app).await? else {
        return Ok(see_other("/start"));
    };
    Ok(page(&FirstScreen {
        frame: Frame::new(&known, &app, "Not sure? Ask")
            .at("/house")
            .shared_at("/helpers".to_owned(), &app),
        told,
    }))
}
