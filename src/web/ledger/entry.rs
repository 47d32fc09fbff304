//! The page of one entry: what was understood, what was typed, what became of it.
//! Not here: the words of its values, which its form has.

use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use chrono::TimeDelta;
use uuid::Uuid;

use super::clocks;
use super::conflict::{Question, Why};
use super::named;
use super::past::{Past, who};
use crate::store::Read;
use crate::store::ledger::{Entry, Kind, Settled, State as Became, Values, new_id};
use crate::web::access::{NotYours, may_change, not_to_change, rule_of};
use crate::web::daybook::came_after_close;
use crate::web::error::PageError;
use crate::web::form::{self, handle, labelled, let_stand};
use crate::web::frame::Frame;
use crate::web::known::Known;
use crate::web::sprays::entry_hold_at;
use crate::web::typed::{Asked, Named};
use crate::web::visitor::Visitor;
use crate::web::words::{self, Line, ReadBack};
use crate::web::{App, page};

/// How long "undo" is offered at the top.
const UNDO: TimeDelta = TimeDelta::minutes(10);

#[derive(Template)]
#[template(path = "ledger/entry.html")]
struct EntryPage {
    frame: Frame,
    heading: String,
    /// What has just happened, for the one who saved it.
    news: Option<String>,
    /// Why what was just asked for is not done.
    refused: Option<&'static str>,
    state: String,
    /// It came in after its season was closed.
    after_close: Option<String>,
    /// When it was typed, and what is odd about the clocks.
    clocks: Vec<String>,
    lines: Vec<Line>,
    /// It counts no more, since it or its record was taken back.
    struck: bool,
    typed: Vec<(String, String)>,
    /// Questions that were asked about it and let stand.
    stands: Vec<(String, String)>,
    problems: Vec<String>,
    /// A change of it that was kept as typed and is not mended.
    change_waits: Option<Uuid>,
    id: Uuid,
    can_correct: bool,
    /// Why whoever may enter can't change this one.
    not_yours: Option<&'static str>,
    take_back: Option<Act>,
    /// Takes back what took this one back.
    count_again: Option<Act>,
    /// Takes back what counts now: the last change, or the record if there was none.
    undo: Option<Act>,
    undo_words: &'static str,
    /// Without this spray its blocks are open again as far as it is concerned.
    ends_a_hold: bool,
    settle: Option<Act>,
    conflict: Option<Question>,
    history: Vec<Past>,
    /// What else may be to write down after it.
    also: Vec<(String, String)>,
    /// A sample that was taken while its block was closed.
    hold_then: Option<String>,
    next: Option<(String, String)>,
    place: Option<(String, String)>,
}

/// A button that sends an entry about another entry, under an id of its own: tapped twice it is
/// one entry.
struct Act {
    about: Uuid,
    entry_id: Uuid,
}

pub async fn get(app: App, Named(id): Named, Asked(asked): Asked) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let entry = named(&mut read, &id).await?;
    show(&app, read, entry, asked.first("now"), None).await
}

/// The page of an entry again, with the reason why what was asked of it is not done.
pub async fn refused(app: &App, entry: Entry, why: &'static str) -> Result<Response, PageError> {
    let read = app.store.read().await?;
    let drawn = show(app, read, entry, "", Some(why)).await?;
    Ok((StatusCode::CONFLICT, drawn).into_response())
}

