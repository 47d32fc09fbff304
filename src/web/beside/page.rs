//! A posted page, kept beside the damaged database, and the page that says so with all that was
//! typed. Not here: what becomes of it afterwards (`replay`).

use askama::Template;
use axum::body::Body;
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use uuid::Uuid;

use super::read;
use crate::store::beside::{Came, Line};
use crate::store::ledger::{Fields, Kind, fingerprint, new_id};
use crate::web::error::PageError;
use crate::web::form::{self, Form, Protocol, labelled};
use crate::web::frame::STYLE;
use crate::web::known::Known;
use crate::web::phones::Envelope;
use crate::web::typed::Posted;
use crate::web::visitor::Visitor;
use crate::web::{App, StandIn, page};

#[derive(Template)]
#[template(path = "beside/kept.html")]
struct KeptPage {
    style: &'static str,
    heading: &'static str,
    typed: Vec<(String, String)>,
}

/// Keeps the page, unless it only asks for more lines, which writes nothing.
pub async fn keep(app: &App, form: &'static dyn Form, request: Request, next: Next) -> Response {
    let (mut parts, body) = request.into_parts();
    let Ok(visitor) = Visitor::from_request_parts(&mut parts, app).await;
    let with_body = Request::from_parts(parts.clone(), body);
    let fields = match Posted::from_request(with_body, app).await {
        Ok(Posted(fields)) => fields,
        Err(error) => return error.into_response(),
    };
    if fields.has("more") {
        return read(app, next, || {
            Request::from_parts(parts.clone(), written(&fields))
        })
        .await;
    }
    match kept(app, form, &visitor, fields).await {
        Ok(answer) => answer,
        Err(error) => error.into_response(),
    }
}

/// The fields as a browser sends them.
fn written(fields: &Fields) -> Body {
    let mut text = form_urlencoded::Serializer::new(String::new());
    text.extend_pairs(fields.iter());
    text.finish().into()
}

async fn kept(
    app: &App,
    form: &'static dyn Form,
    visitor: &Visitor,
    fields: Fields,
) -> Result<Response, PageError> {
    let received_at = app.clock.now();
    let mut typed = fields.clone();
    let protocol = Protocol::take(&mut typed);
    let version = protocol.form_version.unwrap_or(form.version());
    let line = Line {
        id: protocol.entry_id.unwrap_or_else(|| new_id(received_at)),
        fingerprint: fingerprint(form.kind(), version, protocol.subject, &typed),
        received_at,
        house: app.store.house().server_id,
        by: app.who.sender(),
        came: Came::Page {
            form: form.kind().word().to_owned(),
            device: protocol.device.unwrap_or(visitor.device),
            fields,
        },
    };
    app.store.keep_beside(line).await?;
    let answer = drawn(app, Some(form), &typed).await;
    Ok(visitor.remembered(answer, protocol.person.as_deref()))
}

async fn drawn(app: &App, form: Option<&'static dyn Form>, typed: &Fields) -> Response {
    let labelled = match (form, known(app).await) {
        (Some(form), Some(known)) => labelled(form, typed, &known),
        _ => shown(typed),
    };
    page(&KeptPage {
        style: STYLE,
        heading: form.map_or("An entry", |form| form.heading()),
        typed: labelled,
    })
}

/// What the labels of a page lean on, from the copy where the database does not give it.
async fn known(app: &App) -> Option<Known> {
    if let Ok(known) = Known::load(app).await {
        return Some(known);
    }
    let StandIn(reached) = app.stand_in()?;
    let who = app.who;
    Known::load(&App { reached, who }).await.ok()
}

/// The page of an entry that lies in the side log, where a phone that sent it looks for it.
pub async fn show(app: &App, id: Uuid) -> Result<Response, PageError> {
    let line = app.store.line_kept_beside(id).await?;
    let line = line.ok_or(PageError::missing("entry"))?;
    let (kind, typed) = match line.came {
        Came::Envelope(sent) => {
            let read = Envelope::read(sent.to_string().as_bytes());
            let envelope = read.map_err(|_| PageError::missing("entry"))?;
            (envelope.kind(), envelope.kept_fields())
        }
        Came::Page {
            form, mut fields, ..
        } => {
            Protocol::take(&mut fields);
            (Kind::of_word(&form).unwrap_or(Kind::Unread), fields)
        }
    };
    Ok(drawn(app, form::of(kind), &typed).await)
}

/// Where nobody can tell the labels: what was typed, by the names that the page gives its fields. What the page itself put there, ids
/// and answers, is left out.
fn shown(typed: &Fields) -> Vec<(String, String)> {
    let by_hand = typed.iter().filter(|(name, text)| {
        let own = matches!(*name, "units" | "asked" | "answer");
        !own && !text.trim().is_empty() && Uuid::parse_str(text).is_err()
    });
    by_hand
        .map(|(name, text)| (name.replace('_', " "), text.to_owned()))
        .collect()
}
