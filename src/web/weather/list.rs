//! The page of the season's weather. Not here: the form.

use askama::Template;
use axum::response::Response;
use chrono::{Datelike, NaiveDate};
use uuid::Uuid;

use super::WeatherForm;
use crate::store::ledger::Values;
use crate::web::error::PageError;
use crate::web::form::Form;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::words::ReadBack;
use crate::web::{App, page};

#[derive(Template)]
#[template(path = "house/weather.html")]
struct WeatherPage {
    frame: Frame,
    year: i32,
    days: Vec<(Uuid, ReadBack)>,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let year = known.today.year();
    let first = NaiveDate::from_yo_opt(year, 1).unwrap_or(known.today);
    let last = NaiveDate::from_ymd_opt(year, 12, 31).unwrap_or(known.today);
    let mut days: Vec<(Uuid, ReadBack)> = read
        .weather_between(first, last)
        .await?
        .into_iter()
        .map(|(id, day)| (id, WeatherForm.read_back(&Values::Weather(day), &known)))
        .collect();
    days.reverse();
    Ok(page(&WeatherPage {
        frame: Frame::new(&known, &app, "Weather").at("/house"),
        year,
        days,
    }))
}
