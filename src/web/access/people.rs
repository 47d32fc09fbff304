//! The page of people. Not here: the form.

use askama::Template;
use axum::response::Response;
use uuid::Uuid;

use crate::science::access::Person;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page};

#[derive(Template)]
#[template(path = "access/people.html")]
struct PeoplePage {
    frame: Frame,
    people: Vec<(Uuid, Person)>,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    Ok(page(&PeoplePage {
        frame: Frame::new(&known, &app, "People").at("/house"),
        people: read.people().await?,
    }))
}
