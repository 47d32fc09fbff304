//! The samples of a season, newest first. Not here: what follows from them (`harvest`).

use askama::Template;
use axum::response::Response;
use chrono::NaiveDate;
use uuid::Uuid;

use super::SampleForm;
use crate::store::ledger::Values;
use crate::web::error::PageError;
use crate::web::form::Form;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::typed::Asked;
use crate::web::words::ReadBack;
use crate::web::{App, page};

#[derive(Template)]
#[template(path = "ripeness/list.html")]
struct SamplesPage {
    frame: Frame,
    year: i32,
    samples: Vec<(Uuid, ReadBack)>,
}

pub async fn get(app: App, Asked(asked): Asked) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let year = known.year_asked(&asked);
    let day = |month, day| NaiveDate::from_ymd_opt(year, month, day).unwrap_or(known.today);
    let mut found = read.samples_between(day(1, 1), day(12, 31)).await?;
    found.sort_by_key(|one| std::cmp::Reverse((one.sample.date, one.sample.time)));
    let samples = found
        .into_iter()
        .map(|one| {
            let values = Values::Sample(one.sample);
            (one.id, SampleForm.read_back(&values, &known))
        })
        .collect();
    Ok(page(&SamplesPage {
        frame: Frame::new(&known, &app, "Samples").at("/blocks"),
        year,
        samples,
    }))
}
