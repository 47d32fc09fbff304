//! The envelope in which a phone sends one entry, and why one can't be read.
//! Not here: what its fields mean (the forms), what becomes of it (`arriving`).

use axum::body::Body;
use axum::http::{HeaderMap, StatusCode};
use chrono::{DateTime, FixedOffset};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use uuid::Uuid;

use crate::store::ledger::{Fields, Kind};
use crate::web::form::protocol::FORM;
use crate::web::form::{self, Protocol};
use crate::web::typed::{NotWhole, is_of, whole};

/// The most an envelope may hold, in bytes.
pub const MOST_BYTES: usize = 64 * 1024;

/// The version of the envelope that this house reads.
const VERSION: u16 = 1;

/// One entry as a phone keeps and sends it.
#[derive(Clone, Debug, Deserialize)]
pub struct Envelope {
    pub v: u16,
    pub id: Uuid,
    pub device: Uuid,
    pub seq: i64,
    /// The word of the entry's kind.
    pub form: String,
    pub form_version: u16,
    pub subject: Option<Uuid>,
    pub base: Option<Uuid>,
    pub person: Option<String>,
    pub card_code: Option<String>,
    #[serde(default)]
    pub from_paper: bool,
    pub fields: Fields,
    /// When it was saved, by the phone's clock.
    pub entered_at: DateTime<FixedOffset>,
    /// When it was sent this time, by the same clock.
    pub sent_at: Option<DateTime<FixedOffset>>,
    /// The house that the phone keeps it for; none before it has heard of one.
    pub server_id: Option<Uuid>,
    /// Somebody is looking at the page and can be asked.
    #[serde(default)]
    pub may_ask: bool,
}

/// Why a phone's words can't be read; nothing was stored.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unreadable {
    #[error("This address takes JSON.")]
    NotJson,
    #[error("The connection broke while it was being sent.")]
    Broken,
    #[error("It is longer than {MOST_BYTES} bytes, the most that one entry may have.")]
    TooLong,
    #[error("It is not written as this Endpost reads it: {0}.")]
    Malformed(String),
    #[error("It is of version {0}, and this Endpost reads version {VERSION}.")]
    OtherVersion(u16),
    #[error("Its address names another entry than it holds.")]
    OtherAddress,
}

impl Unreadable {
    pub fn status(&self) -> StatusCode {
        match self {
            Self::NotJson => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Self::TooLong => StatusCode::PAYLOAD_TOO_LARGE,
            Self::Broken | Self::Malformed(_) | Self::OtherVersion(_) | Self::OtherAddress => {
                StatusCode::BAD_REQUEST
            }
        }
    }
}

/// The whole body of a request as JSON, read to its end before anything is made of it.
pub async fn read_json<T: DeserializeOwned>(
    headers: &HeaderMap,
    body: Body,
) -> Result<T, Unreadable> {
    let body = whole(body, MOST_BYTES).await;
    if !is_of(headers, "application/json") {
        return Err(Unreadable::NotJson);
    }
    let body = body.map_err(|cut| match cut {
        NotWhole::Broken => Unreadable::Broken,
        NotWhole::TooLong => Unreadable::TooLong,
    })?;
    of_json(&body)
}

fn of_json<T: DeserializeOwned>(json: &[u8]) -> Result<T, Unreadable> {
    serde_json::from_slice(json).map_err(|error| Unreadable::Malformed(error.to_string()))
}

impl Envelope {
    /// Reads an envelope that stood in a pasted text.
    pub fn read(json: &[u8]) -> Result<Self, Unreadable> {
        of_json::<Self>(json)?.of_this_version()
    }

    pub fn of_this_version(self) -> Result<Self, Unreadable> {
        match self.v {
            VERSION => Ok(self),
            other => Err(Unreadable::OtherVersion(other)),
        }
    }

    /// The kind of entry its form makes. What has no form here is kept as typed, with the word by
    /// which the page was called.
    pub fn kind(&self) -> Kind {
        Kind::of_word(&self.form)
            .filter(|kind| form::of(*kind).is_some())
            .unwrap_or(Kind::Unread)
    }

    /// What a plain post of the same page would have said beside its fields.
    pub fn protocol(&self) -> Protocol {
        Protocol {
            entry_id: Some(self.id),
            subject: self.subject,
            base: self.base,
            form_version: Some(self.form_version),
            person: self.person.clone(),
            card_code: self.card_code.clone(),
            from_paper: self.from_paper,
            keep: !self.may_ask,
            ..Protocol::default()
        }
    }

    /// Its fields as they are kept.
    pub fn kept_fields(&self) -> Fields {
        // The same texts, whichever way the phone wrote lists of one.
        let mut fields: Fields = self.fields.iter().collect();
        if self.kind() == Kind::Unread {
            fields.add(FORM, &self.form);
        }
        fields
    }
}
