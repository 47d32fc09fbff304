//! Counting back: the latest finish of a spray for a wished picking, and on from a real end.
//! Nothing is stored here. Not here: the sums (`science::sprays::plan`).

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;

use super::hold_words::{THE_LABEL, moment};
use super::spray_check::{DAYS, HOURS, interval};
use super::spray_times;
use crate::science::sprays::{Limit, Product, check, first_pick, latest_finish, limits};
use crate::store::ledger::Fields;
use crate::web::error::PageError;
use crate::web::form::{Draft, Field, Problem, Reader, Summary, answers};
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::typed::Asked;
use crate::web::{App, page, see_other, words};

#[derive(Template)]
#[template(path = "sprays/finish.html")]
struct FinishPage<'a> {
    frame: Frame,
    the_label: &'static str,
    problems: Summary<'a>,
    answers: Vec<&'a str>,
    wish: Vec<Field>,
    real: Vec<Field>,
    said: Option<Said>,
}

/// The answer in words.
#[derive(Default)]
struct Said {
    finish: String,
    past: bool,
    after_real_end: Option<String>,
    hours_not_typed: bool,
}

/// What was asked, understood.
struct Question {
    wish: DateTime<Tz>,
    days: f64,
    hours: Option<f64>,
    ended: Option<DateTime<Tz>>,
}

pub async fn get(app: App, Asked(asked): Asked) -> Result<Response, PageError> {
    let known = Known::load(&app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    let mut reader = Reader::new(&asked);
    let said = match NAMES.iter().any(|name| asked.has(name)) {
        true => read(&mut reader, &known).and_then(|question| {
            let said = answer(&question, &known);
            if said.is_none() {
                reader.wrong("days", "That reaches beyond the calendar.");
            }
            said
        }),
        false => None,
    };
    let problems = reader.problems;
    let status = match problems.is_empty() {
        true => StatusCode::OK,
        false => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let said = said.filter(|_| problems.is_empty());
    Ok((status, draw(&app, &known, &asked, &problems, said)).into_response())
}

const NAMES: [&str; 6] = ["start", "at", "days", "hours", "ended_date", "ended_at"];

fn draw(
    app: &App,
    known: &Known,
    asked: &Fields,
    problems: &[Problem],
    said: Option<Said>,
) -> Response {
    let agreed = answers(asked);
    let draft = Draft {
        fields: asked,
        problems,
        answers: &agreed,
    };
    let wish = vec![
        Field::date(&draft, "start", "Day you want to pick"),
        Field::time(&draft, "at", "From what time"),
        Field::decimal(&draft, "days", "Picking after")
            .unit("days")
            .hint("Days to harvest, from the label in your hand."),
        Field::decimal(&draft, "hours", "Entry after")
            .unit("hours")
            .hint("Entry hours, from the label. Longer ones win over the days."),
    ];
    let real = vec![
        Field::date(&draft, "ended_date", "Day spraying ended"),
        Field::time(&draft, "ended_at", "At what time"),
    ];
    page(&FinishPage {
        frame: Frame::new(known, app, "Latest finish").at("/sprays"),
        the_label: THE_LABEL,
        problems: Summary::beside(problems, wish.iter().chain(&real)),
        answers: asked.all("answer").collect(),
        wish,
        real,
        said,
    })
}

fn read(reader: &mut Reader, known: &Known) -> Option<Question> {
    let zone = known.zone;
    let date = reader.needed_date("start", "Type the day you want to pick.");
    reader.needed("at", "Type the time picking is to start, such as 07:30.");
    let wish = date.and_then(|date| spray_times::moment(reader, "at", date, zone));
    reader.needed("days", "Type the label's days to harvest.");
    let days = interval(reader, "days", DAYS);
    let hours = interval(reader, "hours", HOURS);
    for (field, entry_hours, harvest_days) in [("days", None, days), ("hours", hours, None)] {
        let product = Product {
            name: "the product".to_owned(),
            entry_hours,
            harvest_days,
            ..Product::default()
        };
        if let Err(error) = check(&product) {
            reader.wrong(field, error.to_string());
        }
    }
    let (dated, timed) = (reader.text("ended_date"), reader.text("ended_at"));
    match (dated.is_some(), timed.is_some()) {
        (true, false) => reader.wrong("ended_at", "Type the time at which spraying ended."),
        (false, true) => reader.wrong("ended_date", "Type the day on which spraying ended."),
        _ => {}
    }
    let ended = reader
        .date("ended_date")
        .and_then(|date| spray_times::moment(reader, "ended_at", date, zone));
    Some(Question {
        wish: wish?,
        days: days?,
        hours,
        ended,
    })
}

/// None only beyond the calendar.
fn answer(question: &Question, known: &Known) -> Option<Said> {
    let hours = question.hours.unwrap_or(0.0);
    let latest = latest_finish(question.wish, question.days, hours).ok()?;
    let after_real_end = match question.ended {
        Some(ended) => Some(from_real_end(question, ended, known)?),
        None => None,
    };
    Some(Said {
        finish: format!(
            "finish by {} — in practice {}{}",
            // A latest moment is shown without its seconds: earlier, never later.
            words::moment(&latest.finish, known.today),
            day(latest.in_practice, known),
            by_the_days_alone(question)
        ),
        past: latest.finish < known.now,
        after_real_end,
        hours_not_typed: question.hours.is_none(),
    })
}

fn from_real_end(question: &Question, ended: DateTime<Tz>, known: &Known) -> Option<String> {
    let product = Product {
        name: "the product".to_owned(),
        entry_hours: Some(question.hours.unwrap_or(0.0)),
        harvest_days: Some(question.days),
        ..Product::default()
    };
    let Limit::At(picking) = limits(ended.fixed_offset(), &[product]).ok()?.picking else {
        return None;
    };
    let first = first_pick(&picking, known.zone, question.wish.time())?;
    Some(format!(
        "no picking before {}; the first morning pick is {}, {}{}",
        moment(&picking, known),
        day(first, known),
        after_the_wish(first, question.wish.date_naive()),
        by_the_days_alone(question)
    ))
}

/// What a moment counted without the label's entry hours has to say of itself.
fn by_the_days_alone(question: &Question) -> &'static str {
    match question.hours {
        Some(_) => "",
        None => ", by the days alone; the label's entry hours may hold longer",
    }
}

/// "five days after you hoped"
fn after_the_wish(first: NaiveDate, wished: NaiveDate) -> String {
    let late = (first - wished).num_days();
    let days = words::counted(
        usize::try_from(late.unsigned_abs()).unwrap_or_default(),
        "day",
        "days",
    );
    match late {
        0 => "the day you hoped for".to_owned(),
        1.. => format!("{days} after you hoped"),
        _ => format!("{days} before the day you hoped for"),
    }
}

fn day(date: NaiveDate, known: &Known) -> String {
    use chrono::Datelike;
    if date.year() == known.today.year() {
        words::day(date)
    } else {
        words::day_and_year(date)
    }
}
