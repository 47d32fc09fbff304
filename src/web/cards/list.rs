//! The cards that were drawn up: those still out, and those that came back.
//! Not here: drawing them up (`draw_up`), typing them in (`enter`).

use askama::Template;
use axum::response::Response;
use chrono::TimeDelta;
use uuid::Uuid;

use super::enter::title;
use crate::science::cards::CardFor;
use crate::store::CardListed;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page, see_other, words};

/// Cards that came back are told this long.
const TOLD: TimeDelta = TimeDelta::days(60);

#[derive(Template)]
#[template(path = "cards/list.html")]
struct CardsPage {
    frame: Frame,
    out: Vec<Shown>,
    back: Vec<Shown>,
}

struct Shown {
    id: Uuid,
    code: String,
    title: String,
    age: String,
    print: String,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    let (back, out): (Vec<_>, Vec<_>) = read
        .cards()
        .await?
        .into_iter()
        .partition(|one| one.has_entries);
    let shown = |one: &CardListed| shown(one, &known);
    Ok(page(&CardsPage {
        frame: Frame::new(&known, &app, "Paper cards").at("/sheets"),
        out: out.iter().map(shown).collect(),
        back: back
            .iter()
            .filter(|one| one.card.day >= known.today - TOLD)
            .map(shown)
            .collect(),
    }))
}

fn shown(listed: &CardListed, known: &Known) -> Shown {
    let card = &listed.card;
    Shown {
        id: listed.id,
        code: card.code.to_string(),
        title: title(card, known),
        age: words::ago((known.today - card.day).num_days()),
        print: match card.what {
            CardFor::Walk => format!("/walks/{}/card", card.code),
            CardFor::Berries | CardFor::Clusters => format!("/cards/print?code={}", card.code),
        },
    }
}
