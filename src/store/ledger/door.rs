//! The one door: what happens when an entry arrives. Everything that changes data comes through
//! `arrive`, and `settle` is all that a replay needs to come to the same tables.
//! Not here: grouping into transactions (`writer`), the record tables themselves (the rooms).

use sqlx::{Connection, SqliteConnection};
use uuid::Uuid;

use super::entry::Arrival;
use super::history::{self, Entry};
use super::{Choice, Kind, NewEntry, Outcome, RULE_VERSION, Receipt, Settled, State, Values};
use super::{fields, new_id};
use crate::store::{StoreError, access, places, ripeness, sprays, weather};

/// Takes an entry in. Sent twice it is entered once; the same id with other contents is kept too.
pub async fn arrive(
    connection: &mut SqliteConnection,
    new: NewEntry,
) -> Result<Receipt, StoreError> {
    let print = fields::fingerprint(new.kind, new.form_version, &new.fields);
    let mut entry = written_down(new, print);
    if let Some(first) = history::by_id(connection, entry.id).await? {
        if first.fingerprint == print {
            return Ok(receipt(&first, Outcome::Replayed));
        }
        if let Some(twin) = history::twin(connection, entry.id, print).await? {
            return Ok(receipt(&twin, Outcome::KeptBoth));
        }
        entry.twin_of = Some(entry.id);
        entry.id = new_id(entry.received_at);
        entry.state = State::Conflict;
        settle(connection, &mut entry).await?;
        return Ok(receipt(&entry, Outcome::KeptBoth));
    }
    settle(connection, &mut entry).await?;
    Ok(receipt(&entry, Outcome::New))
}

/// Writes an entry down and does what it says. What the tables do not allow is held, not refused.
pub async fn settle(
    connection: &mut SqliteConnection,
    entry: &mut Entry,
) -> Result<(), StoreError> {
    history::insert(connection, entry).await?;
    if entry.state == State::Conflict || entry.values.is_none() {
        return Ok(());
    }
    let mut attempt = connection.begin().await?;
    match obey(&mut attempt, entry).await {
        Ok(()) => attempt.commit().await?,
        Err(StoreError::Constraint(rule)) => {
            attempt.rollback().await?;
            entry.state = State::Held;
            entry.problems.push(why_not(&rule).to_owned());
            history::set_state(connection, entry.id, State::Held, &entry.problems).await?;
        }
        Err(error) => return Err(error),
    }
    Ok(())
}

async fn obey(connection: &mut SqliteConnection, entry: &Entry) -> Result<(), StoreError> {
    let Some(values) = &entry.values else {
        return Ok(());
    };
    match values {
        Values::Void(_) => take_back(connection, entry).await,
        Values::Choice(choice) => choose(connection, choice).await,
        values => {
            let first = match entry.subject {
                None => entry.clone(),
                Some(_) => first_of_record(connection, entry).await?,
            };
            if first.kind != entry.kind {
                return Err(StoreError::Constraint("another_kind".to_owned()));
            }
            let arrival = Arrival {
                record: first.id,
                entry: entry.id,
                arrival_no: first.arrival_no,
            };
            put(connection, arrival, values).await?;
            if first.state != State::Stored {
                history::set_state(connection, first.id, State::Stored, &[]).await?;
            }
            Ok(())
        }
    }
}

async fn subject_of(connection: &mut SqliteConnection, entry: &Entry) -> Result<Entry, StoreError> {
    let missing = || StoreError::Constraint("no_such_entry".to_owned());
    let subject = entry.subject.ok_or_else(missing)?;
    history::by_id(connection, subject)
        .await?
        .ok_or_else(missing)
}

/// The first entry of the record that this entry speaks of.
async fn first_of_record(
    connection: &mut SqliteConnection,
    entry: &Entry,
) -> Result<Entry, StoreError> {
    let named = subject_of(connection, entry).await?;
    match named.subject {
        Some(_) => subject_of(connection, &named).await,
        None => Ok(named),
    }
}

/// Takes back a whole record, or only a correction of it: then what stood before counts again.
/// A void taken back brings its record back; what was settled stays settled.
async fn take_back(connection: &mut SqliteConnection, entry: &Entry) -> Result<(), StoreError> {
    let named = subject_of(connection, entry).await?;
    let applied = named.state == State::Stored;
    match named.kind {
        Kind::Choice if applied => {
            return Err(StoreError::Constraint("not_to_be_voided".to_owned()));
        }
        Kind::Void if applied => bring_back(connection, &named).await?,
        _ => {}
    }
    history::set_state(connection, named.id, State::Void, &named.problems).await?;
    match (named.kind, named.subject) {
        (Kind::Void | Kind::Choice, _) => Ok(()),
        (kind, None) => take_out(connection, kind, named.id).await,
        (_, Some(record)) => put_in_force(connection, record).await,
    }
}

