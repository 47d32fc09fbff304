//! The keeper lets a phone in: for whom and for what, then the code and its square to show it.
//! Not here: the phone's side of it (`pair`).

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::doorkeeper::Waiting;
use super::way_in::fill;
use crate::science::access::{PhoneCode, Role, Rule};
use crate::science::places::Farm;
use crate::store::ledger::{Fields, new_id};
use crate::web::error::PageError;
use crate::web::form::{Draft, Field, Problem, Summary};
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::reach::Drawn;
use crate::web::typed::{Named, Posted};
use crate::web::{App, page, see_other, words};

#[derive(Template)]
#[template(path = "access/phone_new.html")]
struct NewPage<'a> {
    frame: Frame,
    /// A passphrase has to be there first.
    lets_in: bool,
    problems: Summary<'a>,
    fields: Vec<Field>,
}

#[derive(Template)]
#[template(path = "access/phone_code.html")]
struct CodePage {
    frame: Frame,
    lead_in: bool,
    port: u16,
    /// What became of it, once it is good no more.
    over: Option<String>,
    code: String,
    address: Drawn,
    typed_at: String,
    until: String,
    may: &'static str,
    /// What is still missing on a helper's first screen.
    missing: Option<String>,
    /// The record in which it is written down.
    farm: Option<Uuid>,
}

/// What a role may do, in words for the keeper.
pub fn role_words(role: Role) -> &'static str {
    match role {
        Role::Looker => "may look",
        Role::Helper => "may look and enter",
        Role::Keeper => "may do all that the keeper does away from the farm computer",
    }
}

pub async fn new(app: App) -> Result<Response, PageError> {
    let mut fields = Fields::default();
    fields.set("role", Role::Helper.word());
    draw(&app, &fields, &[], StatusCode::OK).await
}

pub async fn post(app: App, Posted(fields): Posted) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let person = fields.first("person").trim();
    let person = known.lists(person).then(|| person.to_owned());
    let role = Role::of_word(fields.first("role"));
    let slip = match role {
        None => Some("Tap what the phone may do."),
        Some(Role::Keeper) if !app.who.at_the_house => Some(
            "A phone of the keeper's own is let in at the farm computer itself: here the code could \
             be read by others on the Wi-Fi.",
        ),
        Some(_) => None,
    };
    let (Some(role), None) = (role, slip) else {
        let problem = Problem::new("role", slip.unwrap_or_default());
        return draw(&app, &fields, &[problem], StatusCode::UNPROCESSABLE_ENTITY).await;
    };
    let now = app.clock.now();
    let waiting = Waiting::new(new_id(now), new_code(&app)?, role, person, now);
    let page = format!("/phones/codes/{}", waiting.id);
    app.doorkeeper.hand_out(waiting, now);
    Ok(see_other(&page))
}

fn new_code(app: &App) -> Result<PhoneCode, PageError> {
    loop {
        let mut bytes = [0; 8];
        fill(&mut bytes)?;
        let code = PhoneCode::of(u64::from_le_bytes(bytes));
        if !app.doorkeeper.is_out(code) {
            return Ok(code);
        }
    }
}

pub async fn show(app: App, Named(id): Named) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let missing = || PageError::missing("code (none is kept when Endpost stops)");
    let id = Uuid::parse_str(&id).map_err(|_| missing())?;
    let waiting = app.doorkeeper.handed_out(id).ok_or_else(missing)?;
    let at = |at: DateTime<Utc>| words::moment(&at.with_timezone(&known.zone), known.today);
    let over = match waiting.used_at {
        Some(used) => Some(format!("A phone came in by it {}.", at(used))),
        None if waiting.is_good(app.clock.now()) => None,
        None => Some("It is good no more. Make a new one.".to_owned()),
    };
    let ways = app.reach.ways();
    let path = format!("P/{}", waiting.code.in_one());
    Ok(page(&CodePage {
        frame: Frame::new(&known, &app, "Code for a phone").at("/house"),
        lead_in: ways.lead_in(),
        port: app.reach.port(),
        over,
        code: waiting.code.to_string(),
        address: Drawn::of_path(ways.canonical(), &path),
        typed_at: format!("{}pair", ways.canonical().url()),
        until: at(waiting.ends_at),
        may: role_words(waiting.role),
        missing: known
            .farm
            .as_ref()
            .map(Farm::not_told_to_helpers)
            .filter(|missing| !missing.is_empty() && waiting.role != Role::Keeper)
            .map(|missing| words::list(&missing)),
        farm: known.farm_record.filter(|_| app.who.may(Rule::House)),
    }))
}

async fn draw(
    app: &App,
    fields: &Fields,
    problems: &[Problem],
    status: StatusCode,
) -> Result<Response, PageError> {
    let known = Known::load(app).await?;
    let draft = Draft {
        fields,
        problems,
        answers: &[],
    };
    let may = |role: Role, label: &str| (role.word().to_owned(), label.to_owned());
    let mut roles = vec![
        may(Role::Helper, "Look and enter"),
        may(Role::Looker, "Look only"),
    ];
    if app.who.at_the_house {
        roles.push(may(
            Role::Keeper,
            "All but settings: it is the keeper's own",
        ));
    }
    let here = known.people.iter().filter(|person| person.here);
    let people = here.map(|one| (one.initials.clone(), one.initials.clone()));
    let mut fields = vec![
        Field::one(&draft, "role", "What may this phone do?", roles)
            .hint("Whoever may enter can also correct what they entered, for a day."),
    ];
    let people: Vec<(String, String)> = people.collect();
    if !people.is_empty() {
        fields.push(Field::one(&draft, "person", "Whose is it?", people).hint("May stay open."));
    }
    let drawn = NewPage {
        frame: Frame::new(&known, app, "Let a phone in").at("/house"),
        lets_in: app.doorkeeper.lets_phones_in(&app.store.keys()),
        problems: Summary::beside(problems, &fields),
        fields,
    };
    Ok((status, page(&drawn)).into_response())
}
