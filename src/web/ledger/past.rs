//! The history of one record: what was entered first, what each change changed, what was taken
//! back, by whom and why. Not here: the page it stands on (`entry`).

use super::conflict::Why;
use super::entry::said;
use crate::store::ledger::{Entry, Kind, Source, State as Became};
use crate::web::came::came_words;
use crate::web::changed::{Changed, compared, with_headline};
use crate::web::daybook::came_after_close;
use crate::web::form::protocol::REASON;
use crate::web::known::Known;
use crate::web::words::{self, Line};

/// One line of the history.
pub struct Past {
    pub entry: Entry,
    pub what: String,
    pub who: String,
    /// What it said, or what it said other than the one before it.
    pub lines: Vec<Changed>,
    pub nothing_differs: bool,
    pub reason: Option<String>,
    /// It came in after its season was closed.
    pub after_close: Option<String>,
    pub struck: bool,
}

impl Past {
    /// Every line, oldest first. `first` is what the record began with.
    pub fn all(past: &[Entry], first: &Entry, known: &Known) -> Vec<Self> {
        let mut stood: Option<Vec<Line>> = None;
        let mut lines = Vec::new();
        for one in past {
            let lines_now = lines_of(one, known);
            let took_part = one.values.is_some() && one.took_effect.is_some() && !one.kind.is_act();
            let changed = match &stood {
                Some(before) if took_part => compared(before, &lines_now),
                _ => lines_now.iter().map(Changed::nothing_before).collect(),
            };
            let what = match one.kind {
                Kind::Void => taken_back(one, past, first, known),
                Kind::Choice => said(one, known).headline,
                _ if took_part && stood.is_none() && one.id != first.id => "Mended".to_owned(),
                _ => what(one, first).to_owned(),
            };
            // A record taken back as a whole was told in its time all the same.
            if took_part && (one.id == first.id || one.state != Became::Void) {
                stood = Some(lines_now);
            }
            lines.push(Self::of(one, what, changed, first, known));
        }
        lines
    }

    fn of(one: &Entry, what: String, lines: Vec<Changed>, first: &Entry, known: &Known) -> Self {
        let reason = one.fields.first(REASON).trim();
        // A void says its reason itself.
        let reason = (!reason.is_empty() && !one.kind.is_act()).then(|| reason.to_owned());
        let at = one.received_at.with_timezone(&known.zone);
        let record_gone = first.state == Became::Void && one.record == first.id;
        Self {
            what,
            who: format!("{}{}", words::moment(&at, known.today), who(one, known)),
            nothing_differs: lines.is_empty() && !one.kind.is_act(),
            lines,
            reason,
            after_close: came_after_close(one, first, known),
            struck: !one.kind.is_act() && (one.state == Became::Void || record_gone),
            entry: one.clone(),
        }
    }
}

fn lines_of(entry: &Entry, known: &Known) -> Vec<Line> {
    let said = said(entry, known);
    match entry.kind.is_act() {
        true => said.lines,
        false => with_headline(said),
    }
}

/// What a void took back, and whether that stands.
fn taken_back(void: &Entry, past: &[Entry], first: &Entry, known: &Known) -> String {
    let subject = past.iter().find(|one| Some(one.id) == void.subject);
    let at = |one: &Entry| words::clock(one.received_at.with_timezone(&known.zone).time());
    let what = match subject {
        Some(one) if one.kind == Kind::Void => "The taking back undone".to_owned(),
        Some(one) if one.id != first.id => format!("The change of {} taken back", at(one)),
        _ => "Taken back".to_owned(),
    };
    match void.state {
        Became::Void => format!("{what}; itself undone since"),
        _ => what,
    }
}

fn what(one: &Entry, first: &Entry) -> &'static str {
    match (one.state, one.id == first.id) {
        (Became::Held, _) => "Kept as typed",
        (Became::Conflict, _) => Why::of(one).map_or("Kept as typed", |(why, _)| why.beside()),
        _ if one.values.is_none() => "Kept as typed, mended since",
        (_, true) => "First entered",
        (_, false) => "Changed",
    }
}

/// " by LK from paper card K7Q2, entered 9 days later"
pub fn who(entry: &Entry, known: &Known) -> String {
    let person = entry.person.as_deref().unwrap_or("");
    let by = match person {
        "" => String::new(),
        person => format!(" by {person}"),
    };
    let came = came_words(&entry.came(), known.zone);
    let came = came.map_or_else(String::new, |words| match by.is_empty() {
        true => format!(", {words}"),
        false => format!(" {words}"),
    });
    let demo = match entry.source {
        Source::Demo => ", made up for the demo",
        _ => "",
    };
    format!("{by}{came}{demo}")
}
