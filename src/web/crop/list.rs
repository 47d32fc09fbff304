//! The cluster cards of a year, newest first. Not here: what they say of the crop.

use askama::Template;
use axum::response::Response;
use chrono::NaiveDate;
use uuid::Uuid;

use super::ClustersForm;
use crate::store::ledger::Values;
use crate::web::error::PageError;
use crate::web::form::Form;
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::typed::Asked;
use crate::web::words::ReadBack;
use crate::web::{App, page};

#[derive(Template)]
#[template(path = "crop/list.html")]
struct ClusterCardsPage {
    frame: Frame,
    year: i32,
    cards: Vec<(Uuid, ReadBack)>,
}

pub async fn get(app: App, Asked(asked): Asked) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let year = known.year_asked(&asked);
    let day = |month, day| NaiveDate::from_ymd_opt(year, month, day).unwrap_or(known.today);
    let found = read.cluster_cards_between(day(1, 1), day(12, 31)).await?;
    let cards = found
        .into_iter()
        .map(|(id, card)| {
            let values = Values::Clusters(card);
            (id, ClustersForm.read_back(&values, &known))
        })
        .collect();
    Ok(page(&ClusterCardsPage {
        frame: Frame::new(&known, &app, "Cluster cards").at("/blocks"),
        year,
        cards,
    }))
}
