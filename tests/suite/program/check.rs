//! `endpost check`: identical on sound data, and it finds what was altered behind the ledger's back.

use sqlx::{Connection, SqliteConnection};

use super::{complained, demo_in, run, said};

async fn alter(database: &std::path::Path, sql: &'static str) {
    let address = format!("sqlite://{}", database.display());
    let mut connection = SqliteConnection::connect(&address)
        .await
        .expect("the database");
    let done = sqlx::query(sql)
        .execute(&mut connection)
        .await
        .expect("a write");
    assert!(done.rows_affected() > 0);
    connection.close().await.expect("closed");
}

#[tokio::test]
async fn the_demo_is_identical() {
    let folder = tempfile::tempdir().expect("a folder");
    demo_in(folder.path()).await.close().await;
    let path = folder.path().to_str().expect("a plain path");
    let checked = run(&["check", "--data", path]);
    let words = said(&checked);
    assert_eq!(checked.status.code(), Some(0), "{words}");
    assert!(words.contains("Identical"), "{words}");
    assert!(words.contains(" replayed"), "{words}");
    for left_out in ["house ", "device ", "_sqlx_migrations "] {
        assert!(words.contains(left_out), "{left_out} is not named: {words}");
    }
}

#[tokio::test]
async fn an_altered_table_is_named() {
    for (table, sql) in [
        (
            "sample_reading",
            "UPDATE sample_reading SET value = value + 1 WHERE what = 'brix' AND reading = 1 AND bag = 2",
        ),
        (
            "weather",
            "DELETE FROM weather WHERE on_date = '2027-09-07'",
        ),
        (
            "spray_product",
            "UPDATE spray_product SET harvest_days = 0 WHERE harvest_days = 7",
        ),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        demo_in(folder.path()).await.close().await;
        alter(&folder.path().join("endpost.db"), sql).await;
        let path = folder.path().to_str().expect("a plain path");
        let checked = run(&["check", "--data", path]);
        let words = said(&checked);
        assert_eq!(checked.status.code(), Some(1), "{table}: {words}");
        let faults = words.split("Faults").nth(1).unwrap_or_default();
        assert!(faults.contains(&format!("{table}: ")), "{table}: {words}");
        assert!(!words.contains("Identical:"), "{table}: {words}");
    }
}

/// Both only look: the file is the same byte by byte, and an older one is not migrated.
#[tokio::test]
async fn check_and_export_change_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    demo_in(folder.path()).await.close().await;
    let path = folder.path().to_str().expect("a plain path");
    let database = folder.path().join("endpost.db");
    let out = tempfile::tempdir().expect("a folder");
    let into = |name: &str| out.path().join(name).display().to_string();
    let before = std::fs::read(&database).expect("the file");
    let checked = run(&["check", "--data", path]);
    assert!(checked.status.success(), "{}", complained(&checked));
    let exported = run(&["export", &into("first"), "--data", path]);
    assert!(exported.status.success(), "{}", complained(&exported));
    let after = std::fs::read(&database).expect("the file");
    assert!(after == before, "the file was changed");

    alter(&database, "DELETE FROM _sqlx_migrations").await;
    let before = std::fs::read(&database).expect("the file");
    for words in [
        &["check", "--data", path][..],
        &["export", &into("second"), "--data", path],
    ] {
        let refused = run(words);
        assert_eq!(refused.status.code(), Some(1));
        let said = complained(&refused);
        assert!(said.contains("brings it up to date"), "{said}");
    }
    let after = std::fs::read(&database).expect("the file");
    assert!(after == before, "the file was changed");
    assert!(!out.path().join("second").exists());
}

#[test]
fn a_folder_without_data_is_said_and_nothing_is_made() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().to_str().expect("a plain path");
    for words in [
        &["check", "--data", path][..],
        &["export", "/nowhere/at/all", "--data", path],
    ] {
        let refused = run(words);
        assert_eq!(refused.status.code(), Some(1));
        assert!(complained(&refused).contains("there is no data in"));
    }
    assert_eq!(
        std::fs::read_dir(folder.path())
            .expect("the folder")
            .count(),
        0
    );
}
