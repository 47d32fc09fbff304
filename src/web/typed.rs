//! Reads the typed fields of a post or of an address. Whatever comes, the answer is a page.
//! Not here: what the fields mean.

use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::http::request::Parts;

use super::App;
use super::error::PageError;
use crate::store::ledger::Fields;

/// The most a form may hold, in bytes. The longest honest card is a few thousand.
pub const MOST_BYTES: usize = 256 * 1024;
const MOST_FIELDS: usize = 2000;

/// The fields of a posted form.
pub struct Posted(pub Fields);

/// The fields named in the address of a page.
pub struct Asked(pub Fields);

impl FromRequest<App> for Posted {
    type Rejection = PageError;

    async fn from_request(request: Request, _app: &App) -> Result<Self, PageError> {
        let is_form = request
            .headers()
            .get(CONTENT_TYPE)
            .and_then(|kind| kind.to_str().ok())
            .is_some_and(|kind| kind.starts_with("application/x-www-form-urlencoded"));
        if !is_form {
            return Err(PageError::Unreadable(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "This address takes a form as browsers send it.".to_owned(),
            ));
        }
        let body = axum::body::to_bytes(request.into_body(), MOST_BYTES)
            .await
            .map_err(|_| {
                PageError::Unreadable(
                    StatusCode::PAYLOAD_TOO_LARGE,
                    "This is more text than one entry can hold. Shorten the note and save again."
                        .to_owned(),
                )
            })?;
        fields(&body).map(Self)
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
