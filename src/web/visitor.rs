//! Who is at the other end: a device by a long-lived cookie, a person by the initials tapped last.
//! Not here: whether they may (every visitor may, until access control is built).

use axum::extract::FromRequestParts;
use axum::http::header::{COOKIE, SET_COOKIE};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue};
use axum::response::Response;
use uuid::Uuid;

use crate::store::ledger::new_id;
use crate::web::App;

const DEVICE: &str = "ep_d";
const PERSON: &str = "ep_who";
const FOUR_HUNDRED_DAYS: u32 = 400 * 24 * 3600;

/// A phone or computer and the initials it used last.
#[derive(Clone, Debug)]
pub struct Visitor {
    pub device: Uuid,
    pub person: Option<String>,
    is_new: bool,
}

impl FromRequestParts<App> for Visitor {
    type Rejection = std::convert::Infallible;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Self::Rejection> {
        let known = cookie(&parts.headers, DEVICE).and_then(|id| Uuid::parse_str(&id).ok());
        Ok(Self {
            device: known.unwrap_or_else(|| new_id(app.clock.now())),
            person: cookie(&parts.headers, PERSON).filter(|text| is_initials(text)),
            is_new: known.is_none(),
        })
    }
}

impl Visitor {
    /// The same phone by the name that its own scripts give it.
    pub fn called(self, device: Uuid) -> Self {
        Self {
            is_new: self.is_new || self.device != device,
            device,
            ..self
        }
    }

    /// Sets the cookies by which this device is known next time.
    pub fn remembered(&self, mut response: Response, person: Option<&str>) -> Response {
        if self.is_new {
            set(&mut response, DEVICE, &self.device.to_string());
        }
        if let Some(person) = person.filter(|text| is_initials(text)) {
            set(&mut response, PERSON, person);
        }
        response
    }
}

/// Short and plain enough for a cookie.
fn is_initials(text: &str) -> bool {
    (1..=8).contains(&text.len()) && text.chars().all(|letter| letter.is_ascii_alphanumeric())
}

fn set(response: &mut Response, name: &str, value: &str) {
    let cookie =
        format!("{name}={value}; Path=/; Max-Age={FOUR_HUNDRED_DAYS}; HttpOnly; SameSite=Lax");
    if let Ok(cookie) = HeaderValue::from_str(&cookie) {
        response.headers_mut().append(SET_COOKIE, cookie);
    }
}

fn cookie(headers: &HeaderMap, name: &str) -> Option<String> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|header| header.to_str().ok())
        .flat_map(|header| header.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(found, _)| *found == name)
        .map(|(_, value)| value.to_owned())
}
