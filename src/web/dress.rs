//! What goes around every answer: its time limit, the page that stands in for a panic, the
//! word "demo" on error pages, and the headers that all answers carry. Not here: who is let in (`reach::gate`).

use std::panic::AssertUnwindSafe;
use std::time::Duration;

use axum::extract::{Request, State};
use axum::http::HeaderValue;
use axum::http::header::{
    CONTENT_SECURITY_POLICY, HeaderName, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use base64::Engine;
use futures_util::FutureExt;
use sha2::{Digest, Sha256};

use super::error::{PageError, Wrong};
use super::{App, frame, kept};

/// The header by which a phone knows that it is this house that answers, and no other machine at
/// the same address.
const SERVER: HeaderName = HeaderName::from_static("endpost-server");

/// No other site draws what is ours into its pages.
const RESOURCES: HeaderName = HeaderName::from_static("cross-origin-resource-policy");
const PERMISSIONS: HeaderName = HeaderName::from_static("permissions-policy");
/// A photo comes by the phone's own camera program; no page of ours asks for more.
const NO_SENSOR: &str = "camera=(), geolocation=(), microphone=()";

const LONGEST_ANSWER: Duration = Duration::from_secs(30);

/// What all answers carry.
#[derive(Clone)]
pub struct Dress {
    demo: bool,
    policy: HeaderValue,
    server: HeaderValue,
}

impl Dress {
    pub fn of(app: &App) -> Self {
        let server = HeaderValue::from_str(&app.store.house().server_id.to_string());
        Self {
            demo: app.demo,
            policy: content_policy(),
            server: server.unwrap_or(HeaderValue::from_static("")),
        }
    }
}

/// Answers in any case, and dresses the answer. No page has headers of its own in place of these.
pub async fn dress(State(dress): State<Dress>, request: Request, next: Next) -> Response {
    let is_asked_to_keep = kept::is_asked(&request);
    let in_time = tokio::time::timeout(LONGEST_ANSWER, next.run(request));
    let mut answer = match AssertUnwindSafe(in_time).catch_unwind().await {
        Ok(Ok(answer)) => answer,
        Ok(Err(_)) => PageError::Slow.into_response(),
        // The panic has said on the terminal what it was.
        Err(_) => PageError::Broken.into_response(),
    };
    if dress.demo
        && let Some(wrong) = answer.extensions().get::<Wrong>()
    {
        answer = wrong.drawn(true);
    }
    if is_asked_to_keep {
        kept::let_be_kept(&mut answer);
    }
    let headers = answer.headers_mut();
    headers.insert(CONTENT_SECURITY_POLICY, dress.policy);
    headers.insert(X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    headers.insert(REFERRER_POLICY, HeaderValue::from_static("same-origin"));
    headers.insert(RESOURCES, HeaderValue::from_static("same-origin"));
    headers.insert(PERMISSIONS, HeaderValue::from_static(NO_SENSOR));
    headers.insert(SERVER, dress.server);
    answer
}

/// No script but our own files, no style but our own, which stands in the page and is known by its
/// hash.
fn content_policy() -> HeaderValue {
    let hash = Sha256::digest(frame::STYLE);
    let hash = base64::engine::general_purpose::STANDARD.encode(hash);
    let policy = format!(
        "default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'sha256-{hash}'; \
         img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    );
    HeaderValue::from_str(&policy).unwrap_or(HeaderValue::from_static("default-src 'none'"))
}
