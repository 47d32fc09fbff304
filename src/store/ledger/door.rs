//! The one door: what happens when an entry arrives. Everything that changes data comes through
//! `arrive`, and `settle` is all that a replay needs to come to the same tables.
//! Not here: grouping into transactions (`writer`), the record tables themselves (the rooms).

use chrono::{DateTime, TimeDelta, Utc};
use sqlx::{Connection, SqliteConnection};
use uuid::Uuid;

use super::entry::{Arrival, CLOCKS_AGREE};
use super::history::{self, Entry};
use super::refusals::{Rule, why_not};
use super::{Choice, Kind, NewEntry, Outcome, RULE_VERSION, Receipt, Settled, State, Values};
use super::{fields, new_id};
use crate::store::row::Batch;
use crate::store::{
    StoreError, access, cards, crop, daybook, helpers, phones, places, ripeness, sprays, weather,
};

/// Contents that come again within this time, without an id, look like a repeat.
const REPEAT: TimeDelta = TimeDelta::minutes(2);

/// Takes an entry in. Sent twice it is entered once; the same id with other contents is kept too.
pub async fn arrive(
    connection: &mut SqliteConnection,
    new: NewEntry,
) -> Result<Receipt, StoreError> {
    let mut entry = written_down(new);
    let print = entry.fingerprint;
    let mut outcome = Outcome::New;
    if let Some(first) = history::by_id(connection, entry.id).await? {
        if first.fingerprint == print {
            return Ok(receipt(first, Outcome::Replayed));
        }
        if let Some(twin) = history::twin(connection, entry.id, print).await? {
            return Ok(receipt(twin, Outcome::KeptBoth));
        }
        if entry.kind.is_act() {
            return Err(Rule::SettledBefore.into());
        }
        outcome = Outcome::KeptBoth;
        entry.twin_of = Some(entry.id);
        entry.id = new_id(entry.received_at);
    } else if let Some(earlier) = repeated(connection, &entry).await? {
        outcome = Outcome::KeptBoth;
        entry.twin_of = Some(earlier);
    }
    entry.subject = subject_of_record(connection, &entry).await?;
    entry.overtaken_by = overtaken_by(connection, &entry).await?;
    if entry.came_into_conflict() {
        entry.state = State::Conflict;
    }
    entry.skew_s = Skew::now(connection).await?.of(&entry);
    settle(connection, &mut entry).await?;
    if let Some(device) = entry.device_id {
        let mut batch = Batch::default();
        phones::heard_from(&mut batch, [(device, (entry.received_at, entry.seq))]);
        batch.run(connection).await?;
    }
    Ok(receipt(entry, outcome))
}

/// The earlier entry that one without an id of its own repeats: the same contents from the same
/// device shortly before. It may be two, so that somebody has to say.
async fn repeated(
    connection: &mut SqliteConnection,
    entry: &Entry,
) -> Result<Option<Uuid>, StoreError> {
    match entry.no_client_id {
        true => history::same_since(connection, entry, entry.received_at - REPEAT).await,
        false => Ok(None),
    }
}

/// The version in force where a change began with another.
async fn overtaken_by(
    connection: &mut SqliteConnection,
    entry: &Entry,
) -> Result<Option<Uuid>, StoreError> {
    let (Some(subject), Some(base), None) = (entry.subject, entry.base, entry.twin_of) else {
        return Ok(None);
    };
    let now = history::overtaken_by(connection, subject, base).await?;
    Ok(now.map(|now| now.id))
}

/// How far phones' clocks are from this computer's, told while this computer's own can be right.
pub(super) struct Skew {
    /// The latest moment at which anything came.
    latest: Option<DateTime<Utc>>,
}

impl Skew {
    pub async fn now(connection: &mut SqliteConnection) -> Result<Self, StoreError> {
        Ok(Self {
            latest: history::latest_moment(connection).await?,
        })
    }