/// Undoes a void: the entry it named counts again, or is held again.
async fn bring_back(connection: &mut SqliteConnection, void: &Entry) -> Result<(), StoreError> {
    let named = subject_of(connection, void).await?;
    let state = match named.values {
        Some(_) => State::Stored,
        None => State::Held,
    };
    history::set_state(connection, named.id, state, &named.problems).await?;
    put_in_force(connection, named.subject.unwrap_or(named.id)).await
}

/// Puts the newest values of a record that count in force; a record taken back stays out.
async fn put_in_force(connection: &mut SqliteConnection, record: Uuid) -> Result<(), StoreError> {
    let Some(first) = history::by_id(connection, record).await? else {
        return Ok(());
    };
    if first.state == State::Void {
        return Ok(());
    }
    match history::in_force(connection, record).await? {
        Some(Entry {
            id,
            values: Some(values),
            ..
        }) => {
            let arrival = Arrival {
                record,
                entry: id,
                arrival_no: first.arrival_no,
            };
            put(connection, arrival, &values).await
        }
        _ => take_out(connection, first.kind, record).await,
    }
}

async fn choose(connection: &mut SqliteConnection, choice: &Choice) -> Result<(), StoreError> {
    let missing = || StoreError::Constraint("no_such_entry".to_owned());
    let second = history::by_id(connection, choice.of)
        .await?
        .ok_or_else(missing)?;
    let (Some(first), State::Conflict) = (second.twin_of, second.state) else {
        return Err(StoreError::Constraint("not_in_conflict".to_owned()));
    };
    let settled = match (choice.settled, &second.values) {
        (Settled::Mistake, _) => State::Void,
        (_, None) => State::Held,
        (Settled::Correction, Some(values)) => {
            let first = history::by_id(connection, first)
                .await?
                .ok_or_else(missing)?;
            let record = first.subject.unwrap_or(first.id);
            let arrival = Arrival {
                record,
                entry: second.id,
                arrival_no: first.arrival_no,
            };
            put(connection, arrival, values).await?;
            history::set_subject(connection, second.id, record).await?;
            State::Stored
        }
        (Settled::Second, Some(_)) => {
            Box::pin(obey(connection, &second)).await?;
            State::Stored
        }
    };
    history::set_state(connection, second.id, settled, &second.problems).await
}

/// Puts a record's values in force in the tables of its room.
async fn put(
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
        Kind::Farm | Kind::Void | Kind::Choice => {
            Err(StoreError::Constraint("not_to_be_voided".to_owned()))
        }
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
    }
}

fn why_not(rule: &str) -> &'static str {
    let says = |word| rule.contains(word);
    if says("block.name") {
        "Another block has this name."
    } else if says("instrument.name") {
        "Another instrument has this name."
    } else if says("person.initials") {
        "Another person has these initials."
    } else if says("no_such_entry") {
        "The entry it speaks of is not here."
    } else if says("not_in_conflict") {
        "This has been settled before."
    } else if says("another_kind") {
        "It speaks of an entry of another kind."
    } else if says("not_to_be_voided") {
        "This can be changed but not taken back."
    } else {
        "Other entries hang on this one, or it names a block or an instrument that is not here."
    }
}

fn written_down(new: NewEntry, fingerprint: [u8; 32]) -> Entry {
    let skew_s = new
        .sent_at
        .map(|sent| (new.received_at - sent).num_seconds());
    Entry {
        arrival_no: 0,
        id: new.id,
        kind: new.kind,
        form_version: new.form_version,
        subject: new.subject,
        fields: new.fields,
        state: match new.values {
            Some(_) => State::Stored,
            None => State::Held,
        },
        values: new.values,
        rule_version: RULE_VERSION,
        problems: new.problems,
        twin_of: None,
        fingerprint,
        person: new.person,
        device_id: new.device_id,
        seq: new.seq,
        source: new.source,
        card_code: new.card_code,
        happened: new.happened,
        typed_at: new.typed_at,
        sent_at: new.sent_at,
        received_at: new.received_at,
        skew_s,
    }
}

fn receipt(entry: &Entry, outcome: Outcome) -> Receipt {
    Receipt {
        id: entry.id,
        record: entry.subject.unwrap_or(entry.id),
        state: entry.state,
        problems: entry.problems.clone(),
        outcome,
    }
}
