//! Who is at the other end: a device by a long-lived cookie, a person by the initials tapped last.
//! Both are only what it says of itself. Not here: whether they may (`access`).

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::response::Response;
use uuid::Uuid;

use crate::store::ledger::new_id;
use crate::web::App;
use crate::web::cookies::{cookie, set};

const DEVICE: &str = "ep_d";
const PERSON: &str = "ep_who";

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
