//! The scripts of the pages: served under a name that changes with them, so that a browser keeps
//! them for a year and a page kept out of range finds the ones it was drawn with.
//! Not here: what they do (`static/`).

use std::sync::LazyLock;

use axum::extract::Path;
use axum::extract::rejection::PathRejection;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};

use super::error::PageError;

const SOURCES: [(&str, &str); 11] = [
    ("bar.js", include_str!("../../static/bar.js")),
    ("box.js", include_str!("../../static/box.js")),
    ("draft.js", include_str!("../../static/draft.js")),
    ("fields.js", include_str!("../../static/fields.js")),
    ("form.js", include_str!("../../static/form.js")),
    ("keep.js", include_str!("../../static/keep.js")),
    ("outbox.js", include_str!("../../static/outbox.js")),
    ("page.js", include_str!("../../static/page.js")),
    ("send.js", include_str!("../../static/send.js")),
    ("walk.js", include_str!("../../static/walk.js")),
    ("words.js", include_str!("../../static/words.js")),
];

/// What goes over the wire, and the name it goes by.
struct Scripts {
    hash: String,
    texts: Vec<(&'static str, String)>,
}

static SCRIPTS: LazyLock<Scripts> = LazyLock::new(|| {
    let texts = SOURCES.map(|(name, source)| (name, without_comments(source)));
    let mut digest = Sha256::new();
    for (name, text) in &texts {
        digest.update(name);
        digest.update(text);
    }
    let hash = digest.finalize();
    Scripts {
        hash: hash[..8].iter().map(|byte| format!("{byte:02x}")).collect(),
        texts: texts.into(),
    }
});

/// A thin line carries no remarks and no indentation.
fn without_comments(source: &str) -> String {
    let mut kept = String::new();
    let mut inside = false;
    for line in source.lines().map(str::trim) {
        inside |= line.starts_with("/*");
        if !inside && !line.is_empty() && !line.starts_with("//") {
            kept.push_str(line);
            kept.push('\n');
        }
        inside &= !line.ends_with("*/");
    }
    kept
}

/// The address of a script: "/s/3f9a0c11d2e45b67/page.js".
pub fn address(name: &str) -> String {
    format!("/s/{}/{name}", SCRIPTS.hash)
}

pub async fn get(named: Result<Path<(String, String)>, PathRejection>) -> Response {
    let missing = || PageError::missing("script").into_response();
    let Ok(Path((hash, name))) = named else {
        return missing();
    };
    let Some((_, text)) = SCRIPTS.texts.iter().find(|(known, _)| *known == name) else {
        return missing();
    };
    // A page kept from before an update is served the scripts of now, for this once.
    let kept = match hash == SCRIPTS.hash {
        true => "public, max-age=31536000, immutable",
        false => "no-store",
    };
    let headers = [
        (CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (CACHE_CONTROL, kept),
    ];
    (headers, text.as_str()).into_response()
}
