//! A card as it is drawn up: what it is for, its block, day and code.
//! Not here: what a walk is to be like (`ripeness::walk_form`), the card on paper.

use crate::science::cards::{Card, CardCode, CardFor};
use crate::store::ledger::{Fields, Happened, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader};
use crate::web::known::Known;
use crate::web::places::block_named;
use crate::web::ripeness::{walk_form, walk_words};
use crate::web::words::{self, ReadBack};

/// One card.
pub struct CardForm;

pub const WORDS: [(CardFor, &str); 3] = [
    (CardFor::Walk, "walk"),
    (CardFor::Berries, "berries"),
    (CardFor::Clusters, "clusters"),
];

impl Form for CardForm {
    fn kind(&self) -> Kind {
        Kind::Card
    }

    fn heading(&self) -> &'static str {
        "A card"
    }

    fn path(&self) -> &'static str {
        "/cards"
    }

    fn blank(&self, known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        fields.set("date", &known.today.to_string());
        fields
    }

    fn groups(&self, draft: &Draft, known: &Known) -> Vec<Group> {
        let kinds = WORDS.map(|(what, word)| (word.to_owned(), what.name().to_owned()));
        vec![
            Group::open(vec![
                Field::one(draft, "block", "Block", known.block_choices()),
                Field::one(draft, "what", "What it is for", kinds),
                Field::date(draft, "date", "Day"),
                Field::text(draft, "code", "Code printed on it"),
            ]),
            Group::folded("The walk", walk_form::fields(draft)),
            Group::folded("Spread reckoned with", walk_form::spread_fields(draft)),
        ]
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let block = match reader.text("block") {
            Some(_) => Some(block_named(reader, known)?),
            None => None,
        };
        let what = WORDS.iter().find(|(_, word)| *word == reader.raw("what"));
        if what.is_none() {
            reader.wrong("what", "Tap what the card is for.");
        }
        let day = reader.needed_date("date", "Type the day on which the card was drawn up.");
        let code = code(reader);
        let (day, code, (what, _)) = (day?, code?, what?);
        let walk = match (what, block) {
            (CardFor::Walk, Some(block)) => Some(walk_form::read(reader, known, block, day, code)?),
            (CardFor::Walk, None) => {
                reader.wrong("block", "Choose the block to walk through.");
                return None;
            }
            (CardFor::Berries | CardFor::Clusters, _) => None,
        };
        let card = Card {
            code,
            what: *what,
            block,
            day,
            walk,
        };
        Some(card.into())
    }

    fn happened(&self, values: &Values) -> Happened {
        match values {
            Values::Card(card) => Happened {
                date: Some(card.day),
                ..Happened::default()
            },
            _ => Happened::default(),
        }
    }

    fn read_back(&self, values: &Values, known: &Known) -> ReadBack {
        let Values::Card(card) = values else {
            return ReadBack::default();
        };
        let mut read = ReadBack::titled(format!("Card {}: {}", card.code, card.what.name()));
        read.maybe("Block", card.block.map(|block| known.block_called(block)));
        read.line("Day", words::day_and_year(card.day));
        if let Some(walk) = &card.walk {
            let stops = words::counted(walk.stops.len(), "stop", "stops");
            let text = format!("{stops}. {}", walk_words::frame(&walk.frame));
            read.line("Walk", text);
            read.place = Some((format!("/walks/{}", card.code), "The walk".to_owned()));
        }
        read
    }
}

fn code(reader: &mut Reader) -> Option<CardCode> {
    let typed = reader.needed("code", "Type the code printed on the card.")?;
    match typed.parse() {
        Ok(code) => Some(code),
        Err(error) => {
            reader.wrong("code", format!("{error}"));
            None
        }
    }
}
