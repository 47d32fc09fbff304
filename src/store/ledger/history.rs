//! Entries written into the ledger and read again, with what became of each.
//! Not here: what an entry does (`door`).

use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use sqlx::sqlite::SqliteRow;
use sqlx::{Row, SqliteConnection};
use uuid::Uuid;

use super::{Fields, Happened, Kind, Source, State, Values};
use crate::store::row::{self, Batch};
use crate::store::{Read, StoreError};

/// An entry as the ledger keeps it.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    pub arrival_no: i64,
    pub id: Uuid,
    pub kind: Kind,
    pub form_version: u16,
    pub subject: Option<Uuid>,
    /// The record it belongs to: the id of its first entry.
    pub record: Uuid,
    pub fields: Fields,
    pub values: Option<Values>,
    pub rule_version: u16,
    pub state: State,
    /// By which arrival its values came to count; none if they never did.
    pub took_effect: Option<i64>,
    /// The entry that takes it back.
    pub voided_by: Option<Uuid>,
    pub problems: Vec<String>,
    /// The version of the record that a change began with.
    pub base: Option<Uuid>,
    /// The version that counted when the change arrived, if that was another.
    pub overtaken_by: Option<Uuid>,
    pub twin_of: Option<Uuid>,
    pub fingerprint: [u8; 32],
    pub person: Option<String>,
    pub device_id: Option<Uuid>,
    pub seq: Option<i64>,
    /// The session by which it came.
    pub came_by: Option<Uuid>,
    /// The page carried no id, so that this one was made here.
    pub no_client_id: bool,
    pub source: Source,
    pub card_code: Option<String>,
    pub happened: Happened,
    pub typed_at: Option<DateTime<Utc>>,
    pub sent_at: Option<DateTime<Utc>>,
    pub received_at: DateTime<Utc>,
    pub skew_s: Option<i64>,
}

impl Entry {
    /// Whether it arrived beside another that says other things, so that somebody has to choose.
    pub fn came_into_conflict(&self) -> bool {
        self.twin_of.is_some() || self.overtaken_by.is_some()
    }
}

/// Writes one entry down under the next arrival number.
pub(super) async fn insert(
    connection: &mut SqliteConnection,
    entry: &mut Entry,
) -> Result<(), StoreError> {
    entry.arrival_no = newest(connection).await? + 1;
    let mut batch = Batch::default();
    insert_all(&mut batch, std::slice::from_ref(entry))?;
    batch.run(connection).await
}

/// Writes entries down that have their arrival numbers.
pub(super) fn insert_all(batch: &mut Batch, entries: &[Entry]) -> Result<(), StoreError> {
    let json = |error: serde_json::Error| StoreError::unreadable("ledger", error);
    let texts = entries.iter().map(|entry| {
        Ok([
            Some(serde_json::to_string(&entry.fields)?),
            entry.values.as_ref().map(Values::to_json).transpose()?,
            Some(serde_json::to_string(&entry.problems)?),
        ])
    });
    let texts: Vec<_> = texts.collect::<Result<_, _>>().map_err(json)?;
    batch.insert(
        r#"INSERT INTO ledger (arrival_no, took_effect, id, kind, form_version, subject, record,
             fields, "values", problems, rule_version, state, own_state, twin_of, fingerprint,
             person, device_id, seq, source, card_code, happened_date, happened_time,
             happened_offset, typed_at, sent_at, received_at, skew_s, base, overtaken_by,
             no_client_id, came_by) "#,
        entries.iter().zip(texts),
        |row, (entry, [fields, values, problems])| {
            row.push_bind(entry.arrival_no)
                .push_bind(entry.took_effect)
                .push_bind(entry.id)
                .push_bind(entry.kind.word())
                .push_bind(entry.form_version)
                .push_bind(entry.subject)
                .push_bind(entry.record)
                .push_bind(fields)
                .push_bind(values)
                .push_bind(problems)
                .push_bind(entry.rule_version)
                .push_bind(entry.state.word())
                .push_bind(entry.state.word())
                .push_bind(entry.twin_of)
                .push_bind(entry.fingerprint.to_vec())
                .push_bind(entry.person.clone())
                .push_bind(entry.device_id)
                .push_bind(entry.seq)
                .push_bind(entry.source.word())
                .push_bind(entry.card_code.clone())
                .push_bind(entry.happened.date)
                .push_bind(row::clock(entry.happened.time))
                .push_bind(entry.happened.offset)
                .push_bind(entry.typed_at.map(|at| at.timestamp_millis()))
                .push_bind(entry.sent_at.map(|at| at.timestamp_millis()))
                .push_bind(entry.received_at.timestamp_millis())
                .push_bind(entry.skew_s)
                .push_bind(entry.base)
                .push_bind(entry.overtaken_by)
                .push_bind(entry.no_client_id)
                .push_bind(entry.came_by);
        },
    );
    Ok(())
}

