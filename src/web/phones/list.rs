//! `/phones`: each phone and computer seen here: what it was let in for, which of its numbers
//! arrived, and which may still be on it. Not here: what a phone holds, which only it can show.

use askama::Template;
use axum::response::Response;
use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::numbers::Numbers;
use crate::store::ledger::Fields;
use crate::store::{Keys, PhoneSeen, Session};
use crate::web::access::{Who, role_words};
use crate::web::error::PageError;
use crate::web::form::{Draft, Field};
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::typed::Named;
use crate::web::{App, page, words};

#[derive(Template)]
#[template(path = "phones/list.html")]
struct PhonesPage {
    frame: Frame,
    phones: Vec<Shown>,
    /// Somebody is let in by a code, so that the others are not.
    by_code: bool,
}

#[derive(Template)]
#[template(path = "phones/one.html")]
struct PhonePage {
    frame: Frame,
    phone: Shown,
    called: Field,
    same: Option<Field>,
}

struct Shown {
    device: Uuid,
    called: String,
    seen: String,
    numbers: Numbers,
    ways_in: Vec<WayIn>,
    /// Ids it had before, with what may be missing of those.
    before: Vec<(String, Numbers)>,
}

/// A session in words.
struct WayIn {
    words: String,
    /// The one to end, while it is good.
    session: Option<Uuid>,
}

pub async fn get(app: App) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let phones = read.phones().await?;
    let keys = app.store.keys();
    let among = Among {
        phones: &phones,
        keys: &keys,
        known: &known,
        who: &app.who,
    };
    let own = phones
        .iter()
        .filter(|one| one.same_as.is_none() && (one.has_entered || among.is_known(one)));
    Ok(page(&PhonesPage {
        frame: Frame::new(&known, &app, "Phones").at("/house"),
        phones: own.map(|one| among.shown(one)).collect(),
        by_code: keys.passphrase.is_some(),
    }))
}

pub async fn one(app: App, Named(id): Named) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, &app).await?;
    let phones = read.phones().await?;
    let keys = app.store.keys();
    let id = Uuid::parse_str(&id).ok();
    let found = phones.iter().find(|one| Some(one.device) == id);
    let phone = found.ok_or_else(|| PageError::missing("phone"))?;
    let mut fields = Fields::default();
    fields.set("called", phone.called.as_deref().unwrap_or(""));
    if let Some(other) = phone.same_as {
        fields.set("as", &other.to_string());
    }
    let draft = Draft {
        fields: &fields,
        problems: &[],
        answers: &[],
    };
    // One that others are the same as stays what it is, so that none goes in a circle.
    let has_others = phones.iter().any(|one| one.same_as == Some(phone.device));
    let others = phones
        .iter()
        .filter(|one| one.device != phone.device && one.same_as.is_none())
        .map(|one| (one.device.to_string(), name_of(one)));
    let itself = [(String::new(), "None but itself".to_owned())];
    let others: Vec<(String, String)> = itself.into_iter().chain(others).collect();
    let same = || {
        Field::one(&draft, "as", "It is the same phone as", others)
            .hint("A browser whose memory was cleared comes back as another phone.")
    };
    let among = Among {
        phones: &phones,
        keys: &keys,
        known: &known,
        who: &app.who,
    };
    let can_be_same = !has_others && phones.len() > 1;
    Ok(page(&PhonePage {
        frame: Frame::new(&known, &app, &name_of(phone)).at("/house"),
        phone: among.shown(phone),
        called: Field::text(&draft, "called", "What you call it")
            .hint("Such as \"Anna's\" or \"shed tablet\". May stay empty."),
        same: can_be_same.then(same),
    }))
}

/// What a phone is shown beside.
struct Among<'a> {
    phones: &'a [PhoneSeen],
    keys: &'a Keys,
    known: &'a Known,
    who: &'a Who,
}

impl Among<'_> {
    fn at(&self, at: DateTime<Utc>) -> String {
        words::moment(&at.with_timezone(&self.known.zone), self.known.today)
    }

    /// Whether it is more than a browser that once stood at the door: a phone's own scripts give it
    /// another name there.
    fn is_known(&self, phone: &PhoneSeen) -> bool {
        let sessions = self.keys.sessions();
        phone.told.is_some()
            || phone.called.is_some()
            || sessions.iter().any(|one| one.device == phone.device)
    }

    fn shown(&self, phone: &PhoneSeen) -> Shown {
        let by = phone.person.as_deref();
        let by = by.map_or_else(String::new, |person| format!(", last used by {person}"));
        let before = self.phones.iter();
        let before: Vec<&PhoneSeen> = before
            .filter(|one| one.same_as == Some(phone.device))
            .collect();
        let is_its =
            |device: Uuid| device == phone.device || before.iter().any(|one| one.device == device);
        let sessions = self.keys.sessions().into_iter();
        let sessions = sessions.filter(|one| is_its(one.device));
        Shown {
            device: phone.device,
            called: format!("{}{by}", name_of(phone)),
            seen: self.at(phone.last_seen),
            numbers: Numbers::of(phone, self.known),
            ways_in: sessions.map(|one| self.way_in(one)).collect(),
            before: before
                .iter()
                .map(|one| {
                    let numbers = Numbers::of(one, self.known);
                    (format!("As {} before", name_of(one)), numbers)
                })
                .collect(),
        }
    }

    fn way_in(&self, session: &Session) -> WayIn {
        let may = role_words(session.role);
        let whose = session.person.as_deref();
        let whose = whose.map_or_else(String::new, |person| format!(" for {person}"));
        let began = self.at(session.began_at);
        let is_good = session.is_good(self.known.now.to_utc());
        let words = match session.ended_at {
            Some(ended) => {
                let ended = self.at(ended);
                format!("Was let in{whose} from {began} to {ended} ({may}).")
            }
            None if !is_good => format!("Was let in{whose} {began}; that is over."),
            None if self.who.session == Some(session.id) => {
                format!("Let in{whose} since {began}: {may}. It is this one.")
            }
            None => {
                let seen = self.at(session.last_seen);
                format!("Let in{whose} since {began}: {may}. Last seen {seen}.")
            }
        };
        WayIn {
            words,
            // Whoever looks leaves by the button on House.
            session: (is_good && self.who.session != Some(session.id)).then_some(session.id),
        }
    }
}

/// What the keeper calls it, or the last letters of its id, which differ from phone to phone.
fn name_of(phone: &PhoneSeen) -> String {
    let id = phone.device.simple().to_string();
    let short = id[id.len() - 4..].to_uppercase();
    match &phone.called {
        Some(called) => format!("{called} ({short})"),
        None => format!("Phone {short}"),
    }
}
