//! The page of what lies on this phone. The farm computer draws its words; what is on the phone
//! only a script there can list. Not here: the script (`static/outbox.js`).

use askama::Template;
use axum::response::Response;

use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::kept::may_be_kept;
use crate::web::{App, page};

#[derive(Template)]
#[template(path = "phones/outbox.html")]
struct OutboxPage {
    frame: Frame,
    is_in: bool,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let frame = Frame::even_if_damaged(&app, "On this phone").await?;
    let frame = frame.with_script("outbox.js");
    // A phone that keeps the page of one that is not in would show it after it came in.
    let is_in = app.who.is_in();
    Ok(match is_in {
        true => may_be_kept(page(&OutboxPage {
            frame: frame.to_keep(),
            is_in,
        })),
        false => page(&OutboxPage { frame, is_in }),
    })
}