/// Holds an entry for the reasons given. They stay with it whatever becomes of it.
pub(super) async fn hold(
    connection: &mut SqliteConnection,
    id: Uuid,
    problems: &[String],
) -> Result<(), StoreError> {
    let problems = serde_json::to_string(problems);
    sqlx::query("UPDATE ledger SET own_state = 'held', state = 'held', problems = ? WHERE id = ?")
        .bind(problems.map_err(|error| StoreError::unreadable("ledger", error))?)
        .bind(id)
        .execute(connection)
        .await?;
    Ok(())
}

pub(super) async fn set_own_state(
    connection: &mut SqliteConnection,
    id: Uuid,
    own: State,
) -> Result<(), StoreError> {
    sqlx::query("UPDATE ledger SET own_state = ? WHERE id = ?")
        .bind(own.word())
        .bind(id)
        .execute(connection)
        .await?;
    Ok(())
}

/// Lets the values of an entry count from an arrival on.
pub(super) async fn count(
    connection: &mut SqliteConnection,
    id: Uuid,
    took_effect: i64,
) -> Result<(), StoreError> {
    sqlx::query("UPDATE ledger SET own_state = 'stored', took_effect = ? WHERE id = ?")
        .bind(took_effect)
        .bind(id)
        .execute(connection)
        .await?;
    Ok(())
}

/// Says by what an entry is taken back; by nothing, if it is none any more.
pub(super) async fn void(
    connection: &mut SqliteConnection,
    id: Uuid,
    by: Option<Uuid>,
) -> Result<(), StoreError> {
    sqlx::query("UPDATE ledger SET voided_by = ? WHERE id = ?")
        .bind(by)
        .bind(id)
        .execute(connection)
        .await?;
    Ok(())
}

/// Moves an entry, and all that was said about it, to another record.
pub(super) async fn move_to(
    connection: &mut SqliteConnection,
    id: Uuid,
    record: Uuid,
) -> Result<(), StoreError> {
    sqlx::query("UPDATE ledger SET record = ?2 WHERE id = ?1 OR record = ?1")
        .bind(id)
        .bind(record)
        .execute(connection)
        .await?;
    Ok(())
}

