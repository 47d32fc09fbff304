//! People in the database; what opens the door is beside them (`keys`).
//! Not here: who may do what.

mod key_rows;
mod keys;

use sqlx::SqliteConnection;
use uuid::Uuid;

pub(super) use key_rows::{Change, change, keys, keys_left};
pub(super) use keys::KeyRing;
pub use keys::{Keys, Secret, Session, Share};

use super::ledger::Arrival;
use super::{Read, StoreError, row};
use crate::science::access::Person;

pub(super) async fn put_person(
    connection: &mut SqliteConnection,
    arrival: Arrival,
    person: &Person,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO person (id, entry, initials, name, here) VALUES (?1, ?2, ?3, ?4, ?5)
         ON CONFLICT (id) DO UPDATE SET entry = ?2, initials = ?3, name = ?4, here = ?5",
    )
    .bind(arrival.record)
    .bind(arrival.entry)
    .bind(&person.initials)
    .bind(person.name.as_deref())
    .bind(person.here)
    .execute(connection)
    .await?;
    Ok(())
}

pub(super) async fn take_out_person(
    connection: &mut SqliteConnection,
    record: Uuid,
) -> Result<(), StoreError> {
    row::delete(connection, "DELETE FROM person WHERE id = ?", record).await
}

impl Read {
    /// Everybody on the list, by initials.
    pub async fn people(&mut self) -> Result<Vec<(Uuid, Person)>, StoreError> {
        let rows: Vec<(Uuid, String, Option<String>, bool)> =
            sqlx::query_as("SELECT id, initials, name, here FROM person ORDER BY initials")
                .fetch_all(&mut *self.tx)
                .await?;
        Ok(rows
            .into_iter()
            .map(|(id, initials, name, here)| {
                let person = Person {
                    initials,
                    name,
                    here,
                };
                (id, person)
            })
            .collect())
    }
}
