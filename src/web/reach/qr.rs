//! The page that a phone's camera is held to, and the sheet for the shed door.
//! Not here: the squares themselves (`code`), what to do when a phone does not come (`connect`).

use askama::Template;
use axum::response::Response;

use super::drawn::Drawn;
use super::{Host, Moved, moved};
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page, words};

#[derive(Template)]
#[template(path = "reach/qr.html")]
struct QrPage {
    frame: Frame,
    lead_in: bool,
    port: u16,
    first: Drawn,
    others: Vec<Drawn>,
    aside: Vec<(Drawn, String)>,
    by_name: Option<String>,
    moved: Option<Moved>,
    lets_phones_in: bool,
    lets_all_in: bool,
}

#[derive(Template)]
#[template(path = "reach/sheet.html")]
struct SheetPage {
    frame: Frame,
    printed: String,
    lead_in: bool,
    port: u16,
    first: Drawn,
    keeper_phone: Option<String>,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let ways = app.reach.ways();
    let first = ways.canonical();
    let others = ways.phones.iter().filter(|host| *host != first);
    let keys = app.store.keys();
    let aside = ways.aside.iter().filter(|(host, _)| host != first);
    Ok(page(&QrPage {
        frame: Frame::new(&known, &app, "Bring a phone here").at("/house"),
        lead_in: ways.lead_in(),
        port: app.reach.port(),
        first: Drawn::of(first),
        others: others.map(Drawn::of).collect(),
        aside: aside
            .map(|(host, whose)| (Drawn::of(host), whose.clone()))
            .collect(),
        by_name: ways.by_name.as_ref().map(Host::url),
        moved: moved(&mut read, &app.reach)
            .await?
            .filter(|_| app.who.is_in()),
        lets_phones_in: app.doorkeeper.lets_phones_in(&keys),
        lets_all_in: app.doorkeeper.lets_all_in(&keys),
    }))
}

pub async fn sheet(app: App) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let ways = app.reach.ways();
    Ok(page(&SheetPage {
        frame: Frame::new(&known, &app, "Shed-door sheet").at("/sheets"),
        printed: words::moment(&known.now, known.today),
        lead_in: ways.lead_in(),
        port: app.reach.port(),
        first: Drawn::of(ways.canonical()),
        keeper_phone: known
            .farm
            .as_ref()
            .and_then(|farm| farm.keeper_phone.clone()),
    }))
}