    /// Seconds between sending and receiving; none while something came in later than this
    /// computer's clock says.
    pub fn of(&mut self, entry: &Entry) -> Option<i64> {
        let received = entry.received_at;
        let latest = self.latest.map_or(received, |latest| latest.max(received));
        self.latest = Some(latest);
        let behind = latest - received > CLOCKS_AGREE;
        let sent_at = entry.sent_at.filter(|_| !behind)?;
        Some((received - sent_at).num_seconds())
    }
}

/// The first entry of the record that is spoken of, whichever of its entries was named. There is
/// one farm, one set of figures and one list of a day for helpers: whoever enters another changes
/// the one.
async fn subject_of_record(
    connection: &mut SqliteConnection,
    entry: &Entry,
) -> Result<Option<Uuid>, StoreError> {
    match (entry.kind, entry.subject) {
        (Kind::Void | Kind::Choice, subject) => Ok(subject),
        (Kind::Farm, None) => places::farm_record(connection).await,
        (Kind::Assumptions, None) => ripeness::assumptions_record(connection).await,
        (Kind::DayList, None) => match &entry.values {
            Some(Values::DayList(list)) => helpers::record_of_day(connection, list.date).await,
            _ => Ok(None),
        },
        (_, None) => Ok(None),
        (kind, Some(subject)) => Ok(match history::by_id(connection, subject).await? {
            Some(named) if named.kind == kind => Some(named.record),
            _ => Some(subject),
        }),
    }
}

/// Writes an entry down and does what it says. Data that the tables do not allow is held; an act
/// of the house that the rules do not allow is refused.
pub async fn settle(
    connection: &mut SqliteConnection,
    entry: &mut Entry,
) -> Result<(), StoreError> {
    entry.record = record_of(connection, entry).await?;
    history::insert(connection, entry).await?;
    let done = match (&entry.values, entry.state) {
        (_, State::Conflict) => return Ok(()),
        (None, _) if entry.kind.is_act() => return Err(Rule::NotUnderstood.into()),
        (None, _) => return Ok(()),
        (Some(values), _) => attempt(connection, entry, values).await,
    };
    let Err(error) = done else { return Ok(()) };
    let why = why_not(&error).ok_or(error)?;
    if entry.kind.is_act() {
        return Err(StoreError::Refused(why));
    }
    entry.state = State::Held;
    entry.problems.push(why.to_owned());
    history::hold(connection, entry.id, &entry.problems).await
}

/// The record an entry belongs to: that of the entry it names, or one of its own.
async fn record_of(connection: &mut SqliteConnection, entry: &Entry) -> Result<Uuid, StoreError> {
    let Some(subject) = entry.subject else {
        return Ok(entry.id);
    };
    Ok(match history::by_id(connection, subject).await? {
        Some(named) if entry.kind.is_act() || named.kind == entry.kind => named.record,
        _ => entry.id,
    })
}

/// Does what the entry says, or nothing of it.
async fn attempt(
    connection: &mut SqliteConnection,
    entry: &Entry,
    values: &Values,
) -> Result<(), StoreError> {
    let mut savepoint = connection.begin().await?;
    let done = match values {
        Values::Void(_) => take_back(&mut savepoint, entry).await,
        Values::Choice(choice) => choose(&mut savepoint, entry, choice).await,
        _ => count(&mut savepoint, entry, entry.arrival_no).await,
    };
    match done {
        Ok(()) => Ok(savepoint.commit().await?),
        Err(error) => {
            savepoint.rollback().await?;
            Err(error)
        }
    }
}

/// From now on the entry's values count, as the newest of their record.
async fn count(
    connection: &mut SqliteConnection,
    entry: &Entry,
    took_effect: i64,
) -> Result<(), StoreError> {
    if entry.record != entry.id {
        let first = named(connection, entry.record).await?;
        match first.state {
            _ if first.kind != entry.kind => return Err(Rule::AnotherKind.into()),
            State::Conflict => return Err(Rule::NotSettledYet.into()),
            State::Void => return Err(Rule::WasTakenBack.into()),
            State::Stored | State::Held => {}
        }
    } else if let Some(subject) = entry.subject {
        return Err(match history::by_id(connection, subject).await? {
            Some(other) if other.kind != entry.kind => Rule::AnotherKind.into(),
            _ => Rule::NoSuchEntry.into(),
        });
    }
    history::count(connection, entry.id, took_effect).await?;
    refresh(connection, entry.record).await
}

