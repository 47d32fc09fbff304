//! The database file: whose it is, which files are refused, how it is opened, which tables it has.
//! Not here: what entries do to it.

use std::path::Path;

use endpost::store::catalogue::TABLES;
use endpost::store::{Store, StoreError};
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, SqliteConnection};

use crate::support::entries::{arrival, entry, new_store, rain};

/// A look at the file from outside the store.
pub async fn outside(path: &Path) -> SqliteConnection {
    let options = SqliteConnectOptions::new()
        .filename(path)
        .create_if_missing(true);
    options.connect().await.unwrap()
}

pub async fn run(connection: &mut SqliteConnection, sql: &'static str) {
    sqlx::query(sql).execute(connection).await.unwrap();
}

pub async fn number(connection: &mut SqliteConnection, sql: String) -> i64 {
    sqlx::query_scalar(AssertSqlSafe(sql))
        .fetch_one(connection)
        .await
        .unwrap()
}

async fn refused(path: &Path) -> StoreError {
    match Store::open(path, arrival(1)).await {
        Err(error) => error,
        Ok(_) => panic!("{} was opened", path.display()),
    }
}

#[tokio::test]
async fn the_file_is_marked_and_keeps_a_write_ahead_log() {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    let mut connection = outside(&folder.path().join("endpost.db")).await;
    let mark = number(&mut connection, "PRAGMA application_id".to_owned()).await;
    assert_eq!(mark, i64::from(u32::from_be_bytes(*b"ENDP")));
    let journal: String = sqlx::query_scalar("PRAGMA journal_mode")
        .fetch_one(&mut connection)
        .await
        .unwrap();
    assert_eq!(journal, "wal");
}

#[tokio::test]
async fn closed_it_is_one_file_beside_the_one_that_marks_its_newest() {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.close().await;
    let mut left: Vec<String> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|file| file.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    left.sort();
    assert_eq!(left, ["endpost.db", "endpost.newest"]);
}

/// SQLite 3.51.3 mends the reset of the write-ahead log, by which 3.7.0 to 3.51.2 could lose
/// writes (sqlite.org/wal.html#walresetbug).
#[tokio::test]
async fn the_sqlite_built_in_has_the_mended_log() {
    let folder = tempfile::tempdir().unwrap();
    let mut connection = outside(&folder.path().join("any.db")).await;
    let version: String = sqlx::query_scalar("SELECT sqlite_version()")
        .fetch_one(&mut connection)
        .await
        .unwrap();
    let parts: Vec<u32> = version
        .split('.')
        .map(|part| part.parse().unwrap())
        .collect();
    assert!(parts >= vec![3, 51, 3], "it is {version}");
}

#[tokio::test]
async fn a_file_of_another_program_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("endpost.db");
    let mut connection = outside(&path).await;
    run(&mut connection, "CREATE TABLE wine (name TEXT)").await;
    connection.close().await.unwrap();
    let error = refused(&path).await;
    assert!(matches!(error, StoreError::Foreign(_)), "{error}");
    let mut connection = outside(&path).await;
    let tables = number(
        &mut connection,
        "SELECT count(*) FROM sqlite_schema".to_owned(),
    )
    .await;
    assert_eq!(tables, 1);
}

#[tokio::test]
async fn a_file_that_is_no_database_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("endpost.db");
    let text = "Dear diary, ".repeat(400);
    std::fs::write(&path, &text).unwrap();
    let error = refused(&path).await;
    assert!(matches!(error, StoreError::Foreign(_)), "{error}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
}

#[tokio::test]
async fn a_database_of_a_newer_program_is_refused_in_words() {
    let (folder, store) = new_store().await;
    store.close().await;
    let path = folder.path().join("endpost.db");
    let mut connection = outside(&path).await;
    run(
        &mut connection,
        "INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time)
         VALUES (9999, 'later', 1, x'00', 1)",
    )
    .await;
    connection.close().await.unwrap();
    let error = refused(&path).await;
    assert!(
        matches!(error, StoreError::Newer { found: 9999, .. }),
        "{error}"
    );
    assert!(
        error.to_string().contains("start the newer program"),
        "{error}"
    );
}

