//! Who may enter what. A page that came from a phone out of range is never refused for it: what was
//! not its sender's to enter is kept as typed, and the keeper is asked.
//! Not here: addresses (`admit`).

use chrono::TimeDelta;
use uuid::Uuid;

use super::admit::NotYours;
use crate::science::access::Rule;
use crate::store::ledger::{Entry, Kind, NewEntry};
use crate::store::{Read, StoreError};
use crate::web::App;

/// So long whoever entered something can change it.
const OWN_FOR: TimeDelta = TimeDelta::days(1);

const ASK_THE_KEEPER: &str = "Whoever sent it may not do that by themselves: a helper changes only \
     their own entries, for a day. The keeper says whether it stands.";

/// Who may enter a kind. What is seen and done in the rows is everybody's; what the keeper wants of
/// it is the keeper's; what all else hangs on is set at the farm computer.
pub fn rule_of(kind: Kind) -> Rule {
    match kind {
        Kind::Sample
        | Kind::Weather
        | Kind::Clusters
        | Kind::Spray
        | Kind::Vine
        | Kind::Card
        | Kind::Unread
        | Kind::Void
        | Kind::Choice => Rule::Enter,
        Kind::Target | Kind::Instrument | Kind::DayList | Kind::SeasonClosed => Rule::Keeper,
        Kind::Farm | Kind::Person | Kind::Block | Kind::Rows | Kind::Assumptions => Rule::House,
    }
}

/// Why somebody may not change an entry; none if they may: the keeper any, a helper for a day what
/// they alone entered and changed.
pub async fn not_to_change(
    app: &App,
    read: &mut Read,
    entry: &Entry,
) -> Result<Option<NotYours>, StoreError> {
    let rule = rule_of(entry.kind);
    if !app.who.may(rule) {
        return Ok(Some(NotYours::of(rule, app)));
    }
    if app.who.is_keeper() {
        return Ok(None);
    }
    let is_own = entry.came_by.is_some() && entry.came_by == app.who.session;
    let first = read.first_of_record(entry.id).await?;
    let is_fresh = first.is_some_and(|first| app.clock.now() - first.received_at < OWN_FOR);
    let may = match app.who.session {
        Some(session) if is_own && is_fresh => read.came_by_one(entry.record, session).await?,
        _ => false,
    };
    Ok((!may).then_some(NotYours::Change))
}

/// Whether somebody may change an entry.
pub async fn may_change(app: &App, read: &mut Read, entry: &Entry) -> Result<bool, StoreError> {
    Ok(not_to_change(app, read, entry).await?.is_none())
}

/// Whether somebody may change the record of an entry. One that is not here is nobody's: the door
/// says what becomes of a change of it.
async fn may_change_record_of(app: &App, entry: Uuid) -> Result<bool, StoreError> {
    let mut read = app.store.read().await?;
    match read.first_of_record(entry).await? {
        Some(first) => may_change(app, &mut read, &first).await,
        None => Ok(true),
    }
}

/// Keeps back what was not its sender's to enter: as typed, in no sum, with a sentence.
pub async fn held_back(app: &App, mut entry: NewEntry) -> Result<NewEntry, StoreError> {
    let may_enter = app.who.may(rule_of(entry.kind));
    if may_enter && app.who.is_keeper() {
        return Ok(entry);
    }
    let may_change = match entry.subject {
        Some(subject) => may_change_record_of(app, subject).await?,
        None => true,
    };
    if !may_enter || !may_change {
        entry.values = None;
        entry.problems.push(ASK_THE_KEEPER.to_owned());
    }
    Ok(entry)
}
