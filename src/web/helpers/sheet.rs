//! The helpers' sheet: one side of paper for somebody who is here for the first time.
//! Not here: the words (`told`), the paper (`static/print.css`).

use askama::Template;
use axum::response::Response;

use super::told::Told;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::{App, page, see_other};

#[derive(Template)]
#[template(path = "helpers/sheet.html")]
struct Sheet {
    frame: Frame,
    told: Told,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let Some((known, told)) = Told::now(&app).await? else {
        return Ok(see_other("/start"));
    };
    Ok(page(&Sheet {
        frame: Frame::new(&known, &app, "Helpers' sheet")
            .at("/sheets")
            .shared_at("/helpers/sheet".to_owned(), &app),
        told,
    }))
}
