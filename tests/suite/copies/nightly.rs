//! The copies that nobody asks for: one a night, said on every page when it comes to nothing, none
//! of a damaged database, and a full look at the database once a week.

use std::path::Path;

use endpost::clock::Clock;
use endpost::program::copies::copies_in;
use endpost::program::copies::nightly::Keeper;
use endpost::store::Store;
use endpost::web::copies::Keeping;
use sqlx::Connection;
use tempfile::TempDir;

use super::data_in;
use crate::store::file::{outside, run};
use crate::support::entries::{entry, new_store, rain};
use crate::support::farm::moment;

fn keeper(folder: &TempDir, store: &Store, keeping: &Keeping, now: &str) -> Keeper {
    Keeper {
        folder: data_in(folder),
        store: store.clone(),
        clock: Clock::starting_at(moment(now)),
        keeping: keeping.clone(),
        place: None,
    }
}

fn how_many(folder: &Path) -> usize {
    copies_in(folder).expect("the copies").len()
}

#[tokio::test]
async fn one_is_made_a_night() {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(1, 1.0))).await.unwrap();
    let keeping = Keeping::default();
    let copies = data_in(&folder).copies();
    for (now, wanted) in [
        ("2027-09-10T11:00:00Z", 1),
        ("2027-09-10T11:10:00Z", 1),
        ("2027-09-11T01:50:00Z", 1),
        ("2027-09-11T02:00:00Z", 2),
        ("2027-09-11T23:00:00Z", 2),
        ("2027-09-14T12:00:00Z", 3),
    ] {
        keeper(&folder, &store, &keeping, now).look().await;
        assert_eq!(how_many(&copies), wanted, "{now}");
        assert_eq!(keeping.now().copies.len(), wanted);
    }
    assert_eq!(keeping.alarms(), Vec::<String>::new());
}

#[tokio::test]
async fn one_that_comes_to_nothing_is_said_and_tried_again_after_an_hour() {
    let (folder, store) = new_store().await;
    let keeping = Keeping::default();
    let copies = data_in(&folder).copies();
    std::fs::remove_dir(&copies).unwrap();
    std::fs::write(&copies, "in the way").unwrap();
    let keeper_at = |now: &str| Keeper {
        clock: Clock::starting_at(moment(now)),
        folder: endpost::program::folder::Folder::named(Some(folder.path())).unwrap(),
        store: store.clone(),
        keeping: keeping.clone(),
        place: None,
    };
    keeper_at("2027-09-10T11:00:00Z").look().await;
    let said = keeping.alarms().join("\n");
    assert!(
        said.contains("No copy of the farm's data could be made"),
        "{said}"
    );
    std::fs::remove_file(&copies).unwrap();
    std::fs::create_dir(&copies).unwrap();
    keeper_at("2027-09-10T11:30:00Z").look().await;
    assert_eq!(how_many(&copies), 0, "not before an hour");
    keeper_at("2027-09-10T12:01:00Z").look().await;
    assert_eq!(how_many(&copies), 1);
    assert_eq!(keeping.alarms(), Vec::<String>::new());
}

#[tokio::test]
async fn of_a_damaged_database_none_is_made_and_none_goes() {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(1, 1.0))).await.unwrap();
    let keeping = Keeping::default();
    let copies = data_in(&folder).copies();
    for day in 1..=9 {
        let now = format!("2027-09-{day:02}T11:00:00Z");
        keeper(&folder, &store, &keeping, &now).look().await;
    }
    let before = copies_in(&copies).unwrap();
    store.close().await;
    let path = data_in(&folder).database();
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[4096..].fill(0x5a);
    std::fs::write(&path, bytes).unwrap();
    let damaged = Store::open_damaged(&path, "a test").await;
    let now = "2027-09-20T11:00:00Z";
    keeper(&folder, &damaged, &keeping, now).look().await;
    assert_eq!(copies_in(&copies).unwrap(), before);
}

#[tokio::test]
async fn faults_that_only_the_full_look_finds_are_said() {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(1, 1.0))).await.unwrap();
    let keeping = Keeping::default();
    keeper(&folder, &store, &keeping, "2027-09-10T11:00:00Z")
        .look()
        .await;
    assert_eq!(keeping.now().looked.unwrap().1, 0);
    let mut connection = outside(&data_in(&folder).database()).await;
    run(&mut connection, "PRAGMA foreign_keys = OFF").await;
    run(
        &mut connection,
        "INSERT INTO spray_block (spray, place, block) VALUES (randomblob(16), 1, randomblob(16))",
    )
    .await;
    connection.close().await.unwrap();
    keeper(&folder, &store, &keeping, "2027-09-16T11:00:00Z")
        .look()
        .await;
    assert_eq!(keeping.now().looked.unwrap().1, 0, "a week has not gone by");
    keeper(&folder, &store, &keeping, "2027-09-18T11:00:00Z")
        .look()
        .await;
    let said = keeping.alarms().join("\n");
    assert!(said.contains("The database has faults"), "{said}");
}
