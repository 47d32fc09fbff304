//! All addresses in one table. Not here: what they answer.

use std::time::Duration;

use axum::Router;
use axum::extract::{Request, State};
use axum::http::HeaderValue;
use axum::http::header::{
    CONTENT_SECURITY_POLICY, HeaderName, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::middleware::{Next, from_fn, from_fn_with_state, map_response};
use axum::response::{IntoResponse, Response};
use axum::routing::{MethodRouter, get, post};
use base64::Engine;
use futures_util::future::BoxFuture;
use sha2::{Digest, Sha256};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::set_header::SetResponseHeaderLayer;
use uuid::Uuid;

use super::error::{PageError, Wrong};
use super::form::{Form, handle};
use super::reach::{self, gate};
use super::typed::{Asked, Posted};
use super::visitor::Visitor;
use super::{
    App, access, cards, crop, frame, harvest, kept, ledger, phones, places, ripeness, scripts,
    sprays, weather,
};

/// The header by which a phone knows that it is this house that answers, and no other machine at
/// the same address.
pub const SERVER: &str = "endpost-server";

const LONGEST_ANSWER: Duration = Duration::from_secs(30);

/// The whole site.
pub fn router(app: App) -> Router {
    let routes = Router::new()
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
        .layer(from_fn_with_state(app.clone(), gate::watch));
    let marked = match app.demo {
        true => routes.layer(map_response(mark_as_demo)),
        false => routes,
    };
    let house = app.store.house();
    dress(marked, house.server_id).with_state(app)
}

/// Error pages of the demo say so too.
async fn mark_as_demo(response: Response) -> Response {
    match response.extensions().get::<Wrong>() {
        Some(wrong) => wrong.drawn(true),
        None => response,
    }
}

/// What goes around every answer.
fn dress(routes: Router<App>, server_id: Uuid) -> Router<App> {
    let header =
        |name: HeaderName, value: HeaderValue| SetResponseHeaderLayer::if_not_present(name, value);
    routes
        .layer(from_fn(kept::when_asked))
        .layer(from_fn(in_time))
        .layer(CatchPanicLayer::custom(|_| {
            PageError::Broken.into_response()
        }))
        .layer(header(CONTENT_SECURITY_POLICY, content_policy()))
        .layer(header(
            X_CONTENT_TYPE_OPTIONS,
            HeaderValue::from_static("nosniff"),
        ))
        .layer(header(
            REFERRER_POLICY,
            HeaderValue::from_static("same-origin"),
        ))
        .layer(header(
            HeaderName::from_static(SERVER),
            server_mark(server_id),
        ))
        .layer(CompressionLayer::new().gzip(true))
        .layer(from_fn(in_time))
        .layer(CatchPanicLayer::custom(|_| {
            PageError::Broken.into_response()
        }))
}

/// An answer that takes too long becomes a page that says so.
async fn in_time(request: Request, next: Next) -> Response {
    match tokio::time::timeout(LONGEST_ANSWER, next.run(request)).await {
        Ok(answer) => answer,
        Err(_) => PageError::Slow.into_response(),
    }
}

fn server_mark(server_id: Uuid) -> HeaderValue {
    HeaderValue::from_str(&server_id.to_string()).unwrap_or(HeaderValue::from_static(""))
}

/// No script but our own files, no style but our own, which stands in the page and is known by its
/// hash.
fn content_policy() -> HeaderValue {
    let hash = Sha256::digest(frame::STYLE);
    let hash = base64::engine::general_purpose::STANDARD.encode(hash);
    let policy = format!(
        "default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'sha256-{hash}'; \
         img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    );
    HeaderValue::from_str(&policy).unwrap_or(HeaderValue::from_static("default-src 'none'"))
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
