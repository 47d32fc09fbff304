//! Typing in a paper card: first its code, which opens the form of the card with block and lines
//! as they were printed. The date stays empty until it is typed.
//! Not here: the forms, and what they make of the text.

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

use crate::science::cards::{Card, CardCode, CardFor};
use crate::store::ledger::{Fields, Kind, Source};
use crate::store::{CardListed, Read};
use crate::web::error::PageError;
use crate::web::form::{self, Draft, Field, Form, Reader, Summary};
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::ledger::entry::said;
use crate::web::typed::Asked;
use crate::web::{App, page, see_other, words};

#[derive(Template)]
#[template(path = "cards/enter.html")]
struct EnterPage<'a> {
    frame: Frame,
    problems: Summary<'a>,
    field: Field,
}

pub async fn get(app: App, Asked(asked): Asked) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let mut reader = Reader::new(&asked);
    if let Some(card) = card_asked(&mut reader, &mut read).await? {
        return Ok(see_other(&page_of(&card)));
    }
    let problems = reader.problems;
    let draft = Draft {
        fields: &asked,
        problems: &problems,
        answers: &[],
    };
    let field = Field::text(&draft, "code", "Code printed on the card")
        .hint("Four letters or digits. Small letters are fine.");
    let status = match problems.is_empty() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let drawn = page(&EnterPage {
        frame: Frame::new(&known, &app, "Type in a card").at("/sheets"),
        problems: Summary::beside(&problems, [&field]),
        field,
    });
    Ok((status, drawn).into_response())
}

/// The card whose code was asked for; a code that is none, or not here, is said.
async fn card_asked(reader: &mut Reader<'_>, read: &mut Read) -> Result<Option<Card>, PageError> {
    let Some(typed) = reader.text("code") else {
        return Ok(None);
    };
    let code: CardCode = match typed.parse() {
        Ok(code) => code,
        Err(error) => {
            reader.wrong("code", format!("{error}"));
            return Ok(None);
        }
    };
    let found = read.card(code).await?;
    if found.is_none() {
        reader.wrong(
            "code",
            format!(
                "No card {code} was drawn up here. Look at the code again: 0 and O, 1 and I are \
                 read alike. A card without a code is typed into the form itself."
            ),
        );
    }
    Ok(found.map(|listed| listed.card))
}

/// Where a card is typed in.
fn page_of(card: &Card) -> String {
    let path = form_of(card).map_or("/cards/enter", |form| form.path());
    format!("{path}/new?card={}", card.code)
}

pub fn form_of(card: &Card) -> Option<&'static dyn Form> {
    form::of(match card.what {
        CardFor::Walk | CardFor::Berries => Kind::Sample,
        CardFor::Clusters => Kind::Clusters,
    })
}

/// What stands at the head of a form while a card is typed in.
pub struct CardHead {
    pub card: Card,
    /// "Card K7Q2: berry sample, C Vidal, drawn up Fri 10 Sept"
    pub title: String,
    /// What was typed under its code before: address and words.
    pub before: Vec<(String, String)>,
}

impl CardHead {
    /// The head for a code; none where no such card is here.
    pub async fn of(read: &mut Read, known: &Known, code: &str) -> Result<Option<Self>, PageError> {
        let Ok(code) = code.parse() else {
            return Ok(None);
        };
        let Some(CardListed { card, .. }) = read.card(code).await? else {
            return Ok(None);
        };
        let before = read.entries_of_card(code).await?;
        Ok(Some(Self {
            title: title(&card, known),
            before: before
                .iter()
                .map(|entry| {
                    let at = entry.received_at.with_timezone(&known.zone);
                    let by = entry
                        .person
                        .as_deref()
                        .map_or_else(String::new, |person| format!(" by {person}"));
                    let from = match entry.source {
                        Source::Paper => "from paper ",
                        _ => "",
                    };
                    let said = said(entry, known).headline;
                    let when = words::moment(&at, known.today);
                    (
                        format!("/entries/{}", entry.id),
                        format!("{said}, entered {from}{when}{by}"),
                    )
                })
                .collect(),
            card,
        }))
    }

    /// What an empty page of this card starts with.
    pub fn blank(&self, form: &dyn Form, known: &Known) -> Fields {
        let mut fields = form.blank(known, &Fields::default());
        fields.set(
            "block",
            &self
                .card
                .block
                .map_or_else(String::new, |id| id.to_string()),
        );
        form.blank_of_card(&self.card, &mut fields);
        fields
    }
}

pub fn title(card: &Card, known: &Known) -> String {
    let block = card
        .block
        .map_or_else(|| "any block".to_owned(), |block| known.block_called(block));
    format!(
        "Card {}: {}, {block}, drawn up {}",
        card.code,
        card.what.name().to_lowercase(),
        words::day(card.day)
    )
}
