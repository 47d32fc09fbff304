//! The spray and entry board for the shed door: sprays whose hold runs or ended lately.
//! Not here: what each spray says in words (`shown`), the paper (`static/print.css`).

use askama::Template;
use axum::response::Response;
use chrono::TimeDelta;

use super::hold_words::THE_LABEL;
use super::holds::{BlockHold, Holds, SameSaid, same_said};
use super::shown::Shown;
use crate::science::places::Farm;
use crate::science::sprays::{Limit, Spray};
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::{App, page, see_other, words};

/// How long a spray stays on the board once its hold is over. Source: US EPA, worker protection
/// standard, central display of application information.
const STAYS_UP: TimeDelta = TimeDelta::days(30);

#[derive(Template)]
#[template(path = "sprays/board_sheet.html")]
struct Board {
    frame: Frame,
    farm: Farm,
    date: String,
    printed: String,
    data_up_to: String,
    the_label: &'static str,
    to_mend: bool,
    /// Blocks that are closed now, those of one hold together.
    closed: Vec<SameSaid>,
    sprays: Vec<Shown>,
    /// Blocks without a spray on the board.
    others: Vec<SameSaid>,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let Some(farm) = known.farm.clone() else {
        return Ok(see_other("/start"));
    };
    let holds = Holds::now(&mut read, &known).await?;
    let up: Vec<_> = holds
        .sprays
        .iter()
        .rev()
        .filter(|listed| is_up(&listed.spray, &known))
        .collect();
    let on_board = |one: &BlockHold| {
        let rows = known.rows(one.id, known.today);
        up.iter().any(|listed| listed.spray.covers(one.id, &rows))
    };
    let others = holds
        .blocks
        .iter()
        .filter(|one| !on_board(one) && !one.is_closed());
    Ok(page(&Board {
        date: words::day_and_year(known.today),
        printed: words::moment(&known.now, known.today),
        data_up_to: known.data_up_to(),
        the_label: THE_LABEL,
        to_mend: holds.to_mend,
        closed: holds.closed_now(&known),
        others: same_said(others.map(|one| (one.block.called(), one.said(&known)))),
        sprays: up
            .iter()
            .map(|one| Shown::of(one, &known).for_eyes_of(&app.who))
            .collect(),
        frame: Frame::new(&known, &app, "Spray and entry board")
            .at("/sprays")
            .across()
            .shared_at("/sprays/board".to_owned(), &app),
        farm,
    }))
}

/// Whether the hold runs, or ended so lately that the spray stays up.
fn is_up(spray: &Spray, known: &Known) -> bool {
    let limits = spray.limits();
    [limits.entry, limits.picking]
        .iter()
        .any(|limit| match limit {
            Limit::At(at) => known.now.fixed_offset() - *at <= STAYS_UP,
            Limit::ClosedUntilTyped(_) => true,
        })
}
