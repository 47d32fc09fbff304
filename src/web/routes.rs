//! All addresses in one table, with the rule of who may come. Not here: what they answer.

use axum::Router;
use axum::middleware::from_fn_with_state;
use tower_http::compression::CompressionLayer;

use super::dress::{Dress, dress};
use super::error::PageError;
use super::reach::{self, gate};
use super::site::Site;
use super::{
    App, access, cards, copies, crop, daybook, harvest, helpers, ledger, phones, places, ripeness,
    scripts, sprays, weather,
};
use crate::science::access::Rule;

/// Every address.
pub fn site() -> Site {
    Site::default()
        .room(harvest::routes)
        .room(places::routes)
        .room(ripeness::routes)
        .room(crop::routes)
        .room(cards::routes)
        .room(weather::routes)
        .room(sprays::routes)
        .room(phones::routes)
        .room(reach::routes)
        .room(access::routes)
        .room(helpers::routes)
        .room(copies::routes)
        .room(daybook::routes)
        .room(ledger::routes)
        .get("/icon.svg", Rule::Anyone, icon)
        .get("/s/{hash}/{name}", Rule::Anyone, scripts::get)
}

/// The whole site.
pub fn router(app: App) -> Router {
    site()
        .router(&app)
        .fallback(|| async { PageError::missing("page") })
        .method_not_allowed_fallback(|| async { PageError::Method })
        .layer(from_fn_with_state(app.clone(), gate::watch))
        .layer(from_fn_with_state(Dress::of(&app), dress))
        .layer(CompressionLayer::new().gzip(true))
        .with_state(app)
}

async fn icon() -> impl axum::response::IntoResponse {
    (
        [
            ("content-type", "image/svg+xml"),
            ("cache-control", "max-age=604800"),
        ],
        include_str!("../../static/icon.svg"),
    )
}