/// Works out what became of each entry of a record: void as long as something takes it back, and
/// settled, if it was held, as long as a later entry of the record counts.
pub(super) async fn restate(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    sqlx::query(
        "UPDATE ledger SET state = CASE
           WHEN voided_by IS NOT NULL THEN 'void'
           WHEN own_state = 'held' AND EXISTS (
             SELECT 1 FROM ledger AS later
             WHERE later.record = ledger.record AND later.arrival_no > ledger.arrival_no
               AND later.took_effect IS NOT NULL AND later.voided_by IS NULL) THEN 'stored'
           ELSE own_state END
         WHERE record = ?",
    )
    .bind(record)
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn by_id(
    connection: &mut SqliteConnection,
    id: Uuid,
) -> Result<Option<Entry>, StoreError> {
    let row = sqlx::query("SELECT * FROM ledger WHERE id = ?")
        .bind(id)
        .fetch_optional(connection)
        .await?;
    row.as_ref().map(read).transpose()
}

pub(super) async fn twin(
    connection: &mut SqliteConnection,
    of: Uuid,
    fingerprint: [u8; 32],
) -> Result<Option<Entry>, StoreError> {
    let row = sqlx::query("SELECT * FROM ledger WHERE twin_of = ? AND fingerprint = ?")
        .bind(of)
        .bind(fingerprint.as_slice())
        .fetch_optional(connection)
        .await?;
    row.as_ref().map(read).transpose()
}

/// The entry whose values took effect last in a record and were not taken back.
pub(super) async fn in_force(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<Option<Entry>, StoreError> {
    let row = sqlx::query(
        "SELECT * FROM ledger WHERE record = ? AND took_effect IS NOT NULL AND voided_by IS NULL
         ORDER BY took_effect DESC LIMIT 1",
    )
    .bind(record)
    .fetch_optional(connection)
    .await?;
    row.as_ref().map(read).transpose()
}

/// What is in force for a record where a change of it began with another version. A change that
/// mends a held one overtakes nothing.
pub(super) async fn overtaken_by(
    connection: &mut SqliteConnection,
    record: Uuid,
    base: Uuid,
) -> Result<Option<Entry>, StoreError> {
    let Some(now) = in_force(connection, record).await? else {
        return Ok(None);
    };
    if now.id == base {
        return Ok(None);
    }
    let began_with = by_id(connection, base).await?;
    let mends = began_with.is_some_and(|base| base.state == State::Held);
    Ok((!mends).then_some(now))
}

/// The newest entry with the same contents that came from a device since a moment.
pub(super) async fn same_since(
    connection: &mut SqliteConnection,
    entry: &Entry,
    since: DateTime<Utc>,
) -> Result<Option<Uuid>, StoreError> {
    Ok(sqlx::query_scalar(
        "SELECT id FROM ledger WHERE device_id = ? AND fingerprint = ? AND received_at >= ?
         ORDER BY arrival_no DESC LIMIT 1",
    )
    .bind(entry.device_id)
    .bind(entry.fingerprint.as_slice())
    .bind(since.timestamp_millis())
    .fetch_optional(connection)
    .await?)
}

/// When the newest entry came in by the clocks of that time.
pub(super) async fn latest_moment(
    connection: &mut SqliteConnection,
) -> Result<Option<DateTime<Utc>>, StoreError> {
    let latest: Option<i64> = sqlx::query_scalar("SELECT max(received_at) FROM ledger")
        .fetch_one(connection)
        .await?;
    latest.map(moment).transpose()
}

/// The newest arrival number; it moves with every entry.
pub(crate) async fn newest(connection: &mut SqliteConnection) -> Result<i64, sqlx::Error> {
    sqlx::query_scalar("SELECT coalesce(max(arrival_no), 0) FROM ledger")
        .fetch_one(connection)
        .await
}

impl Read {
    /// One entry, whatever became of it.
    pub async fn entry(&mut self, id: Uuid) -> Result<Option<Entry>, StoreError> {
        by_id(&mut self.tx, id).await
    }

    /// Whether all that ever counted of a record came by one session.
    pub async fn came_by_one(&mut self, record: Uuid, session: Uuid) -> Result<bool, StoreError> {
        Ok(sqlx::query_scalar(
            "SELECT NOT EXISTS (SELECT 1 FROM ledger WHERE record = ? AND came_by IS NOT ?
               AND state IN ('stored', 'void'))",
        )
        .bind(record)
        .bind(session)
        .fetch_one(&mut *self.tx)
        .await?)
    }

    /// The first entry of the record that an entry belongs to.
    pub async fn first_of_record(&mut self, id: Uuid) -> Result<Option<Entry>, StoreError> {
        match self.entry(id).await? {
            Some(entry) if entry.record != id => self.entry(entry.record).await,
            entry => Ok(entry),
        }
    }

    /// The entry whose values are in force for a record, or would be if the record counted.
    pub async fn entry_in_force(&mut self, record: Uuid) -> Result<Option<Entry>, StoreError> {
        in_force(&mut self.tx, record).await
    }

    /// What is in force for a record where a change of it began with another version.
    pub async fn overtaken_by(
        &mut self,
        record: Uuid,
        base: Uuid,
    ) -> Result<Option<Entry>, StoreError> {
        overtaken_by(&mut self.tx, record, base).await
    }

    /// All that was ever entered about one record, oldest first.
    pub async fn history(&mut self, record: Uuid) -> Result<Vec<Entry>, StoreError> {
        let rows = sqlx::query(
            "SELECT * FROM ledger WHERE record = ?1 OR subject = ?1 OR twin_of = ?1
             ORDER BY arrival_no",
        )
        .bind(record)
        .fetch_all(&mut *self.tx)
        .await?;
        rows.iter().map(read).collect()
    }

    /// Entries kept as typed or in conflict, oldest first.
    pub async fn need_a_look(&mut self) -> Result<Vec<Entry>, StoreError> {
        let rows = sqlx::query(
            "SELECT * FROM ledger WHERE state IN ('held', 'conflict') ORDER BY arrival_no",
        )
        .fetch_all(&mut *self.tx)
        .await?;
        rows.iter().map(read).collect()
    }

    /// How many entries wait for a look.
    pub async fn how_many_need_a_look(&mut self) -> Result<i64, StoreError> {
        Ok(
            sqlx::query_scalar("SELECT count(*) FROM ledger WHERE state IN ('held', 'conflict')")
                .fetch_one(&mut *self.tx)
                .await?,
        )
    }

    /// Whether a spray was kept as typed, so that nobody knows what it closes.
    pub async fn spray_needs_a_look(&mut self) -> Result<bool, StoreError> {
        Ok(sqlx::query_scalar(
            "SELECT EXISTS (SELECT 1 FROM ledger
                            WHERE state IN ('held', 'conflict') AND kind = 'spray')",
        )
        .fetch_one(&mut *self.tx)
        .await?)
    }

    /// The newest moment at which anything came in, by the clocks of that time.
    pub async fn latest_moment(&mut self) -> Result<Option<DateTime<Utc>>, StoreError> {
        latest_moment(&mut self.tx).await
    }

    /// When the newest entry came in: what a printed sheet's "data up to" says.
    pub async fn newest_arrival(&mut self) -> Result<Option<DateTime<Utc>>, StoreError> {
        let newest: Option<i64> =
            sqlx::query_scalar("SELECT received_at FROM ledger ORDER BY arrival_no DESC LIMIT 1")
                .fetch_optional(&mut *self.tx)
                .await?;
        newest.map(moment).transpose()
    }
}

