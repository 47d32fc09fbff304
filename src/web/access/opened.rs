//! Opening a shared page's link: its secret moves from the address into a cookie, so that it
//! stands in no history and is told to nobody further.
//! Not here: making links (`shares`).

use axum::http::HeaderValue;
use axum::http::header::{HeaderMap, HeaderName};
use axum::response::Response;

use super::who::{BETWEEN, MOST_SHARED, SHARED};
use crate::store::Secret;
use crate::web::cookies::{cookie, set};
use crate::web::error::PageError;
use crate::web::typed::Named;
use crate::web::{App, see_other};

const ROBOTS: HeaderName = HeaderName::from_static("x-robots-tag");

pub async fn get(
    app: App,
    headers: HeaderMap,
    Named(secret): Named,
) -> Result<Response, PageError> {
    let now = app.clock.now();
    let keys = app.store.keys();
    let share = keys.share(&Secret::shown(&secret));
    // The same for a link that never was, that is over, and that was ended.
    let share = share
        .filter(|share| share.is_good(now))
        .ok_or_else(|| PageError::missing("shared page any more"))?;
    if let Err(error) = app.store.share_used(share.id, now).await {
        tracing::warn!(error = ?error, "the use of a link was not noted");
    }
    let before = cookie(&headers, SHARED).unwrap_or_default();
    let others = before
        .split(BETWEEN)
        .filter(|one| *one != secret && !one.is_empty());
    let opened: Vec<&str> = [secret.as_str()]
        .into_iter()
        .chain(others)
        .take(MOST_SHARED)
        .collect();
    let mut answer = see_other(&share.path);
    set(&mut answer, SHARED, &opened.join(&BETWEEN.to_string()));
    answer
        .headers_mut()
        .insert(ROBOTS, HeaderValue::from_static("noindex"));
    Ok(answer)
}
