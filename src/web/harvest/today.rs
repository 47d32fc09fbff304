//! Today: each block in one look, what holds it, and what to do next.
//! Not here: the words (`sentences`), the whole of a block (`block`).

use askama::Template;
use axum::response::Response;
use uuid::Uuid;

use super::advice::{advice, asks_for_a_sample};
use super::sentences::{Said, hold_words, nothing_written, sentences, state_and_hold};
use super::vineyard::Vineyard;
use crate::science::sprays::Until;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::reach::{Moved, moved};
use crate::web::ripeness::rail::Rail;
use crate::web::{App, page, see_other};

#[derive(Template)]
#[template(path = "harvest/today.html")]
struct TodayPage {
    frame: Frame,
    blocks: Vec<Card>,
    moved: Option<Moved>,
}

/// What Today says of one block.
pub struct Card {
    pub id: Uuid,
    pub called: String,
    pub name: String,
    pub state: String,
    pub rail: Option<Rail>,
    pub lead: String,
    pub more: Vec<Said>,
    pub hold: String,
    pub closed: bool,
    pub advice: Option<String>,
    /// The next step is a sample, and a walk can be drawn up.
    pub to_sample: bool,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let (known, vineyard) = Vineyard::now(&app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    let mut read = app.store.read().await?;
    Ok(page(&TodayPage {
        frame: Frame::new(&known, &app, "Today").at("/"),
        blocks: cards(&known, &vineyard),
        moved: moved(&mut read, &app.reach).await?,
    }))
}

fn cards(known: &Known, vineyard: &Vineyard) -> Vec<Card> {
    vineyard
        .blocks
        .iter()
        .enumerate()
        .map(|(place, one)| {
            let judged = one.readiness(known, vineyard);
            let mut said = sentences(one, &judged, known).into_iter();
            let entry = match &judged.hold.entry {
                until @ (Until::Closed { .. } | Until::ClosedUntilTyped { .. }) => {
                    format!(
                        "Entry closed {}. ",
                        super::sentences::until_words(until, known)
                    )
                }
                _ => String::new(),
            };
            let hold = match hold_words(&judged, known) {
                Some(held) => format!("{entry}Picking {held}."),
                None => super::sentences::capital(&format!(
                    "{}.",
                    nothing_written(one.last_spray, known)
                )),
            };
            Card {
                id: one.id,
                called: one.block.called(),
                name: one.block.name.clone(),
                state: state_and_hold(&judged, known),
                rail: Rail::of(&one.outlooks[0], place.to_string()),
                lead: said.next().map(|said| said.text).unwrap_or_default(),
                more: said.collect(),
                closed: judged.hold.entry.is_closed() || judged.held().is_some(),
                hold,
                advice: advice(one, &judged, known),
                to_sample: asks_for_a_sample(one, &judged, known),
            }
        })
        .collect()
}
