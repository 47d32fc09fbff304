//! A database of an earlier schema is brought up to date and keeps what was written down.
//! Not here: that landed migrations stay as they are (`tidy`), which files are refused (`file`).

use std::borrow::Cow;
use std::path::Path;

use endpost::store::Store;
use endpost::store::ledger::State;
use sqlx::migrate::Migrator;
use sqlx::{Connection, SqliteConnection};
use tempfile::TempDir;

use super::door::{checks, kept, rain_that_counts};
use super::file::{outside, run};
use crate::support::entries::{arrival, entry, id, new_store, rain};

/// All that stands in a ledger, column by column in the order of their names.
async fn ledger(path: &Path) -> Vec<String> {
    let mut connection = outside(path).await;
    let columns: Vec<String> =
        sqlx::query_scalar("SELECT name FROM pragma_table_info('ledger') ORDER BY name")
            .fetch_all(&mut connection)
            .await
            .unwrap();
    let columns: Vec<String> = columns
        .iter()
        .map(|name| format!("'{name}', quote(\"{name}\")"))
        .collect();
    let sql = format!(
        "SELECT json_object({}) FROM ledger ORDER BY arrival_no",
        columns.join(", ")
    );
    let rows = sqlx::query_scalar(sqlx::AssertSqlSafe(sql))
        .fetch_all(&mut connection)
        .await
        .unwrap();
    connection.close().await.unwrap();
    rows
}

async fn up_to(version: i64) -> Migrator {
    let all = Migrator::new(Path::new("migrations")).await.unwrap();
    let mut early: Vec<_> = all.iter().cloned().collect();
    early.retain(|one| one.version <= version);
    Migrator {
        migrations: Cow::Owned(early),
        ..Migrator::DEFAULT
    }
}

/// An empty database of an earlier schema, as the program of that time made it.
async fn of_schema(path: &Path, version: i64) -> SqliteConnection {
    let mut connection = outside(path).await;
    run(&mut connection, "PRAGMA application_id = 0x454E4450").await;
    up_to(version).await.run(&mut connection).await.unwrap();
    connection
}

/// The same of schema 6, after its first start.
pub async fn of_schema_6(path: &Path) {
    let mut connection = of_schema(path, 6).await;
    run(
        &mut connection,
        "INSERT INTO house (one, server_id, db_epoch, created_at)
         VALUES (1, randomblob(16), randomblob(16), 0)",
    )
    .await;
    connection.close().await.unwrap();
}

/// The same farm in a database of schema 6, before the ledger moved to its new table.
async fn in_schema_6(today: &Path, path: &Path) {
    let mut connection = of_schema(path, 6).await;
    sqlx::query("ATTACH ? AS today")
        .bind(today.to_str().unwrap())
        .execute(&mut connection)
        .await
        .unwrap();
    let columns: Vec<String> =
        sqlx::query_scalar("SELECT '\"' || name || '\"' FROM pragma_table_info('ledger')")
            .fetch_all(&mut connection)
            .await
            .unwrap();
    let columns = columns.join(", ");
    let sql = format!("INSERT INTO ledger ({columns}) SELECT {columns} FROM today.ledger");
    sqlx::query(sqlx::AssertSqlSafe(sql))
        .execute(&mut connection)
        .await
        .unwrap();
    run(
        &mut connection,
        "INSERT INTO house SELECT * FROM today.house",
    )
    .await;
    run(
        &mut connection,
        "INSERT INTO weather SELECT * FROM today.weather",
    )
    .await;
    connection.close().await.unwrap();
}

/// A farm of schema 6 with so many notes of rain, and no other files beside its database.
pub async fn older_farm(entries: u32) -> TempDir {
    let (today, store) = new_store().await;
    for number in 1..=entries {
        let rain = rain(1 + number % 28, 2.0);
        store.enter(entry(number, rain)).await.unwrap();
    }
    store.close().await;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("endpost.db");
    in_schema_6(&today.path().join("endpost.db"), &path).await;
    folder
}

/// Holds that such a farm can be brought up to date with all that it had.
pub async fn comes_up_to_date(folder: &Path, entries: u32) {
    let store = Store::open(&folder.join("endpost.db"), arrival(400)).await;
    let store = store.unwrap();
    let mut read = store.read().await.unwrap();
    for number in 1..=entries {
        let state = read.state_of(id(number)).await.unwrap();
        assert_eq!(state, Some(State::Stored), "entry {number}");
    }
    drop(read);
    checks(&store).await;
    store.close().await;
}

#[tokio::test]
async fn the_ledger_moves_whole_to_its_new_table() {
    // The entries of a store of today, among them two of one id that say different things.
    let (folder, store) = new_store().await;
    for day in 1..=5 {
        store.enter(entry(day, rain(day, 2.0))).await.unwrap();
    }
    store.enter(entry(5, rain(5, 3.0))).await.unwrap();
    store.close().await;
    let today = folder.path().join("endpost.db");
    let written = ledger(&today).await;
    assert_eq!(written.len(), 6);

    let path = folder.path().join("of_schema_6.db");
    in_schema_6(&today, &path).await;
    let store = Store::open(&path, arrival(60)).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, [2.0; 5]);
    let again = store.enter(entry(5, rain(5, 3.0))).await.unwrap();
    assert_ne!(
        again.id,
        id(5),
        "the second of the two is known by its contents"
    );
    store.enter(entry(6, rain(6, 2.0))).await.unwrap();
    assert_eq!(kept(&store, id(6)).await.arrival_no, 7);
    checks(&store).await;
    store.close().await;
    assert_eq!(ledger(&path).await[..6], written);
}
