//! All addresses in one table. Not here: what they answer.

use axum::Router;
use axum::extract::State;
use axum::middleware::from_fn_with_state;
use axum::response::Response;
use axum::routing::{MethodRouter, get, post};
use futures_util::future::BoxFuture;
use tower_http::compression::CompressionLayer;

use super::dress::{Dress, dress};
use super::error::PageError;
use super::form::{Form, handle};
use super::reach::{self, gate};
use super::typed::{Asked, Posted};
use super::visitor::Visitor;
use super::{
    App, access, cards, crop, harvest, ledger, phones, places, ripeness, scripts, sprays, weather,
};

/// The whole site.
pub fn router(app: App) -> Router {
    Router::new()
        // harvest
        .route("/", get(harvest::today::get))
        .route("/blocks/{id}", get(harvest::block::get))
        .route("/sheets", get(harvest::sheets::get))
        .route("/harvest/sheet", get(harvest::sheet::get))
        // places
        .route("/start", get(places::start::get).post(places::start::post))
        .route(
            "/blocks",
            get(places::blocks::get).post(take(&places::BlockForm)),
        )
        .route("/blocks/new", blank(&places::BlockForm))
        .route("/rows", post(take(&places::RowsForm)))
        .route("/rows/new", blank(&places::RowsForm))
        .route(
            "/vines",
            get(places::vines::get).post(take(&places::VineForm)),
        )
        .route("/vines/new", blank(&places::VineForm))
        .route("/address", get(places::address::get))
        .route("/house", get(places::house::get))
        .route("/house/card", get(places::house::card))
        .route("/farm", post(take(&places::FarmForm)))
        // ripeness
        .route(
            "/ripeness",
            get(ripeness::list::get).post(take(&ripeness::SampleForm)),
        )
        .route("/ripeness/new", blank(&ripeness::SampleForm))
        .route("/targets", post(take(&ripeness::TargetForm)))
        .route("/targets/new", blank(&ripeness::TargetForm))
        .route(
            "/instruments",
            get(ripeness::instruments::get).post(take(&ripeness::InstrumentForm)),
        )
        .route("/instruments/new", blank(&ripeness::InstrumentForm))
        .route("/assumptions", post(take(&ripeness::AssumptionsForm)))
        .route("/assumptions/new", blank(&ripeness::AssumptionsForm))
        .route("/ripeness/plan", get(ripeness::plan::get))
        .route("/how", get(ripeness::how::get))
        .merge(ripeness::walk_routes())
        // crop
        .route(
            "/clusters",
            get(crop::list::get).post(take(&crop::ClustersForm)),
        )
        .route("/clusters/new", blank(&crop::ClustersForm))
        // cards
        .route("/cards", get(cards::list::get).post(take(&cards::CardForm)))
        .route(
            "/cards/new",
            get(cards::draw_up::get).post(cards::draw_up::post),
        )
        .route("/cards/enter", get(cards::enter::get))
        .route("/cards/print", get(cards::tally::get))
        // weather
        .route(
            "/weather",
            get(weather::list::get).post(take(&weather::WeatherForm)),
        )
        .route("/weather/new", blank(&weather::WeatherForm))
        // sprays
        .merge(sprays::routes())
        // phones
        .merge(phones::routes())
        // reach
        .merge(reach::routes())
        // access
        .route(
            "/people",
            get(access::people::get).post(take(&access::PersonForm)),
        )
        .route("/people/new", blank(&access::PersonForm))
        // ledger
        .route("/held", get(ledger::held::get))
        .route("/entries/{id}", get(ledger::entry::get))
        .route("/entries/{id}/correct", get(ledger::entry::correct))
        .route("/entries/{id}/void", post(ledger::void::post))
        .route("/entries/{id}/settle", post(ledger::settle::post))
        .route("/icon.svg", get(icon))
        .route("/s/{hash}/{name}", get(scripts::get))
        .fallback(|| async { PageError::missing("page") })
        .method_not_allowed_fallback(|| async { PageError::Method })
        .layer(from_fn_with_state(app.clone(), gate::watch))
        .layer(from_fn_with_state(Dress::of(&app), dress))
        .layer(CompressionLayer::new().gzip(true))
        .with_state(app)
}

/// The empty page of a form.
pub fn blank(form: &'static dyn Form) -> MethodRouter<App> {
    get(
        move |State(app): State<App>, visitor: Visitor, Asked(asked): Asked| async move {
            handle::blank(form, app, visitor, asked).await
        },
    )
}

/// The handler of a form's posts.
pub fn take(
    form: &'static dyn Form,
) -> impl Fn(State<App>, Visitor, Posted) -> BoxFuture<'static, Result<Response, PageError>> + Clone
{
    move |State(app), visitor, Posted(fields)| Box::pin(handle::post(form, app, visitor, fields))
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
