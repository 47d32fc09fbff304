//! Drawing up a walk: what it is to be like, from which vines it is drawn, and the card it makes.
//! Not here: how the wishes are read (`walk_form`), the walk's own page (`walk_page`).

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use uuid::Uuid;

use super::{walk_form, walk_words};
use crate::science::cards::CardCode;
use crate::science::ripeness::walk::how_many::STOPS_FOR_A_BAG;
use crate::science::ripeness::walk::{ReadAt, Walk, Wishes, draw_up};
use crate::store::Store;
use crate::store::ledger::{Fields, Kind, State as Became, Values, new_id};
use crate::web::error::PageError;
use crate::web::form::protocol::units_word;
use crate::web::form::{Draft, Entering, Field, Problem, Protocol, Sent, Summary};
use crate::web::frame::Frame;
use crate::web::harvest::{BlockToday, Vineyard};
use crate::web::known::Known;
use crate::web::typed::{Asked, Posted};
use crate::web::visitor::Visitor;
use crate::web::{App, page, see_other, words};

/// What stands in the fields until something else is asked for.
const STARTS: [(&str, &str); 2] = [("read", "vines"), ("wanted", "0.5")];
const SHOWN: [&str; 4] = ["read", "wanted", "stops", "berries"];

#[derive(Template)]
#[template(path = "ripeness/walk_new.html")]
struct NewWalk<'a> {
    frame: Frame,
    called: String,
    block: Uuid,
    entry: String,
    frame_words: Vec<String>,
    problems: Summary<'a>,
    hidden: Vec<(String, String)>,
    fields: Vec<Field>,
    spread: String,
}

#[derive(Template)]
#[template(path = "ripeness/walks.html")]
struct Walks {
    frame: Frame,
    blocks: Vec<(Uuid, String)>,
    walks: Vec<Listed>,
}

struct Listed {
    code: CardCode,
    called: String,
    about: String,
}

/// All walks, and the blocks to draw up another through.
pub async fn list(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    let cards = read.cards().await?;
    let walks = cards
        .into_iter()
        .filter_map(|one| {
            let walk = one.card.walk.as_ref()?;
            let block = one.card.block;
            Some(Listed {
                code: one.card.code,
                called: block.map_or_else(String::new, |block| known.block_called(block)),
                about: format!(
                    "{}, {}{}",
                    words::day(one.card.day),
                    walk_in_words(walk),
                    if one.has_entries { ", walked" } else { "" }
                ),
            })
        })
        .collect();
    Ok(page(&Walks {
        frame: Frame::new(&known, &app, "Walks").at("/sheets"),
        blocks: known
            .blocks
            .iter()
            .map(|one| (one.id, one.block.called()))
            .collect(),
        walks,
    }))
}

pub async fn get(app: App, Asked(asked): Asked) -> Result<Response, PageError> {
    let (known, vineyard) = Vineyard::now(&app).await?;
    let named = known.block_named(asked.first("block"));
    let Some(one) = named.and_then(|id| vineyard.block(id)) else {
        return Ok(see_other("/walks"));
    };
    let mut fields = Fields::default();
    for (name, start) in STARTS {
        fields.set(name, start);
    }
    for name in SHOWN.into_iter().filter(|name| asked.has(name)) {
        fields.set(name, asked.first(name));
    }
    let (between, within, _) = spread(one, &known);
    for (name, value) in [
        ("what", "walk".to_owned()),
        ("block", one.id.to_string()),
        ("date", known.today.to_string()),
        ("code", free_code(&app).await?.to_string()),
        ("spread_between", words::plain(between)),
        ("spread_within", words::plain(within)),
        ("units", units_word(known.units())),
    ] {
        fields.set(name, &value);
    }
    let id = new_id(app.clock.now());
    Ok(draw(
        &app,
        &known,
        &vineyard,
        one,
        &Page {
            id,
            fields,
            problems: Vec::new(),
        },
    ))
}

/// What is being filled.
struct Page {
    id: Uuid,
    fields: Fields,
    problems: Vec<Problem>,
}

