//! A correction typed on a page that was drawn before somebody else's: it would put old values back
//! unseen, so that it is asked about. Not here: the history of a record (`ledger::past`).

use uuid::Uuid;

use super::protocol::{ANSWER, ASKED, REASON, UNITS};
use super::{Form, Problem, Protocol};
use crate::store::ledger::{Entry, Fields, NewEntry, State};
use crate::web::App;
use crate::web::changed::{compared, with_headline};
use crate::web::error::PageError;
use crate::web::known::Known;
use crate::web::words::{self, Line};

/// Whether a correction, already understood, changes nothing of what counts now: neither a value nor
/// a text, and gives no reason.
pub async fn changes_nothing(app: &App, entry: &NewEntry) -> Result<bool, PageError> {
    let Some(record) = entry.subject else {
        return Ok(false);
    };
    let mut read = app.store.read().await?;
    if read.entry(entry.id).await?.is_some() || entry.fields.has(REASON) {
        return Ok(false);
    }
    // A held change that is mended to what stood before is settled by it.
    let past = read.history(record).await?;
    if past.iter().any(|one| one.state == State::Held) {
        return Ok(false);
    }
    let now = read.entry_in_force(record).await?;
    let typed = |fields: &Fields| -> Vec<(String, String)> {
        fields
            .iter()
            .filter(|(name, text)| !NOT_TYPED.contains(name) && !text.trim().is_empty())
            .map(|(name, text)| (name.to_owned(), text.to_owned()))
            .collect()
    };
    Ok(now.is_some_and(|now| {
        entry.values.is_some()
            && now.values == entry.values
            && typed(&now.fields) == typed(&entry.fields)
    }))
}

/// Kept fields that belong to the page and not to what was typed.
const NOT_TYPED: [&str; 4] = [ANSWER, ASKED, UNITS, REASON];

/// The version that counts now, where it is not the one the page began with, and the question. It
/// is about the page as a whole: the page says at which field it stands.
pub async fn overtaken(
    form: &dyn Form,
    app: &App,
    protocol: &Protocol,
) -> Result<Option<(Uuid, Problem)>, PageError> {
    let (Some(record), Some(base)) = (protocol.subject, protocol.base) else {
        return Ok(None);
    };
    let mut read = app.store.read().await?;
    let known = Known::from(&mut read, app).await?;
    if let Some(id) = protocol.entry_id
        && read.entry(id).await?.is_some()
    {
        // It was sent before; the door knows what to say.
        return Ok(None);
    }
    let now = read.overtaken_by(record, base).await?;
    let (Some(base), Some(now)) = (read.entry(base).await?, now) else {
        return Ok(None);
    };
    let said = |entry: &Entry| -> Vec<Line> {
        let read_back = entry.values.as_ref().map(|one| form.read_back(one, &known));
        read_back.map_or_else(Vec::new, with_headline)
    };
    let changes: Vec<String> = compared(&said(&base), &said(&now))
        .iter()
        .map(ToString::to_string)
        .collect();
    // The version the page began with may have been taken back: then that is the news.
    let (what, news) = match base.voided_by {
        Some(void) => (
            "What this page began with was taken back",
            read.entry(void).await?,
        ),
        None => (
            "It was changed after this page was opened",
            Some(now.clone()),
        ),
    };
    let when = news.map_or_else(String::new, |news| {
        let at = news.received_at.with_timezone(&known.zone);
        let by = news
            .person
            .map_or_else(String::new, |who| format!(" by {who}"));
        format!(", {}{by}", words::moment(&at, known.today))
    });
    let text = format!(
        "{what}{when}: {}. Look at the fields; Save puts what stands here in its place.",
        match changes.is_empty() {
            true => "nothing in the values".to_owned(),
            false => changes.join("; "),
        }
    );
    let problem = Problem {
        field: String::new(),
        text,
        offers: Vec::new(),
        asked: None,
    };
    Ok(Some((now.id, problem)))
}
