//! Sharing one page by a link: made with a tap, with an end date, ended with a tap.
//! Not here: what opening it does (`opened`).

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use chrono::{DateTime, Days, NaiveDate, Utc};
use uuid::Uuid;

use super::way_in::new_secret;
use crate::science::access::Shows;
use crate::science::zone::start_of;
use crate::store::Share;
use crate::store::ledger::{Fields, new_id};
use crate::web::error::PageError;
use crate::web::form::{Draft, Field, Problem, Reader, Summary};
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::reach::Drawn;
use crate::web::typed::{Asked, Named, Posted};
use crate::web::{App, page, see_other, site, words};

/// A link ends after two weeks unless another day is typed.
const DAYS: u64 = 14;
const MOST_DAYS: u64 = 400;

#[derive(Template)]
#[template(path = "access/share_new.html")]
struct NewPage<'a> {
    frame: Frame,
    path: &'a str,
    title: &'a str,
    problems: Summary<'a>,
    fields: Vec<Field>,
}

#[derive(Template)]
#[template(path = "access/share.html")]
struct SharePage {
    frame: Frame,
    shown: Shown,
    lead_in: bool,
    port: u16,
    link: Option<Drawn>,
}

#[derive(Template)]
#[template(path = "access/shares.html")]
struct SharesPage {
    frame: Frame,
    shares: Vec<Shown>,
}

/// A link in words.
struct Shown {
    id: Uuid,
    path: String,
    title: String,
    lines: Vec<String>,
    is_good: bool,
}

impl Shown {
    fn of(share: &Share, known: &Known) -> Self {
        let at = |at: DateTime<Utc>| words::moment(&at.with_timezone(&known.zone), known.today);
        let last = share.ends_at.with_timezone(&known.zone).date_naive();
        let last = last.pred_opt().unwrap_or(last);
        let is_good = share.is_good(known.now.to_utc());
        let end = match share.ended_at {
            Some(ended) => format!("Ended {}.", at(ended)),
            None if is_good => format!("Shows the page to the end of {}.", words::day(last)),
            None => format!("Showed the page to the end of {}.", words::day(last)),
        };
        let with = match share.shows.names {
            true => "With people's names.",
            false => "Without people's names.",
        };
        let used = match share.last_used {
            Some(used) => format!("Opened last {}.", at(used)),
            None => "Not opened yet.".to_owned(),
        };
        Self {
            id: share.id,
            path: share.path.clone(),
            title: share.title.clone(),
            lines: vec![end, used, with.to_owned()],
            is_good,
        }
    }
}

pub async fn list(app: App) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let keys = app.store.keys();
    let shares = keys.shares().into_iter();
    Ok(page(&SharesPage {
        frame: Frame::new(&known, &app, "Shared pages").at("/house"),
        shares: shares.map(|one| Shown::of(one, &known)).collect(),
    }))
}

pub async fn new(app: App, Asked(asked): Asked) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let mut fields = asked.clone();
    let end = known.today + Days::new(DAYS);
    fields.set("until", &end.to_string());
    draw(&app, &known, &fields, &[], StatusCode::OK)
}

pub async fn post(app: App, Posted(fields): Posted) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let mut reader = Reader::new(&fields);
    let until = last_day(&mut reader, &known);
    let shows = Shows {
        names: reader.tick("names"),
        // Nothing shows costs yet.
        costs: false,
    };
    let (Some(until), true) = (until, reader.problems.is_empty()) else {
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return draw(&app, &known, &fields, &reader.problems, status);
    };
    let (path, title) = named(&fields)?;
    let now = app.clock.now();
    let secret = new_secret()?;
    let share = Share {
        id: new_id(now),
        secret_hash: secret.hash(),
        path: path.to_owned(),
        title: title.to_owned(),
        shows,
        made_at: now,
        ends_at: until,
        last_used: None,
        ended_at: None,
    };
    let to = format!("/shares/{}", share.id);
    app.doorkeeper
        .remember_link(share.id, secret.text().to_owned());
    app.store.begin_share(share).await?;
    Ok(see_other(&to))
}

pub async fn show(app: App, Named(id): Named) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    let keys = app.store.keys();
    let share = of_id(&id, keys.shares())?;
    let ways = app.reach.ways();
    let secret = app.doorkeeper.link(share.id);
    let link = secret.filter(|_| share.is_good(app.clock.now()));
    Ok(page(&SharePage {
        frame: Frame::new(&known, &app, "A shared page").at("/house"),
        shown: Shown::of(share, &known),
        lead_in: ways.lead_in(),
        port: app.reach.port(),
        link: link.map(|secret| Drawn::of_link(ways.canonical(), &format!("v/{secret}"))),
    }))
}

pub async fn end(app: App, Named(id): Named, _: Posted) -> Result<Response, PageError> {
    let keys = app.store.keys();
    let share = of_id(&id, keys.shares())?;
    app.store.end_share(share.id, app.clock.now()).await?;
    Ok(see_other("/shares"))
}

fn of_id<'a>(id: &str, shares: Vec<&'a Share>) -> Result<&'a Share, PageError> {
    let id = Uuid::parse_str(id).ok();
    let mut shares = shares.into_iter();
    shares
        .find(|one| Some(one.id) == id)
        .ok_or_else(|| PageError::missing("shared page"))
}

/// The page that is to be shared, if it is one that can be.
fn named(fields: &Fields) -> Result<(&str, &str), PageError> {
    let path = fields.first("what");
    match site().shares(path) {
        true => Ok((path, fields.first("title").trim())),
        false => Err(PageError::missing("page that can be shared")),
    }
}

/// The end of the day typed, as the farm's clocks show it.
fn last_day(reader: &mut Reader, known: &Known) -> Option<DateTime<Utc>> {
    let day: NaiveDate = reader.date("until")?;
    let last = known.today + Days::new(MOST_DAYS);
    if day < known.today || day > last {
        reader.wrong(
            "until",
            format!("Type a day from today to {}.", words::day_and_year(last)),
        );
        return None;
    }
    Some(start_of(day + Days::new(1), known.zone).to_utc())
}

fn draw(
    app: &App,
    known: &Known,
    fields: &Fields,
    problems: &[Problem],
    status: StatusCode,
) -> Result<Response, PageError> {
    let (path, title) = named(fields)?;
    let draft = Draft {
        fields,
        problems,
        answers: &[],
    };
    let drawn = vec![
        Field::date(&draft, "until", "Last day that it can be seen"),
        Field::tick(&draft, "names", "With people's names"),
    ];
    let drawn = NewPage {
        frame: Frame::new(known, app, "Share a page").at("/house"),
        path,
        title,
        problems: Summary::beside(problems, &drawn),
        fields: drawn,
    };
    Ok((status, page(&drawn)).into_response())
}