/// Makes the card and leads to its walk.
pub async fn post(
    app: App,
    visitor: Visitor,
    Posted(mut fields): Posted,
) -> Result<Response, PageError> {
    let mut protocol = Protocol::take(&mut fields);
    let (known, vineyard) = Vineyard::now(&app).await?;
    protocol.person = known.person(visitor.person.as_deref());
    let now = app.clock.now();
    let sent = Sent {
        device_id: Some(visitor.device),
        ..Sent::default()
    };
    let entering = Entering::of_page(Kind::Card, &protocol, fields, sent, now);
    let understood = entering
        .understood_unless_sent_before(&app.store, &known)
        .await?;
    let entry = match understood {
        Ok(entry) => entry,
        Err(problems) => {
            let named = known.block_named(entering.fields.first("block"));
            let Some(one) = named.and_then(|id| vineyard.block(id)) else {
                return Ok(see_other("/walks"));
            };
            let filled = Page {
                id: entering.id,
                fields: entering.fields,
                problems,
            };
            let drawn = draw(&app, &known, &vineyard, one, &filled);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, drawn).into_response());
        }
    };
    let receipt = app.store.enter(entry).await?;
    let code = match receipt.state {
        Became::Stored => code_of(&app.store, receipt.record).await?,
        Became::Held | Became::Conflict | Became::Void => None,
    };
    let to = match code {
        Some(code) => format!("/walks/{code}"),
        None => format!("/entries/{}?now=new", receipt.id),
    };
    Ok(visitor.remembered(see_other(&to), protocol.person.as_deref()))
}

/// The code that a stored card has now.
async fn code_of(store: &Store, record: Uuid) -> Result<Option<CardCode>, PageError> {
    let mut read = store.read().await?;
    let entry = read.entry_in_force(record).await?;
    Ok(match entry.and_then(|entry| entry.values) {
        Some(Values::Card(card)) => Some(card.code),
        _ => None,
    })
}

/// A code that no card has yet.
async fn free_code(app: &App) -> Result<CardCode, PageError> {
    let taken: Vec<CardCode> = (app.store.read().await?.cards().await?)
        .iter()
        .map(|one| one.card.code)
        .collect();
    loop {
        // The last bits of an id are random.
        let random = new_id(app.clock.now()).as_u128() as u32;
        let code = CardCode::of(random);
        if !taken.contains(&code) {
            return Ok(code);
        }
    }
}

/// The spread between and within vines to reckon with, and where it is from.
fn spread(one: &BlockToday, known: &Known) -> (f64, f64, &'static str) {
    match &one.spread {
        Some(own) => (own.sd_between, own.sd_within, "this block's own spread"),
        None => (
            known.assumptions.brix.between_vines_sd,
            known.assumptions.brix.within_vine_sd,
            "the starting spread",
        ),
    }
}

fn draw(
    app: &App,
    known: &Known,
    vineyard: &Vineyard,
    one: &BlockToday,
    filled: &Page,
) -> Response {
    let draft = Draft {
        fields: &filled.fields,
        problems: &filled.problems,
        answers: &[],
    };
    let fields = walk_form::fields(&draft);
    let mut hidden = vec![
        ("entry_id".to_owned(), filled.id.to_string()),
        ("form_version".to_owned(), "1".to_owned()),
    ];
    hidden.extend(
        filled
            .fields
            .iter()
            .filter(|(name, _)| !SHOWN.contains(name))
            .map(|(name, text)| (name.to_owned(), text.to_owned())),
    );
    let (between, within, from) = spread(one, known);
    page(&NewWalk {
        frame: Frame::new(known, app, "A walk").at("/blocks"),
        called: one.block.called(),
        block: one.id,
        entry: walk_words::entry(one, known, vineyard).words,
        frame_words: frame_words(one, known),
        problems: Summary::beside(&filled.problems, &fields),
        hidden,
        fields,
        spread: format!(
            "The number of stops is reckoned with {from}: {} °Brix between vines, {} within a vine.",
            words::number(between, 2),
            words::number(within, 2)
        ),
    })
}

/// "25 stops into bags"
fn walk_in_words(walk: &Walk) -> String {
    let stops = words::counted(walk.stops.len(), "stop", "stops");
    match walk.read {
        ReadAt::Vines => format!("{stops}, read at each vine"),
        ReadAt::Bags => format!("{stops} into bags"),
    }
}

/// From which vines a walk of the usual length would be drawn.
fn frame_words(one: &BlockToday, known: &Known) -> Vec<String> {
    if one.rows.is_empty() {
        return vec!["Write down the block's rows first, so that its vines are known.".to_owned()];
    }
    let usual = Wishes {
        read: ReadAt::Bags,
        wanted: None,
        how_many: None,
        stops: STOPS_FOR_A_BAG,
        berries: 1,
    };
    let walk = draw_up(&usual, &one.rows, &known.vines, known.today, 0);
    let words = walk_words::frame(&walk.frame);
    vec![format!(
        "{words} This is for {STOPS_FOR_A_BAG} stops; more may need other rows too."
    )]
}