pub(super) fn moment(ms: i64) -> Result<DateTime<Utc>, StoreError> {
    row::moment("ledger", ms)
}

pub(crate) fn read(row: &SqliteRow) -> Result<Entry, StoreError> {
    let bad = |why: String| StoreError::unreadable("ledger", why);
    let word = |column: &str| -> Result<String, StoreError> { Ok(row.try_get(column)?) };
    let kind = word("kind")?;
    let kind = Kind::of_word(&kind).ok_or_else(|| bad(format!("the kind {kind}")))?;
    let source = word("source")?;
    let state = word("state")?;
    let values: Option<String> = row.try_get("values")?;
    let time: Option<String> = row.try_get("happened_time")?;
    let date: Option<NaiveDate> = row.try_get("happened_date")?;
    let at = |column: &str| -> Result<Option<DateTime<Utc>>, StoreError> {
        row.try_get::<Option<i64>, _>(column)?
            .map(moment)
            .transpose()
    };
    Ok(Entry {
        arrival_no: row.try_get("arrival_no")?,
        id: row.try_get("id")?,
        kind,
        form_version: row.try_get("form_version")?,
        subject: row.try_get("subject")?,
        record: row.try_get("record")?,
        fields: serde_json::from_str(&word("fields")?).map_err(|e| bad(e.to_string()))?,
        values: values
            .map(|json| Values::from_json(kind, &json))
            .transpose()
            .map_err(|error| bad(error.to_string()))?,
        rule_version: row.try_get("rule_version")?,
        state: State::of_word(&state).ok_or_else(|| bad(format!("the state {state}")))?,
        took_effect: row.try_get("took_effect")?,
        voided_by: row.try_get("voided_by")?,
        problems: serde_json::from_str(&word("problems")?).map_err(|e| bad(e.to_string()))?,
        base: row.try_get("base")?,
        overtaken_by: row.try_get("overtaken_by")?,
        twin_of: row.try_get("twin_of")?,
        fingerprint: row
            .try_get::<Vec<u8>, _>("fingerprint")?
            .try_into()
            .map_err(|_| bad("a fingerprint of another length".to_owned()))?,
        person: row.try_get("person")?,
        device_id: row.try_get("device_id")?,
        seq: row.try_get("seq")?,
        came_by: row.try_get("came_by")?,
        no_client_id: row.try_get("no_client_id")?,
        source: Source::of_word(&source).ok_or_else(|| bad(format!("the source {source}")))?,
        card_code: row.try_get("card_code")?,
        happened: Happened {
            date,
            time: time.and_then(|time| NaiveTime::parse_from_str(&time, "%H:%M").ok()),
            offset: row.try_get("happened_offset")?,
        },
        typed_at: at("typed_at")?,
        sent_at: at("sent_at")?,
        received_at: at("received_at")?
            .ok_or_else(|| bad("an entry without its arrival".to_owned()))?,
        skew_s: row.try_get("skew_s")?,
    })
}