async fn named(connection: &mut SqliteConnection, id: Uuid) -> Result<Entry, StoreError> {
    history::by_id(connection, id)
        .await?
        .ok_or_else(|| Rule::NoSuchEntry.into())
}

async fn subject_of(connection: &mut SqliteConnection, entry: &Entry) -> Result<Entry, StoreError> {
    match entry.subject {
        Some(subject) => named(connection, subject).await,
        None => Err(Rule::NoSuchEntry.into()),
    }
}

/// Takes back an entry; of the first of a record, the whole record. A void taken back lets what it
/// took back count again, and so on down to the entry that all of them hang on.
async fn take_back(connection: &mut SqliteConnection, void: &Entry) -> Result<(), StoreError> {
    let mut by = void.clone();
    let mut takes_back = true;
    loop {
        let of = subject_of(connection, &by).await?;
        match (takes_back, of.state, of.kind) {
            (_, _, Kind::Choice) => return Err(Rule::SettledForGood.into()),
            (true, State::Void, _) => return Err(Rule::TakenBackBefore.into()),
            _ => {}
        }
        history::void(connection, of.id, takes_back.then_some(by.id)).await?;
        if of.kind != Kind::Void {
            return refresh(connection, of.record).await;
        }
        takes_back = !takes_back;
        by = of;
    }
}

/// Says of every entry of a record what became of it, and puts into the tables what is in force.
async fn refresh(connection: &mut SqliteConnection, record: Uuid) -> Result<(), StoreError> {
    history::restate(connection, record).await?;
    let first = named(connection, record).await?;
    let in_force = match first.state {
        State::Stored => history::in_force(connection, record).await?,
        State::Held | State::Conflict | State::Void => None,
    };
    let Some((entry, values)) = in_force.and_then(|one| Some((one.id, one.values?))) else {
        return take_out(connection, first.kind, record)
            .await
            .map_err(|error| match error {
                StoreError::Constraint(rule) if rule.contains("FOREIGN KEY") => {
                    Rule::OthersHangOnIt.into()
                }
                error => error,
            });
    };
    let arrival = Arrival {
        record,
        entry,
        arrival_no: first.arrival_no,
    };
    put(connection, arrival, &values).await
}

/// Settles an entry in conflict as somebody says.
async fn choose(
    connection: &mut SqliteConnection,
    entry: &Entry,
    choice: &Choice,
) -> Result<(), StoreError> {
    let mut second = subject_of(connection, entry).await?;
    if second.state != State::Conflict {
        return Err(Rule::SettledBefore.into());
    }
    if choice.of != second.id {
        return Err(Rule::NoSuchEntry.into());
    }
    match (choice.settled, second.twin_of) {
        (Settled::Correction, Some(twin_of)) => {
            let first = named(connection, twin_of).await?;
            if first.kind != second.kind {
                return Err(Rule::AnotherKind.into());
            }
            history::move_to(connection, second.id, first.record).await?;
            second.record = first.record;
        }
        // A change that was overtaken belongs to its record already.
        (Settled::Second, None) => return Err(Rule::NotOneOfTwo.into()),
        _ => {}
    }
    let own = match (choice.settled, &second.values) {
        (Settled::Mistake, _) => State::Void,
        (_, None) => State::Held,
        (_, Some(_)) => return count(connection, &second, entry.arrival_no).await,
    };
    history::set_own_state(connection, second.id, own).await?;
    history::restate(connection, second.record).await
}

