//! The house: settings and lists, and the printable set-up card.
//! Not here: the forms behind the links.

use askama::Template;
use axum::response::Response;
use uuid::Uuid;

use crate::science::places::census::{Count, count_on};
use crate::science::places::{Farm, RowLayout};
use crate::store::ledger::Values;
use crate::web::error::PageError;
use crate::web::form::Form;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::reach::{Moved, moved};
use crate::web::ripeness::{InstrumentForm, TargetForm};
use crate::web::words::ReadBack;
use crate::web::{App, page, see_other, words};

#[derive(Template)]
#[template(path = "house/house.html")]
struct HousePage {
    frame: Frame,
    farm_record: Uuid,
    assumptions_record: Option<Uuid>,
    moved: Option<Moved>,
    has_passphrase: bool,
}

#[derive(Template)]
#[template(path = "house/card.html")]
struct CardPage {
    frame: Frame,
    farm: Farm,
    printed: String,
    blocks: Vec<Card>,
    instruments: Vec<String>,
    targets: Vec<String>,
    people: Vec<String>,
}

struct Card {
    called: String,
    rows: String,
    panels: String,
    count: Count,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let Some(farm_record) = known.farm_record else {
        return Ok(see_other("/start"));
    };
    Ok(page(&HousePage {
        frame: Frame::new(&known, &app, "House").at("/house"),
        farm_record,
        assumptions_record: read.assumptions_record().await?,
        moved: moved(&mut read, &app.reach).await?,
        has_passphrase: app.store.keys().passphrase.is_some(),
    }))
}

pub async fn card(app: App) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let Some(farm) = known.farm.clone() else {
        return Ok(see_other("/start"));
    };
    let blocks = known
        .blocks
        .iter()
        .map(|one| {
            let rows = known.rows(one.id, known.today);
            Card {
                called: one.block.called(),
                rows: row_labels(&rows),
                panels: panels(&rows),
                count: count_on(&rows, &known.vines, known.today),
            }
        })
        .collect();
    let instruments = known
        .instruments
        .iter()
        .map(|one| {
            let values = Values::Instrument(one.instrument.clone());
            in_one_line(&InstrumentForm.read_back(&values, &known))
        })
        .collect();
    let targets = known
        .targets
        .iter()
        .map(|target| in_one_line(&TargetForm.read_back(&target.clone().into(), &known)))
        .collect();
    let people = known
        .people
        .iter()
        .filter(|person| person.here)
        .map(|person| match &person.name {
            Some(name) => format!("{} {name}", person.initials),
            None => person.initials.clone(),
        })
        .collect();
    Ok(page(&CardPage {
        frame: Frame::new(&known, &app, "Set-up card").at("/sheets"),
        printed: words::moment(&known.now, known.today),
        farm,
        blocks,
        instruments,
        targets,
        people,
    }))
}

/// "The blue one: Temperature compensates by itself · Pure water reads 0.0 °Brix"
fn in_one_line(read: &ReadBack) -> String {
    let parts: Vec<String> = read
        .lines
        .iter()
        .map(|line| format!("{} {}", line.label, line.text))
        .collect();
    format!("{}: {}", read.headline, parts.join(" · "))
}

/// "C1 to C5", or the labels one by one where they don't run on.
fn row_labels(rows: &[RowLayout]) -> String {
    match rows {
        [] => String::new(),
        [one] => one.label.clone(),
        [first, .., last] if rows.len() > 2 => format!("{} to {}", first.label, last.label),
        [first, last] => format!("{} and {}", first.label, last.label),
        _ => String::new(),
    }
}

/// "11 panels of 4", and rows that differ.
fn panels(rows: &[RowLayout]) -> String {
    let Some(first) = rows.first() else {
        return String::new();
    };
    let usual = match first.panels.first() {
        Some(vines) if first.panels.iter().all(|one| one == vines) => {
            format!("{} panels of {vines}", first.panels.len())
        }
        _ => format!("{} panels", first.panels.len()),
    };
    let odd: Vec<String> = rows
        .iter()
        .filter(|row| row.panels != first.panels)
        .map(|row| row.label.clone())
        .collect();
    match odd.as_slice() {
        [] => usual,
        odd => format!("{usual}; other: {}", words::list(odd)),
    }
}
