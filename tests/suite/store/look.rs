//! Looking at a farm's file without changing it, and what the check finds beyond a replay.
//! Not here: files that are refused when they are opened to write (`file`).

use endpost::store::{Store, StoreError};
use sqlx::Connection;
use tempfile::TempDir;

use super::file::{number, outside, run};
use crate::support::entries::{about, entry, held, id, new_store, rain};

/// A closed file with one rain and its correction.
async fn a_farm() -> TempDir {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(about(2, id(1), rain(9, 2.0))).await.unwrap();
    store.close().await;
    folder
}

async fn altered(folder: &TempDir, sql: &'static str) {
    let mut connection = outside(&folder.path().join("endpost.db")).await;
    run(&mut connection, sql).await;
    connection.close().await.unwrap();
}

async fn faults(folder: &TempDir) -> Vec<String> {
    let look = Store::look(&folder.path().join("endpost.db"))
        .await
        .unwrap();
    let mut read = look.read().await.unwrap();
    let found = read.check().await.unwrap();
    drop(read);
    look.close().await;
    found.faults
}

#[tokio::test]
async fn a_look_changes_no_byte() {
    let folder = a_farm().await;
    let path = folder.path().join("endpost.db");
    let before = std::fs::read(&path).unwrap();
    assert_eq!(faults(&folder).await, Vec::<String>::new());
    assert!(std::fs::read(&path).unwrap() == before, "the file changed");
}

#[tokio::test]
async fn a_look_beside_a_farm_that_is_served_sees_what_was_answered() {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    let look = Store::look(&folder.path().join("endpost.db"))
        .await
        .unwrap();
    store.enter(entry(2, rain(9, 2.0))).await.unwrap();
    let mut read = look.read().await.unwrap();
    let found = read.check().await.unwrap();
    assert_eq!((found.entries, found.faults), (2, Vec::new()));
}

#[tokio::test]
async fn another_schema_is_refused_and_not_migrated() {
    for (sql, said) in [
        ("DELETE FROM _sqlx_migrations", "brings it up to date"),
        (
            "UPDATE _sqlx_migrations SET version = 9999 WHERE version = 1",
            "start the newer program",
        ),
        (
            "UPDATE _sqlx_migrations SET checksum = x'00'",
            "the migrations failed",
        ),
    ] {
        let folder = a_farm().await;
        altered(&folder, sql).await;
        let path = folder.path().join("endpost.db");
        let before = std::fs::read(&path).unwrap();
        let error = match Store::look(&path).await {
            Err(error) => error.to_string(),
            Ok(_) => panic!("looked at after {sql}"),
        };
        assert!(error.contains(said), "{error}");
        assert!(std::fs::read(&path).unwrap() == before, "it was changed");
    }
}

#[tokio::test]
async fn a_look_makes_no_file() {
    let folder = tempfile::tempdir().unwrap();
    assert!(
        Store::look(&folder.path().join("endpost.db"))
            .await
            .is_err()
    );
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[tokio::test]
async fn a_foreign_file_keeps_its_journal_and_every_byte() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("endpost.db");
    let mut connection = outside(&path).await;
    run(&mut connection, "CREATE TABLE wine (name TEXT)").await;
    connection.close().await.unwrap();
    let before = std::fs::read(&path).unwrap();
    let opened = Store::open(&path, crate::support::entries::arrival(1)).await;
    assert!(matches!(opened, Err(StoreError::Foreign(_))));
    assert!(matches!(
        Store::look(&path).await,
        Err(StoreError::Foreign(_))
    ));
    assert!(std::fs::read(&path).unwrap() == before, "it was changed");
    let files = std::fs::read_dir(folder.path()).unwrap().count();
    assert_eq!(files, 1, "something was laid beside it");
    let mut connection = outside(&path).await;
    let journal: String = sqlx::query_scalar("PRAGMA journal_mode")
        .fetch_one(&mut connection)
        .await
        .unwrap();
    assert_eq!(journal, "delete");
}

/// A later Endpost writes the same values in other JSON; the ledger is still the same.
#[tokio::test]
async fn values_in_other_json_are_still_identical() {
    let folder = a_farm().await;
    altered(
        &folder,
        "UPDATE ledger SET \"values\" = json_set(\"values\", '$.from_a_later_form', 1)",
    )
    .await;
    assert_eq!(faults(&folder).await, Vec::<String>::new());
}

/// Faults that ledger and tables agree on, so that no replay tells them.
#[tokio::test]
async fn the_check_finds_broken_laws() {
    for (sql, said) in [
        (
            "UPDATE weather SET entry = id",
            "another of its entries is in force",
        ),
        (
            "DELETE FROM weather",
            "its first entry counts, but it is not here",
        ),
        (
            "UPDATE ledger SET state = 'held' WHERE id = record",
            "its first entry does not count",
        ),
        (
            "UPDATE ledger SET state = 'void' WHERE id <> record",
            "its state is not what became of it",
        ),
    ] {
        let folder = a_farm().await;
        altered(&folder, sql).await;
        let faults = faults(&folder).await;
        assert!(
            faults.iter().any(|one| one.contains(said)),
            "{sql}: {faults:?}"
        );
    }
}

#[tokio::test]
async fn the_check_finds_an_entry_that_counts_without_values() {
    let (folder, store) = new_store().await;
    store.enter(held(1, rain(9, 215.0), "215?")).await.unwrap();
    store.close().await;
    altered(&folder, "UPDATE ledger SET state = 'stored'").await;
    let faults = faults(&folder).await;
    let said = "counts, but has no values";
    assert!(faults.iter().any(|one| one.contains(said)), "{faults:?}");
    let mut connection = outside(&folder.path().join("endpost.db")).await;
    let rows = number(&mut connection, "SELECT count(*) FROM ledger".to_owned()).await;
    assert_eq!(rows, 1, "the check mends nothing");
}
