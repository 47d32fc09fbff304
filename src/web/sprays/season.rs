//! The record of a season's sprays, all fields, to print and keep.
//! Not here: holds of the day (`board`).

use askama::Template;
use axum::response::Response;
use chrono::NaiveDate;

use super::hold_words::THE_LABEL;
use super::shown::Shown;
use crate::web::error::PageError;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::typed::Named;
use crate::web::{App, page, see_other, words};

#[derive(Template)]
#[template(path = "sprays/season_sheet.html")]
struct Season {
    frame: Frame,
    year: i32,
    printed: String,
    data_up_to: String,
    the_label: &'static str,
    to_mend: bool,
    sprays: Vec<Shown>,
}

pub async fn get(app: App, Named(year): Named) -> Result<Response, PageError> {
    let missing = || PageError::missing("season with this address");
    let year: i32 = year.parse().map_err(|_| missing())?;
    let day = |month, day| {
        NaiveDate::from_ymd_opt(year, month, day)
            .filter(|_| (1900..=2999).contains(&year))
            .ok_or_else(missing)
    };
    let (first, last) = (day(1, 1)?, day(12, 31)?);
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    if known.farm.is_none() {
        return Ok(see_other("/start"));
    }
    let sprays = read.sprays_between(first, last).await?;
    Ok(page(&Season {
        frame: Frame::new(&known, &app, &format!("Sprays of {year}")).at("/sprays"),
        year,
        printed: words::moment(&known.now, known.today),
        data_up_to: known.data_up_to(),
        the_label: THE_LABEL,
        to_mend: read.spray_needs_a_look().await?,
        sprays: sprays.iter().map(|one| Shown::of(one, &known)).collect(),
    }))
}
