//! "How we figure": every formula in use, its source, one worked number, the figures assumed, and
//! the sources that these cite.
//! Not here: the formulas themselves; each number on the page is worked out when it is drawn.

use askama::Template;
use axum::response::Response;

use super::how_worked::{Formula, formulas};
use crate::science::ripeness::assumptions::{Assumed, Origin};
use crate::science::sources::{Reading, SOURCES, Work, source};
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

pub async fn get(app: App) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let formulas = formulas(&known);
    let assumed = known.assumptions.list();
    let of_formulas = formulas.iter().flat_map(|one| one.works.iter().copied());
    let of_figures = assumed.iter().filter_map(|line| match line.origin {
        Origin::Published(work) => Some(work),
        Origin::Judgement | Origin::Memory => None,
    });
    let cited: Vec<Work> = of_formulas.chain(of_figures).collect();
    Ok(page(&HowPage {
        frame: Frame::new(&known, &app, "How we figure").at("/house"),
        sources: sources(&cited),
        assumed: assumed.iter().map(in_words).collect(),
        formulas,
    }))
}

fn in_words(line: &Assumed) -> (String, String, String) {
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
}

/// What the page cites and how far it was read, each once.
fn sources(cited: &[Work]) -> Vec<(&'static str, &'static str)> {
    SOURCES
        .iter()
        .filter(|one| cited.contains(&one.work))
        .map(|one| {
            let read = match one.reading {
                Reading::Read => "read",
                Reading::Abstract => "abstract read",
                Reading::SecondHand => "second hand",
                Reading::Memory => "from memory",
            };
            (one.text, read)
        })
        .collect()
}
