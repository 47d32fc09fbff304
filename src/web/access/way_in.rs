//! Letting a browser in: a fresh secret in its cookie, a session in the store.
//! Not here: whether it may (`pair`, `login`, `passphrase`).

use axum::extract::ConnectInfo;
use axum::extract::FromRequestParts;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header::RETRY_AFTER;
use axum::http::request::Parts;
use axum::response::Response;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::TimeDelta;
use std::convert::Infallible;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use uuid::Uuid;

use super::door::{Typed, knock};
use super::doorkeeper::Place;
use super::who::SESSION;
use crate::science::access::Role;
use crate::store::ledger::new_id;
use crate::store::{Secret, Session};
use crate::web::App;
use crate::web::cookies::set;
use crate::web::error::PageError;
use crate::web::form::Problem;
use crate::web::visitor::Visitor;

/// As long as browsers keep the cookie.
const SESSION_LASTS: TimeDelta = TimeDelta::days(400);

/// The address that a request came from.
pub struct Peer(pub IpAddr);

impl FromRequestParts<App> for Peer {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _app: &App) -> Result<Self, Infallible> {
        let peer: Option<&ConnectInfo<SocketAddr>> = parts.extensions.get();
        let address = peer.map(|ConnectInfo(peer)| peer.ip());
        Ok(Self(address.unwrap_or(Ipv4Addr::UNSPECIFIED.into())))
    }
}

/// 256 bits that nobody can guess.
pub fn new_secret() -> Result<Secret, PageError> {
    let mut bytes = [0; 32];
    fill(&mut bytes)?;
    Ok(Secret::shown(&URL_SAFE_NO_PAD.encode(bytes)))
}

/// Random bytes from the system.
pub fn fill(bytes: &mut [u8]) -> Result<(), PageError> {
    getrandom::fill(bytes).map_err(|error| {
        tracing::error!(error = ?error, "the system gives no random numbers");
        PageError::Broken
    })
}

/// Begins a session for the browser that asks, in place of the one it had: a secret that somebody
/// put there before is worth nothing afterwards.
pub async fn let_in(
    app: &App,
    visitor: &Visitor,
    role: Role,
    person: Option<String>,
    mut answer: Response,
) -> Result<Response, PageError> {
    let now = app.clock.now();
    let secret = new_secret()?;
    let session = Session {
        // The same browser stays who it was: what it entered is its own to correct.
        id: app
            .who
            .session
            .or(app.who.had)
            .unwrap_or_else(|| new_id(now)),
        secret_hash: secret.hash(),
        role,
        person: person.clone(),
        device: visitor.device,
        began_at: now,
        last_seen: now,
        ends_at: now + SESSION_LASTS,
        ended_at: None,
    };
    app.store.begin_session(session).await?;
    set(&mut answer, SESSION, secret.text());
    Ok(visitor.remembered(answer, person.as_deref()))
}

/// Whether a device is that of somebody else who is in: a phone says itself what it is called.
pub fn is_anothers(app: &App, device: Uuid) -> bool {
    let now = app.clock.now();
    let keys = app.store.keys();
    keys.sessions()
        .iter()
        .any(|one| one.device == device && one.is_good(now) && Some(one.id) != app.who.session)
}

/// Notes which device a session is used by, as the phone's own scripts call it.
pub async fn used_by(app: &App, device: Uuid) {
    let Some(session) = app.who.session.filter(|_| app.who.device != Some(device)) else {
        return;
    };
    if is_anothers(app, device) {
        return;
    }
    if let Err(error) = app
        .store
        .session_seen(session, device, app.clock.now())
        .await
    {
        tracing::warn!(error = ?error, "the device of a session was not noted");
    }
}

/// So many seconds the next try has to wait, after wrong ones; none if it may come.
pub fn seconds_to_wait(app: &App, places: &[Place]) -> Option<i64> {
    let wait = app.doorkeeper.wait(places, app.clock.now())?;
    Some(wait.num_seconds() + 1)
}

pub fn too_early_words(seconds: i64) -> String {
    format!("Too many wrong tries. Wait {seconds} s, then try again.")
}

/// The answer to a try that comes too early, whether it is right or wrong.
pub fn too_early(app: &App, places: &[Place], typed: &Typed) -> Option<Response> {
    let seconds = seconds_to_wait(app, places)?;
    let problem = Problem::new("code", too_early_words(seconds));
    let status = StatusCode::TOO_MANY_REQUESTS;
    let mut answer = knock(app, typed, "", &[problem], status);
    answer
        .headers_mut()
        .insert(RETRY_AFTER, HeaderValue::from(seconds));
    Some(answer)
}
