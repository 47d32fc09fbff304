//! The check: applies the stored entries, in order of arrival, to an empty database and compares
//! the tables row by row. Values are taken as stored; nothing is parsed again.
//! Not here: the look at the file itself, which runs first (`store::copies`).

use sqlx::{AssertSqlSafe, Connection, SqliteConnection};

use super::{Entry, State, door, history};
use crate::store::catalogue::TABLES;
use crate::store::copies::faults_of;
use crate::store::{Read, Store, StoreError, connection};

/// What the check found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Findings {
    pub entries: usize,
    /// Each table compared, with its rows.
    pub compared: Vec<(&'static str, usize)>,
    /// Tables left out, with the reason.
    pub left_out: Vec<(&'static str, &'static str)>,
    /// Differences and faults, in words; empty when all is well.
    pub faults: Vec<String>,
}

impl Store {
    /// Replays the ledger into an empty database and compares.
    pub async fn check(&self) -> Result<Findings, StoreError> {
        self.read().await?.check().await
    }
}

impl Read {
    /// Replays the ledger into an empty database and compares with what this view sees.
    pub async fn check(&mut self) -> Result<Findings, StoreError> {
        let mut findings = Findings {
            faults: faults_of(&mut self.tx).await?,
            ..Findings::default()
        };
        findings.faults.extend(self.broken_laws().await?);
        let started = self.newest_arrival().await?.unwrap_or_default();
        let mut fresh = connection::open_in_memory(started).await?;
        let mut tx = fresh.begin().await?;
        let mut after = 0;
        loop {
            let batch = self.entries_after(after).await?;
            let Some(last) = batch.last() else { break };
            after = last.arrival_no;
            findings.entries += batch.len();
            for entry in batch {
                let mut entry = as_it_arrived(entry);
                match door::settle(&mut tx, &mut entry).await {
                    Err(StoreError::Refused(why)) => {
                        let fault = format!("ledger: {} would be refused now: {why}", entry.id);
                        findings.faults.push(fault);
                    }
                    done => done?,
                }
            }
        }
        for table in TABLES {
            if let Some(why) = table.origin.left_out() {
                findings.left_out.push((table.name, why));
                continue;
            }
            let here = rows_of(&mut self.tx, table.name).await?;
            let replayed = rows_of(&mut tx, table.name).await?;
            compare(table.name, &here, &replayed, &mut findings.faults);
            findings.compared.push((table.name, here.len()));
        }
        tx.rollback().await?;
        Ok(findings)
    }

    async fn entries_after(&mut self, arrival_no: i64) -> Result<Vec<Entry>, StoreError> {
        let rows =
            sqlx::query("SELECT * FROM ledger WHERE arrival_no > ? ORDER BY arrival_no LIMIT 500")
                .bind(arrival_no)
                .fetch_all(&mut *self.tx)
                .await?;
        rows.iter().map(history::read).collect()
    }
}

/// The entry before anything became of it.
fn as_it_arrived(mut entry: Entry) -> Entry {
    entry.state = match &entry.values {
        _ if entry.came_into_conflict() => State::Conflict,
        None => State::Held,
        Some(_) => State::Stored,
    };
    entry.took_effect = None;
    entry.voided_by = None;
    if entry.values.is_some() {
        entry.problems.clear();
    }
    entry
}

/// All rows of a table as text, sorted. The name comes from the catalogue, never from outside.
/// The ledger's values are left out: they are what is replayed, and a later Endpost may write the
/// same values in other JSON.
async fn rows_of(
    connection: &mut SqliteConnection,
    table: &'static str,
) -> Result<Vec<String>, StoreError> {
    let columns: Vec<String> = sqlx::query_scalar(
        "SELECT name FROM pragma_table_info(?1) WHERE NOT (?1 = 'ledger' AND name = 'values')",
    )
    .bind(table)
    .fetch_all(&mut *connection)
    .await?;
    let quoted: Vec<String> = columns
        .iter()
        .map(|column| format!("'{column}=' || quote(\"{column}\")"))
        .collect();
    let sql = format!(
        "SELECT {} AS line FROM \"{table}\" ORDER BY line",
        quoted.join(" || ', ' || ")
    );
    Ok(sqlx::query_scalar(AssertSqlSafe(sql))
        .fetch_all(connection)
        .await?)
}

fn compare(table: &str, here: &[String], replayed: &[String], faults: &mut Vec<String>) {
    let only = |these: &[String], those: &[String]| -> Vec<String> {
        these
            .iter()
            .filter(|row| those.binary_search(row).is_err())
            .take(3)
            .cloned()
            .collect()
    };
    for row in only(here, replayed) {
        faults.push(format!("{table}: here but not in the replay: {row}"));
    }
    for row in only(replayed, here) {
        faults.push(format!("{table}: in the replay but not here: {row}"));
    }
    if here.len() != replayed.len() {
        faults.push(format!(
            "{table}: {} rows here, {} in the replay",
            here.len(),
            replayed.len()
        ));
    }
}