async fn show(
    app: &App,
    mut read: Read,
    entry: Entry,
    now: &str,
    refused: Option<&'static str>,
) -> Result<Response, PageError> {
    let known = Known::from(&mut read, app).await?;
    let first = read.entry(entry.record).await?;
    let first = first.unwrap_or_else(|| entry.clone());
    let in_force = read.entry_in_force(entry.record).await?;
    let past = read.history(entry.record).await?;
    let counts =
        !entry.kind.is_act() && entry.state == Became::Stored && first.state == Became::Stored;
    let before_it = in_force.as_ref().map(|one| one.id);
    let shown = match in_force {
        Some(now) if counts => now,
        // A record taken back shows what counted last.
        _ if first.state == Became::Void && entry.id == first.id => {
            last_that_counted(&past).unwrap_or(&entry).clone()
        }
        _ => entry.clone(),
    };
    let read_back = said(&shown, &known);
    let may = may_change(app, &mut read, &first).await?;
    let may_settle = match entry.state {
        Became::Conflict => may_change(app, &mut read, &entry).await?,
        _ => false,
    };
    let may_enter = app.who.may(rule_of(entry.kind));
    let fresh = app.clock.now() - shown.received_at < UNDO;
    let form = form::of(entry.kind);
    let act = |about| Act {
        about,
        entry_id: new_id(app.clock.now()),
    };
    let conflict = conflict_of(&mut read, &entry, &known).await?;
    let out_of_order = read.numbered_before_but_later(&entry).await?;
    let waits = matches!(entry.state, Became::Held | Became::Conflict);
    Ok(page(&EntryPage {
        frame: Frame::new(&known, app, &read_back.headline),
        after_close: came_after_close(&shown, &first, &known),
        state: state_words(&entry, &first, before_it.is_some(), &known),
        // The demo's own clock stands in September, and every phone's would be wrong.
        clocks: match app.demo {
            true => Vec::new(),
            false => clocks::said(&entry, out_of_order, &known),
        },
        change_waits: past
            .iter()
            .find(|one| one.state == Became::Held && one.id != first.id && one.id != entry.id)
            .map(|one| one.id),
        news: news(now, &entry, &known),
        refused,
        problems: match waits {
            true => entry.problems.clone(),
            false => Vec::new(),
        },
        not_yours: (may_enter && !may && form.is_some()).then(|| NotYours::Change.words()),
        can_correct: may && form.is_some() && (counts || can_be_mended(&entry, &first)),
        take_back: to_take_back(&entry, &first, counts)
            .filter(|_| may)
            .map(act),
        count_again: to_count_again(&entry, &first).filter(|_| may).map(act),
        undo: (may && fresh && counts && shown.took_effect.is_some() && entry.kind != Kind::Farm)
            .then(|| act(shown.id)),
        undo_words: match shown.id == first.id {
            true => "Undo this save",
            false => "Undo the last change",
        },
        ends_a_hold: entry.kind == Kind::Spray && counts,
        settle: may_settle.then(|| act(entry.id)),
        conflict,
        history: Past::all(&past, &first, &known),
        also: match (&shown.values, form) {
            (Some(values), Some(form)) if counts && may_enter => form.also(values),
            _ => Vec::new(),
        },
        hold_then: closed_then(&mut read, &known, &first, &shown).await?,
        next: form
            .filter(|_| may_enter)
            .and_then(|form| form.next(shown.values.as_ref())),
        place: read_back.place,
        lines: read_back.lines,
        struck: first.state == Became::Void || entry.state == Became::Void,
        stands: match (&shown.values, form) {
            (Some(_), Some(form)) => let_stand(form, &shown.fields, &known),
            _ => Vec::new(),
        },
        typed: match (&shown.values, form) {
            (Some(_), Some(form)) => labelled(form, &shown.fields, &known),
            _ => Vec::new(),
        },
        heading: read_back.headline,
        id: entry.id,
    }))
}

/// What is asked about an entry that nobody has settled yet.
async fn conflict_of(
    read: &mut Read,
    entry: &Entry,
    known: &Known,
) -> Result<Option<Question>, PageError> {
    let Some((why, other)) = Why::of(entry).filter(|_| entry.state == Became::Conflict) else {
        return Ok(None);
    };
    let other = read.entry(other).await?;
    Ok(other.map(|other| Question::about(why, entry, &other, known)))
}

fn last_that_counted(past: &[Entry]) -> Option<&Entry> {
    past.iter()
        .filter(|one| !one.kind.is_act() && one.took_effect.is_some())
        .rfind(|one| one.id == one.record || one.state == Became::Stored)
}

/// A held entry can be mended as long as its record is not taken back or itself to be settled.
fn can_be_mended(entry: &Entry, first: &Entry) -> bool {
    entry.state == Became::Held && !matches!(first.state, Became::Void | Became::Conflict)
}

/// What "Take it back" is about: the record of an entry that counts, else the entry shown.
fn to_take_back(entry: &Entry, first: &Entry, counts: bool) -> Option<Uuid> {
    match (entry.kind, entry.state) {
        (Kind::Farm, Became::Stored) => None,
        _ if counts => Some(first.id),
        (_, Became::Held) => Some(entry.id),
        _ => None,
    }
}

/// The void to take back so that this entry, or its record, counts again.
fn to_count_again(entry: &Entry, first: &Entry) -> Option<Uuid> {
    match (entry.kind, entry.state) {
        (Kind::Void, Became::Stored) => Some(entry.id),
        (Kind::Choice, _) => None,
        (_, Became::Void) => entry.voided_by,
        _ => first.voided_by,
    }
}

