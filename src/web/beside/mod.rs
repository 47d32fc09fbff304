//! While the database is damaged: pages are shown as far as they can be read, and entries are kept
//! beside it, on the disk before they are answered, to come through the door afterwards.
//! Not here: the file they are kept in (`store::beside`), when it is read again (`program::beside`).

mod envelope;
mod page;
mod replay;

use axum::body::Body;
use axum::extract::Request;
use axum::http::header::CONTENT_TYPE;
use axum::http::{Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use uuid::Uuid;

pub use replay::{Became, replay};

use super::App;
use super::error::{PageError, Wrong};
use super::form::{self, Form};
use super::kept::never_kept;
use crate::store::StoreError;
use crate::store::ledger::Kind;

/// What a page is answered with that could not be drawn.
const FAULTS: [StatusCode; 2] = [
    StatusCode::INTERNAL_SERVER_ERROR,
    StatusCode::SERVICE_UNAVAILABLE,
];

/// The sentence that stands with every entry kept so.
const WHY: &str = "Kept beside the damaged database on the farm computer's disk. It comes in by \
     itself once a good copy is put back.";

/// Stands behind the door of every address: who is there was let in. Takes what would write away
/// from its pages while nothing may be written into the database.
pub async fn divert(app: App, mut request: Request, next: Next) -> Response {
    if app.store.damage().is_none() {
        let answer = next.run(request).await;
        let met = answer.extensions().get::<Wrong>().and_then(Wrong::damage);
        match met {
            Some(why) => app.store.met_damage(why),
            // What failed may have met damage that was not told as such. Nobody waits for the look:
            // every page of the file is read, and anybody on the network may ask for a page.
            None if FAULTS.contains(&answer.status()) => {
                app.store.look_for_damage_behind(app.clock.now());
            }
            None => {}
        }
        return answer;
    }
    let path = request.uri().path().to_owned();
    let answered = match (request.method(), path.as_str()) {
        // What phones ask is answered there also from beside the database, and codes and who comes
        // in by them are held in memory.
        (&Method::GET, "/api/ping") | (&Method::POST, "/api/receipts" | "/login" | "/pair") => {
            return next.run(request).await;
        }
        (&Method::POST, "/phones/new") => {
            if let Some(stand_in) = app.stand_in() {
                request.extensions_mut().insert(stand_in);
            }
            return next.run(request).await;
        }
        (&Method::PUT, path) if path.starts_with("/api/entries/") => {
            envelope::keep(&app, request).await
        }
        (&Method::GET, path) if let Some(id) = kept_at(&app, path) => {
            return page::show(&app, id)
                .await
                .unwrap_or_else(IntoResponse::into_response);
        }
        (&Method::GET | &Method::HEAD, _) => {
            let (parts, _) = request.into_parts();
            return read(&app, next, || {
                Request::from_parts(parts.clone(), Body::empty())
            })
            .await;
        }
        (&Method::POST, path) => match form_at(path) {
            Some(form) => return page::keep(&app, form, request, next).await,
            None => return PageError::OnlyEntries.into_response(),
        },
        _ => return PageError::OnlyEntries.into_response(),
    };
    answered.unwrap_or_else(IntoResponse::into_response)
}

/// Draws a page, from the copy that stands in where the damaged database does not give it. One that
/// could not be drawn says that it was for the damage, and not under which reference the log says
/// why.
async fn read(app: &App, next: Next, request: impl Fn() -> Request) -> Response {
    let answer = next.clone().run(request()).await;
    if !FAULTS.contains(&answer.status()) {
        return answer;
    }
    if let Some(stand_in) = app.stand_in() {
        let mut of_copy = request();
        of_copy.extensions_mut().insert(stand_in);
        let shown = next.run(of_copy).await;
        // That something is not in the copy says nothing of the farm, and only a page can say that it
        // is of a copy.
        if shown.status().is_success() && is_page(&shown) {
            return never_kept(shown);
        }
    }
    match answer.status() {
        StatusCode::INTERNAL_SERVER_ERROR => {
            let why = "what it shows can't be read".to_owned();
            PageError::Store(StoreError::Damaged(why)).into_response()
        }
        _ => answer,
    }
}

fn is_page(answer: &Response) -> bool {
    let kind = answer.headers().get(CONTENT_TYPE);
    kind.is_some_and(|kind| kind.as_bytes().starts_with(b"text/html"))
}

/// The entry that an address names, if it lies in the side log.
fn kept_at(app: &App, path: &str) -> Option<Uuid> {
    let id = Uuid::parse_str(path.strip_prefix("/entries/")?).ok()?;
    app.store.is_kept_beside(id).then_some(id)
}

/// The form whose pages post to an address.
fn form_at(path: &str) -> Option<&'static dyn Form> {
    let forms = Kind::ALL.iter().filter_map(|kind| form::of(*kind));
    forms.into_iter().find(|form| form.path() == path)
}
