//! The page of a walk, for a phone in the rows: one field a stop, the value so far, and the spare
//! vines. What is typed is a sample like any other.
//! Not here: how it is read (`walk_check`), the sum out of range (`static/walk.js`).

use askama::Template;
use axum::response::Response;
use chrono::NaiveDate;
use uuid::Uuid;

use super::sample_form::{SampleForm, bag_groups, fruit, instrument_legend, time_and_instrument};
use super::walk_shared::{Drawn, KeptStops, Standing, sum};
use super::walk_sum::Sum;
use super::{stops_check, walk_fields, walk_words};
use crate::science::places::VineAddress;
use crate::science::places::census::history;
use crate::science::ripeness::Walk;
use crate::science::ripeness::walk::{ReadAt, WalkStop};
use crate::store::ledger::{Fields, new_id};
use crate::web::error::PageError;
use crate::web::form::handle::people;
use crate::web::form::protocol::units_word;
use crate::web::form::{Draft, Field, Form, Group};
use crate::web::frame::Frame;
use crate::web::harvest::BlockToday;
use crate::web::kept::may_be_kept;
use crate::web::known::Known;
use crate::web::places::since_day;
use crate::web::typed::Named;
use crate::web::visitor::Visitor;
use crate::web::{App, page, words};

#[derive(Template)]
#[template(path = "ripeness/walk.html")]
struct WalkPage {
    frame: Frame,
    called: String,
    code: String,
    day: String,
    entry: walk_words::Entry,
    record: Uuid,
    block: Uuid,
    drawn: Vec<String>,
    berries: String,
    edge_rows: bool,
    /// None while the block is closed: then there are no stops.
    form: Option<WalkForm>,
}

/// What is typed on the way.
struct WalkForm {
    path: &'static str,
    kind: &'static str,
    entry_id: Uuid,
    form_version: u16,
    units: String,
    rows: String,
    sum: Sum,
    running: (String, String),
    stops: Vec<Stop>,
    spares: Vec<Stop>,
    groups: Vec<Group>,
    people: Option<Field>,
}

/// One vine on the page.
struct Stop {
    at: String,
    field: Field,
    skipping: Group,
    /// What others have kept there, and the readings for the sum.
    kept: Vec<String>,
    kept_brix: String,
    /// It was written down as gone after the walk was drawn.
    gone: Option<String>,
}

pub async fn get(app: App, visitor: Visitor, Named(code): Named) -> Result<Response, PageError> {
    let standing = Standing::of(&app, &code).await?;
    let one = standing.block()?;
    let Standing {
        known,
        vineyard,
        drawn,
        kept,
    } = &standing;
    let entry = walk_words::entry(one, known, vineyard);
    let called = one.block.called();
    let form = match entry.is_closed {
        true => None,
        false => {
            let person = known.person(visitor.person.as_deref());
            let id = new_id(app.clock.now());
            Some(WalkForm::blank(id, person, drawn, kept, one, known))
        }
    };
    let frame = Frame::new(known, &app, &format!("Walk {}", drawn.code))
        .at("/blocks")
        .to_keep()
        .with_script("form.js")
        .with_script("walk.js");
    Ok(may_be_kept(page(&WalkPage {
        frame,
        called,
        code: drawn.code.to_string(),
        day: words::day(known.today),
        form,
        entry,
        record: drawn.record,
        block: drawn.block,
        berries: walk_words::from_each(&drawn.walk),
        edge_rows: drawn.walk.frame.has_edge_rows(),
        drawn: std::iter::once(walk_words::frame(&drawn.walk.frame))
            .chain(walk_words::how_many(&drawn.walk))
            .collect(),
    })))
}

/// The rows the walk leads through, when they are not the whole block.
fn rows(walk: &Walk) -> String {
    match walk.frame.left_out.is_empty() {
        true => String::new(),
        false => walk.frame.rows.join(" "),
    }
}

impl WalkForm {
    /// The fields, all empty.
    fn blank(
        entry_id: Uuid,
        person: Option<String>,
        drawn: &Drawn,
        kept: &KeptStops,
        one: &BlockToday,
        known: &Known,
    ) -> Self {
        let walk = &drawn.walk;
        let mut fields = SampleForm.blank(known, &Fields::default());
        let berries = walk.stops.len() * usize::from(walk.berries);
        fields.set("berries_1", &berries.to_string());
        let draft = Draft {
            fields: &fields,
            problems: &[],
            answers: &[],
        };
        let draw = |stops: &[WalkStop]| -> Vec<Stop> {
            stops
                .iter()
                .enumerate()
                .map(|(number, stop)| drawn_stop(&draft, walk, number, stop, kept, known))
                .collect()
        };
        let so_far = sum(kept, walk, one, known);
        Self {
            path: SampleForm.path(),
            kind: SampleForm.kind().word(),
            entry_id,
            form_version: SampleForm.version(),
            units: units_word(known.units()),
            rows: rows(walk),
            sum: Sum::of(walk, one, known),
            running: walk_words::running(so_far.as_ref(), walk.stops.len(), walk.wanted),
            stops: draw(&walk.stops),
            spares: draw(&walk.spares),
            groups: groups(&draft, walk, known),
            people: people(known, person.as_deref()),
        }
    }
}

fn drawn_stop(
    draft: &Draft,
    walk: &Walk,
    number: usize,
    stop: &WalkStop,
    kept: &KeptStops,
    known: &Known,
) -> Stop {
    let at = &stop.at;
    let side = walk_words::side(stop, walk);
    let field = match walk.read {
        ReadAt::Vines => walk_fields::reading(draft, at).unit(side),
        ReadAt::Bags => walk_fields::done(draft, at)
            .unit(side)
            .hint(walk_words::berries(walk, number, stop)),
    };
    let kept = kept.get(at).map(Vec::as_slice).unwrap_or_default();
    let brix: Vec<String> = kept.iter().map(|one| one.brix.to_string()).collect();
    let passed_over = format!("Pass over {at}");
    Stop {
        at: at.to_string(),
        field,
        skipping: Group::folded(passed_over, walk_fields::skipping(draft, at)),
        kept: kept.iter().map(|one| one.words.clone()).collect(),
        kept_brix: brix.join(" "),
        gone: gone_since(at, known).map(|since| {
            format!(
                "Gone since {}: take a spare.",
                since_day(since, known.today)
            )
        }),
    }
}

fn gone_since(at: &VineAddress, known: &Known) -> Option<NaiveDate> {
    history(at, &known.vines, known.today).pop()?.gone
}

/// What comes after the stops: the bag if there is one, what was seen, and the rest.
fn groups(draft: &Draft, walk: &Walk, known: &Known) -> Vec<Group> {
    let units = known.units();
    let degrees = units.temperature.symbol();
    let mut groups = match walk.read {
        ReadAt::Bags => bag_groups(draft, 1, degrees),
        ReadAt::Vines => Vec::new(),
    };
    let mut with = time_and_instrument(draft, known);
    if walk.read == ReadAt::Vines {
        with.push(
            Field::decimal(
                draft,
                stops_check::TEMPERATURE,
                "Juice temperature of all stops",
            )
            .unit(degrees),
        );
    }
    groups.extend([
        Group::folded(instrument_legend(draft, known), with).quiet(),
        fruit(draft, units.rain().symbol()),
        Group::folded(
            "Day, note",
            vec![
                Field::date(draft, "date", "Day it was picked").carried(),
                Field::area(draft, "note", "Note"),
            ],
        )
        .quiet(),
    ]);
    groups
}