pub async fn correct(app: App, visitor: Visitor, Named(id): Named) -> Result<Response, PageError> {
    let mut read = app.store.read().await?;
    let entry = named(&mut read, &id).await?;
    let record = entry.record;
    if let Some(first) = read.first_of_record(record).await?
        && let Some(why) = not_to_change(&app, &mut read, &first).await?
    {
        return Err(PageError::NotYours(why, Vec::new()));
    }
    let base = match entry.state {
        Became::Stored if !entry.kind.is_act() => {
            read.entry_in_force(record).await?.unwrap_or(entry)
        }
        _ => entry,
    };
    // The form reads through a view of its own. A page that held two would wait for other pages
    // that hold one and wait as well.
    drop(read);
    handle::correct(app, visitor, base, record).await
}

/// The hold of the block at the moment of a sample, if it was closed for entry then. Without a time
/// of its own a sample of the day it was typed on counts from when it was typed.
async fn closed_then(
    read: &mut Read,
    known: &Known,
    first: &Entry,
    shown: &Entry,
) -> Result<Option<String>, PageError> {
    let Some(Values::Sample(sample)) = &shown.values else {
        return Ok(None);
    };
    let typed = clocks::typed_at(first).unwrap_or(first.received_at);
    let typed = typed.with_timezone(&known.zone);
    let at = match sample.time {
        Some(time) => {
            let wall = sample.date.and_time(time);
            wall.and_local_timezone(known.zone).earliest()
        }
        None => Some(typed).filter(|typed| typed.date_naive() == sample.date),
    };
    let Some(at) = at else {
        return Ok(None);
    };
    Ok(entry_hold_at(read, known, sample.block, at).await?)
}

/// What an entry says, in the words of its form.
pub fn said(entry: &Entry, known: &Known) -> ReadBack {
    match (&entry.values, form::of(entry.kind)) {
        (Some(Values::Void(void)), _) => {
            let mut read = ReadBack::titled("Taken back");
            read.maybe("Why", void.reason.as_deref());
            read
        }
        (Some(Values::Choice(choice)), _) => ReadBack::titled(match choice.settled {
            Settled::Correction => "Settled: it was a correction",
            Settled::Second => "Settled: they are two",
            Settled::Mistake => "Settled: it was a slip",
        }),
        (Some(values), Some(form)) => form.read_back(values, known),
        (None, Some(form)) => {
            let what = match entry.id == entry.record {
                true => form.heading().to_owned(),
                false => format!("Change: {}", form.heading()),
            };
            let mut read = ReadBack::titled(format!("{what}, kept as typed"));
            for (label, text) in labelled(form, &entry.fields, known) {
                read.line(label, text);
            }
            let block = Uuid::parse_str(entry.fields.first("block"));
            if let Ok(block) = block {
                read.headline.push_str(": ");
                read.headline.push_str(&known.block_called(block));
            }
            read
        }
        (None, None) => {
            let mut read = ReadBack::titled("A page this Endpost does not know, kept as typed");
            for (name, text) in entry.fields.iter() {
                read.line(name.replace('_', " "), text);
            }
            read
        }
        _ => ReadBack::titled("Entry"),
    }
}

fn news(now: &str, entry: &Entry, known: &Known) -> Option<String> {
    let at = words::clock(entry.received_at.with_timezone(&known.zone).time());
    match (now, entry.state) {
        ("new", Became::Stored) => Some(format!("Stored {at}.")),
        ("new", Became::Held) => Some(format!(
            "Kept as typed {at}. It enters no sum until somebody mends it."
        )),
        ("done", Became::Void) => Some("Taken back.".to_owned()),
        ("done", Became::Stored) => Some("Done. This is what counts now.".to_owned()),
        ("same", _) => Some("Nothing was changed, so nothing was stored.".to_owned()),
        ("again", _) => Some(format!("Stored {at} already; nothing was doubled.")),
        ("new" | "both", Became::Conflict) => Why::of(entry).map(|(why, _)| why.news().to_owned()),
        _ => None,
    }
}

fn state_words(entry: &Entry, first: &Entry, something_counts: bool, known: &Known) -> String {
    let at = words::moment(&entry.received_at.with_timezone(&known.zone), known.today);
    let who = who(entry, known);
    let counted = entry.state == Became::Stored && !entry.kind.is_act();
    if counted && first.state == Became::Void {
        return format!("Taken back. It was stored {at}{who}.");
    }
    match entry.state {
        Became::Stored => format!("Stored {at}{who}."),
        Became::Held if something_counts => {
            format!("Kept as typed {at}{who}; in no sum yet. What stood before it still counts.")
        }
        Became::Held => format!("Kept as typed {at}{who}; in no sum yet."),
        Became::Conflict => format!("Kept {at}{who}; in no sum until somebody says what it is."),
        Became::Void => format!("Taken back. It was stored {at}{who}."),
    }
}
