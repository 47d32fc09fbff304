//! "How we figure": every formula in use, its source, one worked number, the figures assumed.
//! Not here: the formulas themselves; each number on the page is worked out when it is drawn.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use super::how_worked::{Formula, formulas};
use crate::science::ripeness::assumptions::Origin;
use crate::science::sources::{Reading, SOURCES, source};
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page, words};

#[derive(Template)]
#[template(path = "ripeness/how.html")]
struct HowPage {
    frame: Frame,
    formulas: Vec<Formula>,
    assumed: Vec<(String, String, String)>,
    sources: Vec<(&'static str, &'static str)>,
}

pub async fn get(State(app): State<App>) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let assumed = known
        .assumptions
        .list()
        .into_iter()
        .map(|line| {
            let of = line
                .attribute
                .map_or_else(String::new, |one| format!("{}: ", one.name()));
            let value = format!("{} {}", words::plain(line.value), line.unit);
            let origin = match line.origin {
                Origin::Published(work) => source(work).text.to_owned(),
                Origin::Judgement => "judgement".to_owned(),
                Origin::Memory => "from memory".to_owned(),
            };
            (format!("{of}{}", line.what), value, origin)
        })
        .collect();
    Ok(page(&HowPage {
        frame: Frame::new(&known, &app, "How we figure").at("/house"),
        formulas: formulas(&known),
        assumed,
        sources: SOURCES
            .iter()
            .map(|one| {
                let read = match one.reading {
                    Reading::Read => "read",
                    Reading::Abstract => "abstract read",
                    Reading::SecondHand => "second hand",
                    Reading::Memory => "from memory",
                };
                (one.text, read)
            })
            .collect(),
    }))
}
