//! Turns failures into pages: what happened, whether the entry is kept, what to do next.
//! Never SQL, paths or causes: those go to the log under a short reference.
//! Not here: wrong entries, which are a state of the form (`form`).

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

use super::access::NotYours;
use super::page;
use super::reach::gate::Refusal;
use crate::store::StoreError;

/// Why there is no page.
#[derive(Debug)]
pub enum PageError {
    /// What was asked for is not here.
    Missing(String),
    /// The address exists, but not for this kind of request.
    Method,
    /// The request can't be read; the sentence says why.
    Unreadable(StatusCode, String),
    /// Asked for under another name, or sent by another site.
    Refused(Refusal),
    /// Let in, but not for this; with what was typed.
    NotYours(NotYours, Vec<String>),
    /// The store failed.
    Store(StoreError),
    /// The database is damaged, and this is no entry that can be kept beside it.
    OnlyEntries,
    /// The answer took too long.
    Slow,
    /// A fault of ours.
    Broken,
}

impl PageError {
    pub fn missing(what: &str) -> Self {
        Self::Missing(what.to_owned())
    }
}

impl From<StoreError> for PageError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

/// Where to go on from a page.
#[derive(Clone)]
pub struct Link {
    pub to: String,
    pub label: String,
}

impl Link {
    pub fn new(to: String, label: &str) -> Self {
        Self {
            to,
            label: label.to_owned(),
        }
    }
}

/// What went wrong, in words; it goes with the answer, so that the demo can mark its pages.
#[derive(Clone)]
pub struct Wrong {
    status: StatusCode,
    heading: &'static str,
    what: String,
    kept: &'static str,
    onward: Vec<Link>,
    /// What was typed and not stored, line by line.
    typed: Vec<String>,
    /// What SQLite said of the database, where it is for its damage that there is no page.
    damage: Option<String>,
}

impl Wrong {
    /// What is wrong with the database, if that is why.
    pub fn damage(&self) -> Option<&str> {
        self.damage.as_deref()
    }

    pub fn status(&self) -> StatusCode {
        self.status
    }

    /// What happened, in a sentence or two.
    pub fn what(&self) -> &str {
        &self.what
    }

    pub fn drawn(&self, demo: bool) -> Response {
        let drawn = ErrorPage {
            style: super::frame::STYLE,
            heading: self.heading,
            what: self.what.clone(),
            kept: self.kept,
            onward: &self.onward,
            typed: &self.typed,
            demo,
        };
        (self.status, page(&drawn)).into_response()
    }
}

#[derive(Template)]
#[template(path = "error.html")]
struct ErrorPage<'a> {
    style: &'static str,
    heading: &'static str,
    what: String,
    kept: &'static str,
    onward: &'a [Link],
    typed: &'a [String],
    demo: bool,
}

const NOTHING_SENT: &str = "Nothing that was entered is lost.";
const PERHAPS: &str = "If you were saving, it may be stored or not. Go back and save again: the \
     same page sent twice is stored once.";
const DAMAGED: &str = "What is entered from now on is kept beside it and comes in afterwards. If \
     you were saving, go back and save again.";
const GO_BACK: &str =
    "This was not stored. Go back in the browser: what you typed should still stand there.";

impl PageError {
    /// What it is in words.
    pub fn told(self) -> Wrong {
        let onward = match &self {
            Self::Refused(refusal) => refusal.onward(),
            _ => vec![Link::new("/".to_owned(), "To Today")],
        };
        let typed = match &self {
            Self::NotYours(_, typed) => typed.clone(),
            _ => Vec::new(),
        };
        let damage = match &self {
            Self::Store(error) => error.damage_while_served().map(str::to_owned),
            _ => None,
        };
        let (status, heading, what, kept) = match self {
            Self::Missing(what) => (
                StatusCode::NOT_FOUND,
                "Not found",
                format!(
                    "There is no {what} here. It may have been taken back, or the address has a slip in it."
                ),
                NOTHING_SENT,
            ),
            Self::Method => (
                StatusCode::METHOD_NOT_ALLOWED,
                "Not like this",
                "This address does not take that kind of request.".to_owned(),
                NOTHING_SENT,
            ),
            Self::Unreadable(status, what) => (status, "Not understood", what, GO_BACK),
            Self::Refused(refusal) => (
                refusal.status(),
                refusal.heading(),
                refusal.what(),
                refusal.kept(),
            ),
            Self::NotYours(why, _) => (
                StatusCode::FORBIDDEN,
                "Not from here",
                why.words().to_owned(),
                NOTHING_SENT,
            ),
            Self::Store(StoreError::Full) => {
                tracing::error!("the disk is full or can't be written to");
                (
                    StatusCode::INSUFFICIENT_STORAGE,
                    "No room to store it",
                    "The farm computer's disk is full, or can't be written to. Make room on it."
                        .to_owned(),
                    GO_BACK,
                )
            }
            Self::Store(StoreError::Damaged(why) | StoreError::Foreign(why)) => {
                tracing::error!(why, "a page met the damage of the database");
                (
                    StatusCode::SERVICE_UNAVAILABLE,
                    "The database is damaged",
                    "The farm computer can't read this page's part of it. Pages on paper still \
                     hold. To mend it, stop Endpost and put the last good copy back: endpost restore."
                        .to_owned(),
                    DAMAGED,
                )
            }
            Self::OnlyEntries => (
                StatusCode::SERVICE_UNAVAILABLE,
                "Not while the database is damaged",
                "Only new entries and corrections are taken now, and kept beside the database. \
                 Everything else waits until a good copy is put back: endpost restore."
                    .to_owned(),
                GO_BACK,
            ),
            Self::Store(error) => {
                let reference = short_reference();
                tracing::error!(reference, error = ?error, "a page failed");
                (
                    StatusCode::INTERNAL_SERVER_ERROR,
                    "This did not work",
                    format!(
                        "The farm computer could not do this. Its log says why under {reference}."
                    ),
                    PERHAPS,
                )
            }
            Self::Slow => (
                StatusCode::SERVICE_UNAVAILABLE,
                "This took too long",
                "The farm computer was too busy.".to_owned(),
                PERHAPS,
            ),
            Self::Broken => {
                let reference = short_reference();
                tracing::error!(reference, "a page panicked");
                (
                    StatusCode::INTERNAL_SERVER_ERROR,
                    "This did not work",
                    format!("Endpost has a fault here. Its log says more under {reference}."),
                    PERHAPS,
                )
            }
        };
        Wrong {
            status,
            heading,
            what,
            kept,
            onward,
            typed,
            damage,
        }
    }
}

impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        let wrong = self.told();
        let mut response = wrong.drawn(false);
        response.extensions_mut().insert(wrong);
        response
    }
}

/// Four letters to find the line in the log by.
fn short_reference() -> String {
    let random = uuid::Uuid::new_v4().as_u128();
    (0..4)
        .map(|place| char::from(b'A' + ((random >> (place * 8)) % 26) as u8))
        .collect()
}
