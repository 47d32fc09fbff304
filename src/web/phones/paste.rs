//! `/paste`: the keeper brings a phone's entries by hand, as a file or as text. They are the same
//! entries under the same ids, whatever way they come.
//! Not here: the text itself (`pasted`), what becomes of an envelope (`arriving`).

use askama::Template;
use axum::body::Body;
use axum::extract::multipart::{Multipart, MultipartError};
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::Response;

use super::arriving::{Arrived, arrive};
use super::envelope::Envelope;
use super::pasted::{NoEntry, pieces};
use crate::store::ledger::{Fields, Outcome, Receipt, State as Became};
use crate::web::error::PageError;
use crate::web::form::{Draft, Field};
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::typed::whole;
use crate::web::{App, page};

/// The most that is read of one paste, in bytes: thousands of entries.
pub const MOST_BYTES: usize = 16 * 1024 * 1024;

const STILL_THERE: &str = "Nothing of it was taken; it is still on the phone.";

#[derive(Template)]
#[template(path = "phones/paste.html")]
struct PastePage {
    frame: Frame,
    fields: Vec<Field>,
    /// What became of each piece; none before anything was brought.
    brought: Option<Vec<Brought>>,
}

/// What became of one piece of the text.
struct Brought {
    line: usize,
    heading: String,
    words: String,
    /// The address of the entry, where there is one now.
    entry: Option<String>,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    draw(&app, None).await
}

pub async fn post(app: App, request: Request) -> Result<Response, PageError> {
    let no_file = || {
        PageError::Unreadable(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "This address takes a form with a file, as browsers send it.".to_owned(),
        )
    };
    let (parts, body) = request.into_parts();
    let has_parts = Request::from_parts(parts.clone(), Body::empty());
    if Multipart::from_request(has_parts, &app).await.is_err() {
        // Read to its end, so that the answer is heard.
        let _ = whole(body, 0).await;
        return Err(no_file());
    }
    let sent = Multipart::from_request(Request::from_parts(parts, body), &app).await;
    let sent = sent.map_err(|_| no_file())?;
    let mut brought = Vec::new();
    for piece in pieces(&text_of(sent).await?) {
        brought.push(match piece.found {
            Ok(mut envelope) => {
                // Nobody stands at the phone any more.
                envelope.may_ask = false;
                enter(&app, piece.line, &envelope).await
            }
            Err(why) => not_taken(piece.line, &why),
        });
    }
    draw(&app, Some(brought)).await
}

/// What was pasted and what the file holds, one after the other.
async fn text_of(mut sent: Multipart) -> Result<String, PageError> {
    let mut text = String::new();
    while let Some(part) = sent.next_field().await.map_err(unreadable)? {
        let bytes = part.bytes().await.map_err(unreadable)?;
        text.push_str(&String::from_utf8_lossy(&bytes));
        text.push('\n');
    }
    Ok(text)
}

fn unreadable(error: MultipartError) -> PageError {
    let words = match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => {
            "This is more than can be taken at once. Bring it in parts."
        }
        _ => "What was sent can't be read. The connection may have broken.",
    };
    PageError::Unreadable(error.status(), words.to_owned())
}

async fn enter(app: &App, line: usize, envelope: &Envelope) -> Brought {
    let heading = |words: &str| format!("Number {} of its phone: {words}", envelope.seq);
    match arrive(app, envelope).await {
        Ok(Arrived::Taken { receipt, read_back }) => Brought {
            line,
            heading: heading(&read_back.map_or_else(
                || format!("a page \"{}\"", envelope.form),
                |read_back| read_back.headline,
            )),
            words: became(&receipt).to_owned(),
            entry: Some(format!("/entries/{}", receipt.id)),
        },
        Ok(Arrived::OtherServer | Arrived::Asks) => Brought {
            line,
            heading: heading("kept for another house"),
            words: STILL_THERE.to_owned(),
            entry: None,
        },
        Err(error) => Brought {
            line,
            heading: heading("not stored"),
            words: format!("{} {STILL_THERE}", error.told().what()),
            entry: None,
        },
    }
}

fn became(receipt: &Receipt) -> &'static str {
    match (receipt.outcome, receipt.state) {
        (Outcome::Replayed, _) => "It was here already.",
        (Outcome::KeptBoth, _) | (_, Became::Conflict) => {
            "Kept beside another; say on its page what it is."
        }
        (Outcome::New, Became::Held) => "Kept as typed; it needs a look.",
        (Outcome::New, Became::Stored | Became::Void) => "Stored.",
    }
}

fn not_taken(line: usize, why: &NoEntry) -> Brought {
    let (heading, words) = match why {
        NoEntry::OtherText => ("Other text", format!("{why} It was left out.")),
        NoEntry::Changed | NoEntry::Unreadable(_) => (
            "An entry that can't be read",
            format!("{why} {STILL_THERE}"),
        ),
    };
    Brought {
        line,
        heading: heading.to_owned(),
        words,
        entry: None,
    }
}

async fn draw(app: &App, brought: Option<Vec<Brought>>) -> Result<Response, PageError> {
    let known = Known::load(app).await?;
    let fields = Fields::default();
    let draft = Draft {
        fields: &fields,
        problems: &[],
        answers: &[],
    };
    Ok(page(&PastePage {
        frame: Frame::new(&known, app, "Entries brought from a phone").at("/house"),
        fields: vec![
            Field::file(&draft, "file", "The file the phone saved"),
            Field::area(&draft, "text", "Or the text it showed"),
        ],
        brought,
    }))
}