#[tokio::test]
async fn opened_again_it_is_the_same_house() {
    let (folder, store) = new_store().await;
    let house = store.house();
    store.close().await;
    let path = folder.path().join("endpost.db");
    let store = Store::open(&path, arrival(50)).await.unwrap();
    assert_eq!(store.house(), house);
}

#[tokio::test]
async fn the_catalogue_names_every_table() {
    let (folder, store) = new_store().await;
    store.close().await;
    let mut connection = outside(&folder.path().join("endpost.db")).await;
    let mut found: Vec<String> = sqlx::query_scalar(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'",
    )
    .fetch_all(&mut connection)
    .await
    .unwrap();
    let mut named: Vec<&str> = TABLES.iter().map(|table| table.name).collect();
    found.sort();
    named.sort_unstable();
    assert_eq!(named, found);
    for table in TABLES {
        assert!(!table.holds.is_empty(), "{} says nothing", table.name);
    }
}

/// A table that is not STRICT takes text where a number belongs.
#[tokio::test]
async fn every_table_of_ours_is_strict() {
    let (folder, store) = new_store().await;
    store.close().await;
    let mut connection = outside(&folder.path().join("endpost.db")).await;
    for table in TABLES.iter().filter(|one| one.name != "_sqlx_migrations") {
        let sql = format!("SELECT strict FROM pragma_table_list('{}')", table.name);
        assert_eq!(number(&mut connection, sql).await, 1, "{}", table.name);
    }
}

#[tokio::test]
async fn the_check_finds_a_changed_row_and_names_its_table() {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    let found = store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    assert_eq!(found.entries, 1);
    let left_out = TABLES
        .iter()
        .filter(|table| table.origin.left_out().is_some());
    assert_eq!(found.left_out.len(), left_out.count());
    let mut connection = outside(&folder.path().join("endpost.db")).await;
    run(&mut connection, "UPDATE weather SET rain_mm = 99").await;
    connection.close().await.unwrap();
    let faults = store.check().await.unwrap().faults;
    assert!(!faults.is_empty());
    assert!(
        faults.iter().all(|fault| fault.starts_with("weather:")),
        "{faults:?}"
    );
}

/// An entry is "stored" only once it would be there for another program too.
#[tokio::test]
async fn an_answered_entry_can_be_read_from_outside_at_once() {
    let (folder, store) = new_store().await;
    let mut connection = outside(&folder.path().join("endpost.db")).await;
    for number_of_entry in 1..=20u32 {
        let rain = rain(1 + number_of_entry, 1.0);
        store.enter(entry(number_of_entry, rain)).await.unwrap();
        let there = number(&mut connection, "SELECT count(*) FROM ledger".to_owned()).await;
        assert_eq!(there, i64::from(number_of_entry));
    }
}

/// What SQLite itself finds wrong in a file is found before anything is written into it.
#[tokio::test]
async fn a_damaged_file_is_refused_and_left_alone() {
    let (folder, store) = new_store().await;
    for number in 1..40 {
        store.enter(entry(number, rain(9, 1.0))).await.unwrap();
    }
    store.close().await;
    let path = folder.path().join("endpost.db");
    let mut bytes = std::fs::read(&path).unwrap();
    let page = usize::from(u16::from_be_bytes([bytes[16], bytes[17]]));
    let last = bytes.len() - page;
    // The last page alone, then all but the first, which says what kind of file it is.
    for start in [last, page] {
        bytes[start..].fill(0x5a);
        std::fs::write(&path, &bytes).unwrap();
        let error = refused(&path).await;
        assert!(matches!(error, StoreError::Damaged(_)), "{error:?}");
        assert!(error.to_string().contains("nothing was changed"), "{error}");
        assert!(std::fs::read(&path).unwrap() == bytes, "it was written on");
    }
}
