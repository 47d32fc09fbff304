//! The first run: name, units, zone and one block; then the sample form.
//! Not here: later changes of the farm (`farm_form`).

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use tokio::sync::Mutex;
use uuid::Uuid;

use super::{BlockForm, FarmForm};
use crate::store::ledger::{Fields, Happened, Kind, NewEntry, Source, Values, new_id};
use crate::web::error::PageError;
use crate::web::form::{Draft, Field, Problem, Protocol, Reader, Summary, answers};
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::typed::Posted;
use crate::web::visitor::Visitor;
use crate::web::{App, page, see_other};

#[derive(Template)]
#[template(path = "places/start.html")]
struct StartPage<'a> {
    frame: Frame,
    problems: Summary<'a>,
    farm: Vec<Field>,
    block: Vec<Field>,
    farm_id: Uuid,
    block_id: Uuid,
    answers: Vec<String>,
}

/// What stands in the way of a second farm.
#[derive(Template)]
#[template(path = "places/started.html")]
struct StartedPage {
    frame: Frame,
    farm: String,
    typed: String,
}

/// Two first starts may be sent at once. One is taken in before the other is looked at.
static ONE_AT_A_TIME: Mutex<()> = Mutex::const_new(());

pub async fn get(app: App) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    if known.farm.is_some() {
        return Ok(see_other("/"));
    }
    let mut fields = Fields::default();
    FarmForm::start(&mut fields);
    Ok(draw(&app, &known, &fields, &[], StatusCode::OK))
}

pub async fn post(
    app: App,
    visitor: Visitor,
    Posted(mut fields): Posted,
) -> Result<Response, PageError> {
    Protocol::take_answers(&mut fields, false);
    let _turn = ONE_AT_A_TIME.lock().await;
    let known = Known::load(&app).await?;
    if let Some(farm) = &known.farm {
        return Ok(already(&app, &known, &farm.name, &fields));
    }
    let mut reader = Reader::new(&fields);
    let farm = FarmForm::read(&mut reader);
    let block = BlockForm::read(&mut reader, "block_name", "variety", &known);
    let (Some(farm), Some(block), true) = (farm, block, reader.problems.is_empty()) else {
        let problems = reader.problems;
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return Ok(draw(&app, &known, &fields, &problems, status));
    };
    let now = app.clock.now();
    let id =
        |name: &str| Uuid::parse_str(fields.first(name).trim()).unwrap_or_else(|_| new_id(now));
    let block_id = id("block_id");
    let typed = |names: &[(&str, &str)]| -> Fields {
        names
            .iter()
            .map(|(from, to)| (*to, fields.first(from)))
            .collect()
    };
    let farm_typed = typed(&[
        ("name", "name"),
        ("zone", "zone"),
        ("zone_common", "zone_common"),
        ("temperature", "temperature"),
        ("mass", "mass"),
        ("length", "length"),
    ]);
    let block_typed = typed(&[("block_name", "name"), ("variety", "variety")]);
    let entries = [
        (id("farm_id"), Values::from(farm), farm_typed),
        (block_id, Values::from(block), block_typed),
    ]
    .map(|(id, values, typed)| first_entry(id, values, typed, &visitor, now));
    app.store.enter_all(entries.into()).await?;
    Ok(visitor.remembered(first_sample(block_id), None))
}

fn first_sample(block: Uuid) -> Response {
    see_other(&format!("/ripeness/new?block={block}"))
}

/// The same first start sent again goes where it went before; another one is not stored.
fn already(app: &App, known: &Known, farm: &str, fields: &Fields) -> Response {
    let sent = |name: &str| Uuid::parse_str(fields.first(name).trim()).ok();
    if known.farm_record.is_some() && sent("farm_id") == known.farm_record {
        return sent("block_id").map_or_else(|| see_other("/"), first_sample);
    }
    let drawn = StartedPage {
        frame: Frame::new(known, app, "There is a farm here already"),
        farm: farm.to_owned(),
        typed: fields.first("name").trim().to_owned(),
    };
    (StatusCode::CONFLICT, page(&drawn)).into_response()
}

fn first_entry(
    id: Uuid,
    values: Values,
    fields: Fields,
    visitor: &Visitor,
    received_at: chrono::DateTime<chrono::Utc>,
) -> NewEntry {
    let kind: Kind = values.kind();
    NewEntry {
        id,
        kind,
        form_version: 1,
        subject: None,
        base: None,
        fields,
        values: Some(values),
        problems: Vec::new(),
        person: None,
        device_id: Some(visitor.device),
        seq: None,
        came_by: None,
        no_client_id: false,
        source: Source::House,
        card_code: None,
        happened: Happened::default(),
        typed_at: None,
        sent_at: None,
        received_at,
    }
}

fn draw(
    app: &App,
    known: &Known,
    fields: &Fields,
    problems: &[Problem],
    status: StatusCode,
) -> Response {
    let agreed = answers(fields);
    let draft = Draft {
        fields,
        problems,
        answers: &agreed,
    };
    let kept = |name: &str| {
        Uuid::parse_str(fields.first(name).trim()).unwrap_or_else(|_| new_id(app.clock.now()))
    };
    let farm = FarmForm::first_fields(&draft);
    let block = vec![
        Field::text(&draft, "block_name", "Name of one block")
            .hint("The letter on its posts, such as A. The others come later."),
        Field::text(&draft, "variety", "Its variety").hint("May stay empty."),
    ];
    let drawn = StartPage {
        frame: Frame::new(known, app, "First start"),
        problems: Summary::beside(problems, farm.iter().chain(&block)),
        farm,
        block,
        answers: fields.all("answer").map(str::to_owned).collect(),
        farm_id: kept("farm_id"),
        block_id: kept("block_id"),
    };
    (status, page(&drawn)).into_response()
}
