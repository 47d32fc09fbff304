//! Pages that a phone may keep for opening out of range. Whoever has no scripts never sees an old
//! one: only a script asks for a page to keep, and only that answer may be kept.
//! Not here: which pages (each says so), and the asking (`static/keep.js`).

use axum::extract::Request;
use axum::http::HeaderValue;
use axum::http::header::{CACHE_CONTROL, ETAG};
use axum::response::Response;
use uuid::Uuid;

/// The header of a script that asks for a page to keep.
const KEEP: &str = "endpost-keep";

const A_WEEK: HeaderValue = HeaderValue::from_static("private, max-age=604800");

#[derive(Clone)]
struct MayBeKept;

/// Marks a page that may be kept.
pub fn may_be_kept(mut page: Response) -> Response {
    page.extensions_mut().insert(MayBeKept);
    page
}

/// Takes the mark away again: the page is not what it will be tomorrow.
pub fn never_kept(mut page: Response) -> Response {
    page.extensions_mut().remove::<MayBeKept>();
    page
}

/// Whether a script asks for a page to keep.
pub fn is_asked(request: &Request) -> bool {
    request.headers().contains_key(KEEP)
}

/// Lets the page be kept that was asked for so, if it may be.
pub fn let_be_kept(answer: &mut Response) {
    if !answer.status().is_success() || answer.extensions().get::<MayBeKept>().is_none() {
        return;
    }
    let headers = answer.headers_mut();
    headers.insert(CACHE_CONTROL, A_WEEK);
    // With a tag a browser asks for a newer copy without giving up the one it has.
    if let Ok(tag) = HeaderValue::from_str(&format!("\"{}\"", Uuid::new_v4())) {
        headers.insert(ETAG, tag);
    }
}