/// Puts a record's values in force in the tables of its room.
pub(super) async fn put(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    values: &Values,
) -> Result<(), StoreError> {
    match values {
        Values::Farm(farm) => places::put_farm(connection, arrival, farm).await,
        Values::Person(person) => access::put_person(connection, arrival, person).await,
        Values::Block(block) => places::put_block(connection, arrival, block).await,
        Values::Rows(rows) => places::put_rows(connection, arrival, rows).await,
        Values::Vine(event) => places::put_vine(connection, arrival, event).await,
        Values::Instrument(one) => ripeness::put_instrument(connection, arrival, one).await,
        Values::Target(target) => ripeness::put_target(connection, arrival, target).await,
        Values::Assumptions(all) => ripeness::put_assumptions(connection, arrival, all).await,
        Values::Sample(sample) => ripeness::put_sample(connection, arrival, sample).await,
        Values::Weather(day) => weather::put_day(connection, arrival, day).await,
        Values::Spray(spray) => sprays::put_spray(connection, arrival, spray).await,
        Values::Clusters(card) => crop::put_cluster_card(connection, arrival, card).await,
        Values::Card(card) => cards::put_card(connection, arrival, card).await,
        Values::DayList(list) => helpers::put_day_list(connection, arrival, list).await,
        Values::SeasonClosed(closed) => {
            daybook::put_season_closed(connection, arrival, closed).await
        }
        Values::Unread(never) => match *never {},
        Values::Void(_) | Values::Choice(_) => Ok(()),
    }
}

/// Takes a record out of the tables of its room. The ledger keeps it.
async fn take_out(
    connection: &mut SqliteConnection,
    kind: Kind,
    record: Uuid,
) -> Result<(), StoreError> {
    match kind {
        Kind::Farm => places::keep_farm(connection, record).await,
        Kind::Unread | Kind::Void | Kind::Choice => Ok(()),
        Kind::Person => access::take_out_person(connection, record).await,
        Kind::Block => places::take_out_block(connection, record).await,
        Kind::Rows => places::take_out_rows(connection, record).await,
        Kind::Vine => places::take_out_vine(connection, record).await,
        Kind::Instrument => ripeness::take_out_instrument(connection, record).await,
        Kind::Target => ripeness::take_out_target(connection, record).await,
        Kind::Assumptions => ripeness::take_out_assumptions(connection, record).await,
        Kind::Sample => ripeness::take_out_sample(connection, record).await,
        Kind::Weather => weather::take_out_day(connection, record).await,
        Kind::Spray => sprays::take_out_spray(connection, record).await,
        Kind::Clusters => crop::take_out_cluster_card(connection, record).await,
        Kind::Card => cards::take_out_card(connection, record).await,
        Kind::DayList => helpers::take_out_day_list(connection, record).await,
        Kind::SeasonClosed => daybook::take_out_season_closed(connection, record).await,
    }
}

pub(super) fn written_down(new: NewEntry) -> Entry {
    let fingerprint = fields::fingerprint(new.kind, new.form_version, new.subject, &new.fields);
    Entry {
        arrival_no: 0,
        id: new.id,
        kind: new.kind,
        form_version: new.form_version,
        subject: new.subject,
        record: new.id,
        fields: new.fields,
        state: match new.values {
            Some(_) => State::Stored,
            None => State::Held,
        },
        values: new.values,
        rule_version: RULE_VERSION,
        took_effect: None,
        voided_by: None,
        problems: new.problems,
        base: new.base,
        overtaken_by: None,
        twin_of: None,
        fingerprint,
        person: new.person,
        device_id: new.device_id,
        seq: new.seq,
        came_by: new.came_by,
        no_client_id: new.no_client_id,
        source: new.source,
        card_code: new.card_code,
        happened: new.happened,
        typed_at: new.typed_at,
        sent_at: new.sent_at,
        received_at: new.received_at,
        skew_s: None,
    }
}

pub(super) fn receipt(entry: Entry, outcome: Outcome) -> Receipt {
    Receipt {
        id: entry.id,
        record: entry.record,
        state: entry.state,
        problems: entry.problems,
        fields: entry.fields,
        values: entry.values,
        received_at: entry.received_at,
        skew_s: entry.skew_s,
        outcome,
    }
}
