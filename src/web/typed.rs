//! Reads the typed fields of a post or of an address. Whatever comes, the answer is a page.
//! Not here: what the fields mean.

use axum::body::Body;
use axum::extract::{FromRequest, FromRequestParts, Path, Request};
use axum::http::header::CONTENT_TYPE;
use axum::http::request::Parts;
use axum::http::{HeaderMap, StatusCode};
use futures_util::StreamExt;

use super::App;
use super::error::PageError;
use crate::store::ledger::Fields;

/// The most a form may hold, in bytes. The longest honest card is a few thousand.
pub const MOST_BYTES: usize = 256 * 1024;
/// The most that is read of a body before it is cut off.
const MOST_BYTES_READ: usize = 16 * 1024 * 1024;
const MOST_FIELDS: usize = 2000;

/// The fields of a posted form.
pub struct Posted(pub Fields);

/// The fields named in the address of a page.
pub struct Asked(pub Fields);

impl FromRequest<App> for Posted {
    type Rejection = PageError;

    async fn from_request(request: Request, _app: &App) -> Result<Self, PageError> {
        let is_form = is_of(request.headers(), "application/x-www-form-urlencoded");
        let body = whole(request.into_body(), MOST_BYTES).await;
        if !is_form {
            return Err(PageError::Unreadable(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "This address takes a form as browsers send it.".to_owned(),
            ));
        }
        let body = body.map_err(|cut| match cut {
            NotWhole::Broken => PageError::Unreadable(
                StatusCode::BAD_REQUEST,
                "The connection broke while the form was being sent.".to_owned(),
            ),
            NotWhole::TooLong => PageError::Unreadable(
                StatusCode::PAYLOAD_TOO_LARGE,
                "This is more text than one entry can hold. Shorten the note and save again."
                    .to_owned(),
            ),
        })?;
        fields(&body).map(Self)
    }
}

/// Whether a body says that it is of a kind.
pub fn is_of(headers: &HeaderMap, kind: &str) -> bool {
    headers
        .get(CONTENT_TYPE)
        .and_then(|said| said.to_str().ok())
        .and_then(|said| said.split(';').next())
        .is_some_and(|said| said.trim().eq_ignore_ascii_case(kind))
}

/// Why a body was not read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotWhole {
    Broken,
    TooLong,
}

/// The whole body. One that is too long, or not wanted, is read on for a while all the same: a
/// browser that is cut off while it still sends shows its own error and not our page.
pub async fn whole(body: Body, most: usize) -> Result<Vec<u8>, NotWhole> {
    let mut stream = body.into_data_stream();
    let mut kept = Vec::new();
    let mut sent = 0;
    while let Some(part) = stream.next().await {
        let part = part.map_err(|_| NotWhole::Broken)?;
        sent += part.len();
        if sent <= most {
            kept.extend_from_slice(&part);
        } else if sent > MOST_BYTES_READ {
            break;
        }
    }
    match sent > most {
        true => Err(NotWhole::TooLong),
        false => Ok(kept),
    }
}

/// What an address names in its path: an id, a year.
pub struct Named(pub String);

impl FromRequestParts<App> for Named {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, PageError> {
        Path::<String>::from_request_parts(parts, app)
            .await
            .map(|Path(name)| Self(name))
            .map_err(|_| PageError::missing("page"))
    }
}

impl FromRequestParts<App> for Asked {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, _app: &App) -> Result<Self, PageError> {
        fields(parts.uri.query().unwrap_or("").as_bytes()).map(Self)
    }
}

fn fields(text: &[u8]) -> Result<Fields, PageError> {
    let pairs: Vec<(String, String)> = form_urlencoded::parse(text)
        .take(MOST_FIELDS + 1)
        .map(|(name, value)| (name.into_owned(), value.into_owned()))
        .collect();
    if pairs.len() > MOST_FIELDS {
        return Err(PageError::Unreadable(
            StatusCode::PAYLOAD_TOO_LARGE,
            "This form has more fields than any of ours.".to_owned(),
        ));
    }
    Ok(pairs.into_iter().collect())
}
