//! The list of blocks. Not here: a block's own page (`harvest::block`).

use askama::Template;
use axum::response::Response;
use uuid::Uuid;

use crate::science::places::census::{Count, count_on};
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page, see_other};

#[derive(Template)]
#[template(path = "places/blocks.html")]
struct BlocksPage {
    frame: Frame,
    blocks: Vec<Listed>,
}

struct Listed {
    id: Uuid,
    called: String,
    rows: usize,
    count: Count,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    let blocks = known
        .blocks
        .iter()
        .map(|one| {
            let rows = known.rows(one.id, known.today);
            Listed {
                id: one.id,
                called: one.block.called(),
                rows: rows.len(),
                count: count_on(&rows, &known.vines, known.today),
            }
        })
        .collect();
    Ok(page(&BlocksPage {
        frame: Frame::new(&known, &app, "Rows").at("/blocks"),
        blocks,
    }))
}
