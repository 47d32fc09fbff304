//! Drawing up blank cards: what they are for, which block, how many. Each gets a code of its own.
//! Not here: the cards on paper (`tally`), walks (`ripeness`).

use std::collections::HashSet;

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::card_form::WORDS;
use crate::science::cards::{Card, CardCode, CardFor};
use crate::store::Read;
use crate::store::ledger::{Fields, Happened, Kind, NewEntry, Source, new_id};
use crate::web::error::PageError;
use crate::web::form::{Draft, Field, Problem, Reader, Summary};
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::places::block_named;
use crate::web::typed::{Asked, Posted};
use crate::web::visitor::Visitor;
use crate::web::{App, page, see_other};

/// The most cards of one print.
const MOST: u16 = 20;

#[derive(Template)]
#[template(path = "cards/draw_up.html")]
struct DrawUpPage<'a> {
    frame: Frame,
    entry_id: Uuid,
    problems: Summary<'a>,
    fields: Vec<Field>,
}

pub async fn get(app: App, Asked(asked): Asked) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    let mut fields = asked;
    if !fields.has("count") {
        fields.set("count", "1");
    }
    let id = new_id(app.clock.now());
    Ok(draw(&app, &known, id, &fields, &[], StatusCode::OK))
}

pub async fn post(
    app: App,
    visitor: Visitor,
    Posted(fields): Posted,
) -> Result<Response, PageError> {
    let now = app.clock.now();
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let id = Uuid::parse_str(fields.first("entry_id").trim()).unwrap_or_else(|_| new_id(now));
    let mut reader = Reader::new(&fields);
    let asked = asked_for(&mut reader, &known);
    let (Some(asked), true) = (asked, reader.problems.is_empty()) else {
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return Ok(draw(&app, &known, id, &fields, &reader.problems, status));
    };
    let cards = asked.cards(id, &codes_in_use(&mut read).await?, &known);
    drop(read);
    let codes: Vec<String> = cards
        .iter()
        .map(|(_, card)| card.code.to_string())
        .collect();
    let entries = cards.into_iter().map(|(id, card)| NewEntry {
        id,
        kind: Kind::Card,
        form_version: 1,
        subject: None,
        base: None,
        no_client_id: false,
        fields: typed(&card),
        happened: Happened {
            date: Some(card.day),
            ..Happened::default()
        },
        values: Some(card.into()),
        problems: Vec::new(),
        person: known.person(visitor.person.as_deref()),
        device_id: Some(visitor.device),
        seq: None,
        came_by: app.who.session,
        source: Source::House,
        card_code: None,
        typed_at: None,
        sent_at: None,
        received_at: now,
    });
    app.store.enter_all(entries.collect()).await?;
    Ok(see_other(&format!(
        "/cards/print?code={}",
        codes.join("&code=")
    )))
}

/// What is to be drawn up.
struct AskedFor {
    what: CardFor,
    block: Option<Uuid>,
    count: u16,
}

fn asked_for(reader: &mut Reader, known: &Known) -> Option<AskedFor> {
    let what = WORDS.iter().find(|(_, word)| *word == reader.raw("what"));
    if what.is_none() {
        reader.wrong("what", "Tap what the cards are for.");
    }
    let block = reader.text("block");
    let block = block.map(|_| block_named(reader, known));
    reader.needed("count", "How many cards?");
    let count = reader.whole("count", 1, MOST);
    Some(AskedFor {
        what: what?.0,
        block: match block {
            Some(found) => Some(found?),
            None => None,
        },
        count: count?,
    })
}

impl AskedFor {
    /// The cards of one print. Ids and codes follow from the id of its page, so that the same page
    /// sent twice draws up the same cards.
    fn cards(
        &self,
        page: Uuid,
        in_use: &HashSet<(CardCode, Uuid)>,
        known: &Known,
    ) -> Vec<(Uuid, Card)> {
        let mut cards: Vec<(Uuid, Card)> = Vec::new();
        let mut number = 0u32;
        while cards.len() < usize::from(self.count) {
            let digest = Sha256::digest(format!("{page} {number}"));
            number += 1;
            let mut bytes = [0; 10];
            bytes.copy_from_slice(&digest[..10]);
            let made = page.get_timestamp().map_or(0, |at| {
                let (seconds, nanos) = at.to_unix();
                seconds * 1000 + u64::from(nanos / 1_000_000)
            });
            let id = uuid::Builder::from_unix_timestamp_millis(made, &bytes).into_uuid();
            let code = CardCode::of(u32::from_be_bytes([0, digest[10], digest[11], digest[12]]));
            let taken = in_use.iter().any(|(used, by)| *used == code && *by != id)
                || cards.iter().any(|(_, card)| card.code == code);
            if !taken {
                let card = Card {
                    code,
                    what: self.what,
                    block: self.block,
                    day: known.today,
                    walk: None,
                };
                cards.push((id, card));
            }
        }
        cards
    }
}

async fn codes_in_use(read: &mut Read) -> Result<HashSet<(CardCode, Uuid)>, PageError> {
    let cards = read.cards().await?;
    Ok(cards
        .into_iter()
        .map(|one| (one.card.code, one.id))
        .collect())
}

/// A card as its form would have been typed.
fn typed(card: &Card) -> Fields {
    let what = WORDS.iter().find(|(what, _)| *what == card.what);
    let block = card.block.map_or_else(String::new, |id| id.to_string());
    [
        ("what", what.map_or("", |(_, word)| *word)),
        ("block", &block),
        ("date", &card.day.to_string()),
        ("code", &card.code.to_string()),
    ]
    .into_iter()
    .collect()
}

fn draw(
    app: &App,
    known: &Known,
    entry_id: Uuid,
    typed: &Fields,
    problems: &[Problem],
    status: StatusCode,
) -> Response {
    let draft = Draft {
        fields: typed,
        problems,
        answers: &[],
    };
    // A walk is drawn up by itself, since it draws vines.
    let kinds = WORDS
        .into_iter()
        .filter(|(what, _)| *what != CardFor::Walk)
        .map(|(what, word)| (word.to_owned(), what.name().to_owned()));
    let fields = vec![
        Field::one(&draft, "what", "What they are for", kinds),
        Field::one(
            &draft,
            "block",
            "Block, or none for any block",
            known.block_choices(),
        ),
        Field::whole(&draft, "count", "How many").hint(format!("Up to {MOST} at a time.")),
    ];
    let drawn = page(&DrawUpPage {
        frame: Frame::new(known, app, "Print blank cards").at("/sheets"),
        entry_id,
        problems: Summary::beside(problems, &fields),
        fields,
    });
    (status, drawn).into_response()
}
