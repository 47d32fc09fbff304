//! Laws of the ledger that a replay can't see, since it would break them in the same way: what
//! counts has values, and the record tables hold what is in force and nothing else.
//! Not here: the replay (`replay`).

use sqlx::AssertSqlSafe;

use super::Kind;
use crate::store::{Read, StoreError};

/// The table that has a row for each record of a kind.
fn table_of(kind: Kind) -> Option<&'static str> {
    Some(match kind {
        Kind::Farm => "farm",
        Kind::Person => "person",
        Kind::Block => "block",
        Kind::Rows => "block_rows",
        Kind::Vine => "vine_event",
        Kind::Instrument => "instrument",
        Kind::Target => "target",
        Kind::Assumptions => "assumptions",
        Kind::Sample => "sample",
        Kind::Weather => "weather",
        Kind::Spray => "spray",
        Kind::Clusters => "cluster_card",
        Kind::Card => "card",
        Kind::DayList => "day_list",
        Kind::SeasonClosed => "season_closed",
        Kind::Unread | Kind::Void | Kind::Choice => return None,
    })
}

const COUNTS_WITHOUT_VALUES: &str = r#"
    SELECT lower(hex(id)) FROM ledger AS one
    WHERE state = 'stored' AND "values" IS NULL AND NOT EXISTS (
      SELECT 1 FROM ledger AS later
      WHERE later.record = one.record AND later.arrival_no > one.arrival_no
        AND later.took_effect IS NOT NULL AND later.voided_by IS NULL)"#;

const STATE_BESIDE_THE_FACTS: &str = "
    SELECT lower(hex(id)) FROM ledger
    WHERE (state = 'void') <> (voided_by IS NOT NULL OR own_state = 'void')
       OR (took_effect IS NOT NULL AND own_state <> 'stored')
       OR (kind NOT IN ('void', 'choice') AND own_state = 'stored' AND took_effect IS NULL)
       OR (voided_by IS NOT NULL AND voided_by NOT IN
             (SELECT id FROM ledger WHERE kind = 'void' AND voided_by IS NULL))";

impl Read {
    /// The laws that are broken, in words.
    pub(super) async fn broken_laws(&mut self) -> Result<Vec<String>, StoreError> {
        let mut faults = Vec::new();
        for (sql, what) in [
            (COUNTS_WITHOUT_VALUES, "counts, but has no values"),
            (STATE_BESIDE_THE_FACTS, "its state is not what became of it"),
        ] {
            for id in self.ids(sql.to_owned()).await? {
                faults.push(format!("ledger: {id}: {what}"));
            }
        }
        for kind in Kind::ALL {
            let Some(table) = table_of(*kind) else {
                continue;
            };
            let first = format!(
                "SELECT id FROM ledger WHERE id = record AND kind = '{}' AND state = 'stored'",
                kind.word()
            );
            let in_force = "SELECT id FROM ledger AS one WHERE one.record = here.id
                AND took_effect IS NOT NULL AND voided_by IS NULL
                ORDER BY took_effect DESC LIMIT 1";
            for (sql, what) in [
                (
                    format!("SELECT lower(hex(id)) FROM {table} WHERE id NOT IN ({first})"),
                    "is here, but its first entry does not count",
                ),
                (
                    format!(
                        "SELECT lower(hex(id)) FROM ({first}) WHERE id NOT IN (SELECT id FROM {table})"
                    ),
                    "its first entry counts, but it is not here",
                ),
                (
                    format!(
                        "SELECT lower(hex(id)) FROM {table} AS here WHERE entry IS NOT ({in_force})"
                    ),
                    "another of its entries is in force",
                ),
            ] {
                for id in self.ids(sql).await? {
                    faults.push(format!("{table}: {id}: {what}"));
                }
            }
        }
        Ok(faults)
    }

    /// The ids a statement of this file finds; all of its words are our own.
    async fn ids(&mut self, sql: String) -> Result<Vec<String>, StoreError> {
        Ok(sqlx::query_scalar(AssertSqlSafe(sql))
            .fetch_all(&mut *self.tx)
            .await?)
    }
}
