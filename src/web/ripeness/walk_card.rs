//! The card of a walk on paper: two halves a sheet, folded in the middle into a pocket. The same
//! vines in the same order as on the phone, with places to write, and the bag's fields behind them.
//! Not here: the page for a phone (`walk_page`), the paper (`static/print.css`).

use askama::Template;
use axum::response::Response;

use super::walk_shared::{Drawn, drawn};
use super::walk_words;
use crate::science::ripeness::Walk;
use crate::science::ripeness::walk::{ReadAt, WalkStop};
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::harvest::Vineyard;
use crate::web::known::Known;
use crate::web::typed::Named;
use crate::web::{App, page, words};

/// Lines that fit under the heading of the first half, and under that of a later one.
const FIRST_HALF: usize = 12;
const LATER_HALF: usize = 16;

#[derive(Template)]
#[template(path = "ripeness/walk_card.html")]
struct WalkCard {
    frame: Frame,
    farm: String,
    called: String,
    code: String,
    seed: u32,
    entry: walk_words::Entry,
    printed: String,
    data_up_to: String,
    berries: String,
    drawn: String,
    is_read: bool,
    /// Two halves a sheet; none while the block is closed.
    sheets: Vec<Vec<Half>>,
}

/// Half a sheet.
#[derive(Default)]
struct Half {
    stops: Vec<Line>,
    /// What is written down at the end, in the order of the form.
    tally: Vec<String>,
}

struct Line {
    /// "1", or "spare 1".
    number: String,
    row: String,
    panel: u16,
    vine: u16,
    side: &'static str,
    part: &'static str,
}

pub async fn get(app: App, Named(code): Named) -> Result<Response, PageError> {
    let (known, vineyard) = Vineyard::now(&app).await?;
    let mut read = app.store.read().await?;
    let Drawn {
        code: card_code,
        block,
        walk,
        ..
    } = drawn(&mut read, &code).await?;
    let one = vineyard
        .block(block)
        .ok_or(PageError::missing("block of this walk"))?;
    let entry = walk_words::entry(one, &known, &vineyard);
    let farm = known.farm.as_ref();
    let sheets = match entry.is_closed {
        true => Vec::new(),
        false => sheets(&walk, &known),
    };
    Ok(page(&WalkCard {
        frame: Frame::new(&known, &app, &format!("Card {card_code}"))
            .at("/sheets")
            .across()
            .shared_at(format!("/walks/{card_code}/card"), &app),
        farm: farm.map_or_else(String::new, |farm| farm.name.clone()),
        called: one.block.called(),
        code: card_code.to_string(),
        seed: card_code.number(),
        entry,
        printed: words::moment(&known.now, known.today),
        data_up_to: known.data_up_to(),
        berries: walk_words::from_each(&walk),
        drawn: walk_words::frame(&walk.frame),
        is_read: walk.read == ReadAt::Vines,
        sheets,
    }))
}

fn sheets(walk: &Walk, known: &Known) -> Vec<Vec<Half>> {
    let spare = |number: usize| format!("spare {number}");
    let stops = lines(walk, &walk.stops, |number| number.to_string());
    let mut lines: Vec<Line> = stops
        .chain(self::lines(walk, &walk.spares, spare))
        .collect();
    let mut halves: Vec<Half> = Vec::new();
    let mut room = FIRST_HALF;
    while !lines.is_empty() {
        room = if halves.is_empty() {
            FIRST_HALF
        } else {
            LATER_HALF
        };
        let rest = lines.split_off(room.min(lines.len()));
        room -= lines.len();
        halves.push(Half {
            stops: std::mem::replace(&mut lines, rest),
            ..Half::default()
        });
    }
    let tally = tally(walk, known);
    // Two of its fields stand beside each other, and a line parts it from the stops.
    match halves.last_mut() {
        Some(last) if tally.len().div_ceil(2) < room => last.tally = tally,
        _ => halves.push(Half {
            tally,
            ..Half::default()
        }),
    }
    let mut sheets: Vec<Vec<Half>> = Vec::new();
    for half in halves {
        match sheets.last_mut() {
            Some(sheet) if sheet.len() < 2 => sheet.push(half),
            _ => sheets.push(vec![half]),
        }
    }
    sheets
}

fn lines<'a>(
    walk: &'a Walk,
    stops: &'a [WalkStop],
    named: impl Fn(usize) -> String + 'a,
) -> impl Iterator<Item = Line> + 'a {
    stops.iter().enumerate().map(move |(place, stop)| Line {
        number: named(place + 1),
        row: stop.at.row.clone(),
        panel: stop.at.panel,
        vine: stop.at.vine,
        side: walk_words::side(stop, walk)
            .trim_end_matches(" side")
            .trim_end_matches(" sides"),
        part: walk_words::part(place),
    })
}

/// What the form asks beside the stops, in its order.
fn tally(walk: &Walk, known: &Known) -> Vec<String> {
    let units = known.units();
    let juice = format!("juice {}", units.temperature.symbol());
    let rain = format!("rain since, {}", units.rain().symbol());
    let bag = [
        "°Brix 1", "°Brix 2", "°Brix 3", "pH 1", "pH 2", "TA g/L", "bag no.", "berries",
        "weight g", &juice,
    ];
    let of_stops = [juice.as_str()];
    let juice_read: &[&str] = match walk.read {
        ReadAt::Bags => &bag,
        ReadAt::Vines => &of_stops,
    };
    let rest = [
        "read with",
        "taste",
        "seeds",
        "skins",
        "rot %",
        "animals %",
        &rain,
        "day",
        "time",
        "picker",
        "entered on",
    ];
    let all = juice_read.iter().chain(&rest);
    all.map(|name| (*name).to_owned()).collect()
}
