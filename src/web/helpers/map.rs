//! The map of the rows: block by block, closed ones hatched, with the word.
//! Not here: where lines and letters stand (`rows_drawn`).

use askama::Template;
use axum::response::Response;

use super::rows_drawn::{LETTERS, RowsDrawn, Scale, WIDTH, lay_out};
use super::told::Told;
use crate::science::places::RowLayout;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::sprays::{BlockHold, Holds};
use crate::web::{App, page, see_other, words};

/// One block as it is drawn.
#[derive(Template)]
#[template(path = "helpers/rows.html")]
pub struct BlockDrawn {
    /// Tells the patterns of one page apart.
    id: usize,
    called: String,
    closed: Option<&'static str>,
    label: String,
    width: f64,
    letters: f64,
    drawn: RowsDrawn,
}

#[derive(Template)]
#[template(path = "helpers/map.html")]
struct MapPage {
    frame: Frame,
    told: Told,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let Some((known, told)) = Told::now(&app).await? else {
        return Ok(see_other("/start"));
    };
    Ok(page(&MapPage {
        frame: Frame::new(&known, &app, "Map of the rows")
            .at("/house")
            .shared_at("/helpers/map".to_owned(), &app),
        told,
    }))
}

/// Rows that are drawn together: more of them stand in a drawing of their own, so that paper can
/// turn the page between them.
const MOST_TOGETHER: usize = 30;

/// All blocks as of today.
pub fn blocks(holds: &Holds, known: &Known) -> Vec<BlockDrawn> {
    let scale = Scale::of(&known.all_rows());
    let mut drawn: Vec<BlockDrawn> = Vec::new();
    for one in &holds.blocks {
        let rows = known.rows(one.id, known.today);
        let closed = closed_word(one);
        let called = one.block.called();
        for (part, rows) in together(&rows).into_iter().enumerate() {
            drawn.push(BlockDrawn {
                id: drawn.len(),
                called: match part {
                    0 => called.clone(),
                    _ => format!("{called}, further rows"),
                },
                label: in_words(rows, closed),
                closed,
                width: WIDTH,
                letters: LETTERS,
                drawn: lay_out(rows, scale),
            });
        }
    }
    drawn
}

/// The rows of a block in drawings; one drawing of none where there are no rows.
fn together(rows: &[RowLayout]) -> Vec<&[RowLayout]> {
    match rows {
        [] => vec![rows],
        rows => rows.chunks(MOST_TOGETHER).collect(),
    }
}

fn closed_word(one: &BlockHold) -> Option<&'static str> {
    match (one.hold.entry.is_closed(), one.hold.picking.is_closed()) {
        (true, _) => Some("CLOSED"),
        (false, true) => Some("PICKING CLOSED"),
        (false, false) => None,
    }
}

/// "Home end at the left. C1, 9 panels; C2, 9 panels. Hatched: CLOSED."
fn in_words(rows: &[RowLayout], closed: Option<&str>) -> String {
    let each: Vec<String> = rows
        .iter()
        .map(|row| {
            let panels = words::counted(usize::from(row.panel_count()), "panel", "panels");
            format!("{}, {panels}", row.label)
        })
        .collect();
    let hatched = closed.map_or_else(String::new, |word| format!(" Hatched: {word}."));
    format!("Home end at the left. {}.{hatched}", each.join("; "))
}
