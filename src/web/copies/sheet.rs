//! `/copies/sheet`: how to bring the farm's data back on another machine, on one page of paper, with
//! this farm's own folder, file names and address. Not here: doing it (`program::copies::restore`).

use askama::Template;
use axum::response::Response;
use chrono_tz::Tz;

use super::keeping::Copy;
use super::list::when;
use super::tried::last_tried;
use crate::science::copies::Why;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page, words};

#[derive(Template)]
#[template(path = "copies/sheet.html")]
struct SheetPage {
    frame: Frame,
    printed: String,
    version: &'static str,
    /// The folder of copies; empty where nobody looks after them.
    folder: String,
    last: Option<Last>,
    second: Option<String>,
    url: String,
    port: u16,
    tried: Option<String>,
}

/// The copy of the latest date that was looked into.
struct Last {
    name: String,
    when: String,
    first: String,
    rest: String,
}

impl Last {
    fn of(copy: &Copy, zone: Tz) -> Option<Self> {
        let sha256 = copy.sha256.as_deref()?;
        let (first, rest) = sha256.split_at_checked(8)?;
        Some(Self {
            name: copy.name.to_string(),
            when: when(copy.name.made.with_timezone(&zone)),
            first: first.to_owned(),
            rest: rest.to_owned(),
        })
    }
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let kept = app.keeping.now();
    let good = |one: &&Copy| one.name.why != Why::Replaced;
    let mut good = kept.copies.iter().rev().filter(good);
    let ways = app.reach.ways();
    Ok(page(&SheetPage {
        printed: words::moment(&known.now, known.today),
        version: env!("CARGO_PKG_VERSION"),
        last: good.find_map(|copy| Last::of(copy, known.zone)),
        second: kept.second.map(|second| second.path),
        folder: kept.folder,
        url: ways.canonical().url(),
        port: app.reach.port(),
        tried: last_tried(&mut read).await?,
        frame: Frame::new(&known, &app, "Bring it back").at("/house"),
    }))
}
