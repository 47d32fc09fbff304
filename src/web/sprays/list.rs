//! The sprays: what is closed now, block by block, then what was written down, newest first.
//! Not here: the sheets to print (`board`, `season`).

use askama::Template;
use axum::response::Response;
use uuid::Uuid;

use super::hold_words::{THE_LABEL, limit_words};
use super::holds::{BlockHold, Holds};
use super::spray_words::block_names;
use crate::science::sprays::Spray;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page, see_other, words};

/// Older sprays stand in the prints of their seasons.
const MOST_LISTED: usize = 50;

#[derive(Template)]
#[template(path = "sprays/list.html")]
struct SpraysPage {
    frame: Frame,
    the_label: &'static str,
    to_mend: bool,
    blocks: Vec<BlockShown>,
    sprays: Vec<Listed>,
    older: usize,
    years: Vec<i32>,
}

struct BlockShown {
    id: Uuid,
    called: String,
    state: &'static str,
    closed: bool,
    entry: String,
    picking: String,
}

struct Listed {
    id: Uuid,
    headline: String,
    said: String,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    let holds = Holds::now(&mut read, &known).await?;
    let newest = holds.sprays.iter().rev();
    Ok(page(&SpraysPage {
        frame: Frame::new(&known, &app, "Sprays").at("/sprays"),
        the_label: THE_LABEL,
        to_mend: holds.to_mend,
        blocks: holds.blocks.iter().map(|one| shown(one, &known)).collect(),
        sprays: newest
            .take(MOST_LISTED)
            .map(|one| Listed {
                id: one.id,
                headline: headline(&one.spray, &known),
                said: said(&one.spray, &known),
            })
            .collect(),
        older: holds.sprays.len().saturating_sub(MOST_LISTED),
        years: read.spray_years().await?,
    }))
}

fn shown(one: &BlockHold, known: &Known) -> BlockShown {
    let state = match (one.hold.entry.is_closed(), one.hold.picking.is_closed()) {
        (true, _) => "Closed",
        (_, true) => "Picking closed",
        _ => "Ask",
    };
    BlockShown {
        id: one.id,
        called: one.block.called(),
        state,
        closed: one.is_closed(),
        entry: one.entry(known),
        picking: one.picking(known),
    }
}

/// "Sat 4 Sept 2027: C Vidal and D Traminette"
fn headline(spray: &Spray, known: &Known) -> String {
    format!(
        "{}: {}",
        words::day_and_year(spray.date),
        words::list(&block_names(spray, known))
    )
}

fn said(spray: &Spray, known: &Known) -> String {
    let names: Vec<String> = spray.products.iter().map(|one| one.name.clone()).collect();
    let limits = spray.limits();
    format!(
        "{} · entry {} · picking {}",
        words::list(&names),
        limit_words(&limits.entry, known),
        limit_words(&limits.picking, known)
    )
}
