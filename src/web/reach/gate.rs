//! The gate before every page. `Host` must be a name of this computer: a page from elsewhere can
//! make its own name lead here, and would then read along. What is sent must come from a page of
//! ours (`Origin`), or any site open in the browser could send entries.
//! Not here: which names are ours (`Reach`), people and their rights (`access`).

use axum::extract::Request;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, HOST, HeaderMap, ORIGIN};
use axum::http::{HeaderName, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use serde_json::json;

use super::{Host, Reach};
use crate::web::App;
use crate::web::error::{Link, PageError};

const SITE: HeaderName = HeaderName::from_static("sec-fetch-site");

/// Why somebody is not let in.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
enum Fault {
    #[error("The browser did not say, in a way that can be read, which computer it asks for.")]
    NoName,
    #[error(
        "\"{0}\" is not a name that Endpost knows this computer by, and it answers to no others: \
         another site could use them to look in. If it is your name for this computer, start \
         Endpost with --known-as {name}", name = .0.name
    )]
    OtherName(Host),
    #[error("\"{asked}\" has another port than Endpost, which is at port {port}.")]
    OtherPort { asked: Host, port: u16 },
    #[error(
        "Nothing was stored. The browser did not say which page this came from, and only \
         Endpost's own pages may send."
    )]
    NoSender,
    #[error(
        "Nothing was stored. This came from a page of another site ({0}), and only Endpost's own \
         pages may send."
    )]
    OtherSender(String),
}

/// Why somebody is not let in, and where the right way in is.
#[derive(Debug)]
pub struct Refusal {
    fault: Fault,
    home: Host,
}

impl Refusal {
    pub fn status(&self) -> StatusCode {
        match self.fault {
            Fault::NoName | Fault::OtherName(_) | Fault::OtherPort { .. } => {
                StatusCode::MISDIRECTED_REQUEST
            }
            Fault::NoSender | Fault::OtherSender(_) => StatusCode::FORBIDDEN,
        }
    }

    pub fn heading(&self) -> &'static str {
        match self.fault {
            Fault::NoSender | Fault::OtherSender(_) => "Not taken from there",
            _ => "Not under this name",
        }
    }

    pub fn what(&self) -> String {
        self.fault.to_string()
    }

    pub fn kept(&self) -> &'static str {
        match self.fault {
            Fault::NoSender | Fault::OtherSender(_) => {
                "Go back in the browser: what you typed should still stand there."
            }
            _ => "Nothing was looked up here and nothing stored.",
        }
    }

    /// Links to where Endpost can be had; under the name asked for they would lead back here.
    pub fn onward(&self) -> Vec<Link> {
        let home = self.home.url();
        vec![
            Link::new(format!("{home}help/connect"), "How phones get here"),
            Link::new(home.clone(), &format!("Open {home}")),
        ]
    }
}

/// Lets a request in, with the name that was asked for, or answers it.
pub async fn watch(app: App, mut request: Request, next: Next) -> Response {
    let fault = match admit(&app.reach, &request) {
        Ok(asked) => {
            request.extensions_mut().insert(asked);
            return next.run(request).await;
        }
        Err(fault) => fault,
    };
    let refusal = Refusal {
        fault,
        home: app.reach.ways().canonical().clone(),
    };
    match request.uri().path().starts_with("/api/") {
        true => to_a_script(&refusal),
        false => PageError::Refused(refusal).into_response(),
    }
}

fn to_a_script(refusal: &Refusal) -> Response {
    let body = json!({ "state": "refused", "why": refusal.what() }).to_string();
    let headers = [
        (CONTENT_TYPE, "application/json"),
        (CACHE_CONTROL, "no-store"),
    ];
    (refusal.status(), headers, body).into_response()
}

fn admit(reach: &Reach, request: &Request) -> Result<Host, Fault> {
    let asked = asked_for(request).ok_or(Fault::NoName)?;
    if !reach.is_named(&asked.name) {
        return Err(Fault::OtherName(asked));
    }
    if asked.port != reach.port() {
        let port = reach.port();
        return Err(Fault::OtherPort { asked, port });
    }
    if !request.method().is_safe() {
        sent_by_us(request.headers(), &asked)?;
    }
    Ok(asked)
}

/// The computer that was asked for. Where the whole address is in the request, it counts, and not
/// the header; a second header would leave it open which of them does.
fn asked_for(request: &Request) -> Option<Host> {
    match request.uri().authority() {
        Some(authority) => authority.as_str().parse().ok(),
        None => only(request.headers(), &HOST).ok().flatten()?.parse().ok(),
    }
}

/// Browsers name the page that sends in `Origin`, and say in `Sec-Fetch-Site` what they think of
/// it, though the latter only to addresses they hold for secure.
fn sent_by_us(headers: &HeaderMap, asked: &Host) -> Result<(), Fault> {
    let unreadable = |()| Fault::OtherSender("it can't be read".to_owned());
    let origin = only(headers, &ORIGIN)
        .map_err(unreadable)?
        .ok_or(Fault::NoSender)?;
    let is_ours = origin
        .strip_prefix("http://")
        .and_then(|host| host.parse().ok())
        .is_some_and(|host: Host| host == *asked);
    if !is_ours {
        return Err(Fault::OtherSender(origin.to_owned()));
    }
    match only(headers, &SITE).map_err(unreadable)? {
        None | Some("same-origin" | "none") => Ok(()),
        Some(other) => Err(Fault::OtherSender(other.to_owned())),
    }
}

/// A header that may stand there once.
fn only<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Result<Option<&'a str>, ()> {
    let mut found = headers.get_all(name).iter();
    match (found.next(), found.next()) {
        (None, _) => Ok(None),
        (Some(one), None) => one.to_str().map(Some).map_err(|_| ()),
        (Some(_), Some(_)) => Err(()),
    }
}
