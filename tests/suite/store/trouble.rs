//! Faults of the file itself in the middle of the work, and what a commit is counted for.
//! Not here: what the rules of the tables hold or refuse (`door`).

use endpost::store::StoreError;
use endpost::store::ledger::{NewEntry, Outcome};
use futures_util::future::join_all;
use sqlx::Connection;
use uuid::Uuid;

use super::door::{checks, rain_that_counts};
use super::file::{number, outside, run};
use crate::support::entries::{arrival, entry, id, new_store, rain};

/// Rain of 13 mm can't be written, for a reason that is no rule of ours.
const FAULT: &str = "CREATE TRIGGER fault BEFORE INSERT ON weather WHEN new.rain_mm = 13
                     BEGIN SELECT raise(ABORT, 'disk I/O error'); END";

#[tokio::test]
async fn an_entry_that_fails_is_not_in_the_ledger_and_its_neighbours_are() {
    let (folder, store) = new_store().await;
    let mut connection = outside(&folder.path().join("endpost.db")).await;
    run(&mut connection, FAULT).await;
    let all = [(1, 1.0), (2, 13.0), (3, 3.0)];
    let answers =
        join_all(all.map(|(number, mm)| store.enter(entry(number, rain(number, mm))))).await;
    assert!(
        matches!(answers[1], Err(StoreError::Database(_))),
        "{answers:?}"
    );
    assert!(answers[0].is_ok() && answers[2].is_ok(), "{answers:?}");
    assert_eq!(rain_that_counts(&store).await, [1.0, 3.0]);
    let mut read = store.read().await.unwrap();
    assert_eq!(read.entry(id(2)).await.unwrap(), None);
    drop(read);
    checks(&store).await;

    run(&mut connection, "DROP TRIGGER fault").await;
    connection.close().await.unwrap();
    let again = store.enter(entry(2, rain(2, 13.0))).await.unwrap();
    assert_eq!(again.outcome, Outcome::New, "sent again it is stored");
    checks(&store).await;
}

#[tokio::test]
async fn of_many_together_a_fault_leaves_none() {
    let (folder, store) = new_store().await;
    let mut connection = outside(&folder.path().join("endpost.db")).await;
    run(&mut connection, FAULT).await;
    let all = vec![entry(1, rain(1, 1.0)), entry(2, rain(2, 13.0))];
    assert!(store.enter_all(all).await.is_err());
    assert_eq!(store.commits(), 0);
    assert_eq!(rain_that_counts(&store).await, Vec::<f64>::new());
    checks(&store).await;
}

fn from_phone(number: u32, phone: Uuid, seq: i64) -> NewEntry {
    NewEntry {
        device_id: Some(phone),
        seq: Some(seq),
        ..entry(number, rain(number, 1.0))
    }
}

/// The mark of a phone is part of its entry: one commit, none for a repeat.
#[tokio::test]
async fn a_phone_is_marked_with_its_entry_and_not_before() {
    let (folder, store) = new_store().await;
    let phone = id(900);
    let before = store.commits();
    store.enter(from_phone(1, phone, 7)).await.unwrap();
    assert_eq!(store.commits(), before + 1);
    store.enter(from_phone(1, phone, 7)).await.unwrap();
    assert_eq!(store.commits(), before + 1, "a repeat changes nothing");
    store.enter(from_phone(3, phone, 6)).await.unwrap();
    let mut connection = outside(&folder.path().join("endpost.db")).await;
    let marks: (i64, i64, i64) =
        sqlx::query_as("SELECT first_seen, last_seen, last_seq FROM device")
            .fetch_one(&mut connection)
            .await
            .unwrap();
    let ms = |number| arrival(number).timestamp_millis();
    assert_eq!(marks, (ms(1), ms(3), 7));
    let phones = number(&mut connection, "SELECT count(*) FROM device".to_owned()).await;
    assert_eq!(phones, 1);
}
