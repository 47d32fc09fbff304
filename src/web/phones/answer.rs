//! Answers to phones, all of them JSON. Not here: what they answer to.

use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use uuid::Uuid;

use super::envelope::Unreadable;
use crate::store::ledger::{Fields, State};
use crate::web::error::PageError;

/// An answer as JSON. No copy of it is kept.
pub fn json(status: StatusCode, answer: &impl Serialize) -> Response {
    match serde_json::to_vec(answer) {
        Ok(body) => {
            let headers = [
                (CONTENT_TYPE, HeaderValue::from_static("application/json")),
                (CACHE_CONTROL, HeaderValue::from_static("no-store")),
            ];
            (status, headers, body).into_response()
        }
        Err(error) => {
            tracing::error!(error = ?error, "an answer to a phone failed");
            StatusCode::INTERNAL_SERVER_ERROR.into_response()
        }
    }
}

/// What became of an entry, as the phone that sent it is told.
#[derive(Serialize)]
pub struct Kept<'a> {
    pub state: &'static str,
    pub id: Uuid,
    pub record: Uuid,
    /// The id of the second of two, if both are kept.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id2: Option<Uuid>,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub replayed: bool,
    pub fields: &'a Fields,
    pub read_as: Vec<String>,
    pub problems: &'a [String],
    pub received_at: String,
    pub skew_s: Option<i64>,
    pub server_id: Uuid,
    pub db_epoch: Uuid,
}

/// What is answered where nothing was stored, and why.
#[derive(Serialize)]
pub struct NotKept {
    pub state: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// The word by which a phone is told of a state. What was taken back meanwhile came in once, which
/// is all that a phone has to know.
pub fn arrived_word(state: State) -> &'static str {
    match state {
        State::Void => State::Stored.word(),
        state => state.word(),
    }
}

/// Why a phone gets no answer of its own.
pub enum ApiError {
    Unreadable(Unreadable),
    Page(PageError),
}

impl From<Unreadable> for ApiError {
    fn from(error: Unreadable) -> Self {
        Self::Unreadable(error)
    }
}

impl<E: Into<PageError>> From<E> for ApiError {
    fn from(error: E) -> Self {
        Self::Page(error.into())
    }
}

impl IntoResponse for ApiError {
    fn into_response(self) -> Response {
        let (status, state, why) = match self {
            Self::Unreadable(error) => (error.status(), "unreadable", error.to_string()),
            Self::Page(error) => {
                let wrong = error.told();
                (wrong.status(), "failed", wrong.what().to_owned())
            }
        };
        let why = Some(why);
        json(status, &NotKept { state, why })
    }
}
