//! An older copy of the database put back: a new epoch, said in words, and phones that offer again
//! what is missing. Not here: making copies (`program`).

use std::path::Path;

use serde_json::json;

use crate::support::entries::id;
use crate::support::farm::{Farm, MORNING};
use crate::support::phone::{Phone, rain};

/// Puts a copy in the place of the database, as somebody would by hand.
pub fn put_back(folder: &Path, copy: &[u8]) {
    for left in ["endpost.db-wal", "endpost.db-shm"] {
        // Closed in order, the database left neither.
        let _ = std::fs::remove_file(folder.join(left));
    }
    std::fs::write(folder.join("endpost.db"), copy).expect("the copy in its place");
}

/// A farm whose database is a copy from before the second of two entries.
async fn with_an_older_copy(phone: &mut Phone) -> (Farm, [serde_json::Value; 2]) {
    let farm = Farm::started().await;
    let entries = [rain(phone, id(1), "0.1"), rain(phone, id(2), "0.2")];
    farm.put(&entries[0]).await;
    let folder = farm.close().await;
    let copy = std::fs::read(folder.path().join("endpost.db")).expect("the database");
    let farm = Farm::in_folder(folder, MORNING).await;
    farm.put(&entries[1]).await;
    let folder = farm.close().await;
    put_back(folder.path(), &copy);
    (Farm::in_folder(folder, MORNING).await, entries)
}

#[tokio::test]
async fn an_older_copy_begins_a_new_epoch_and_phones_send_what_is_missing() {
    let mut phone = Phone::new(1);
    let (farm, entries) = with_an_older_copy(&mut phone).await;
    assert!(farm.store.older_copy_put_back());
    farm.get("/")
        .await
        .says("An older copy of the data was put back.");
    let question = json!({"device": phone.device, "seq": 2, "waiting": 0, "ids": [id(1), id(2)]});
    let answer = farm.receipts(&question).await;
    assert_eq!(
        answer.body["receipts"],
        json!({id(1).to_string(): "stored", id(2).to_string(): "unknown"})
    );
    assert_eq!(farm.put(&entries[1]).await.state(), (201, "stored"));
    assert_eq!(farm.put(&entries[0]).await.state(), (200, "stored"));
    let farm = farm.later(MORNING).await;
    assert!(!farm.store.older_copy_put_back(), "it was told once");
    farm.get("/").await.says_not("older copy");
    farm.close().await;
}

#[tokio::test]
async fn the_same_copy_put_back_twice_is_another_epoch_each_time() {
    let farm = Farm::started().await;
    let folder = farm.close().await;
    let copy = std::fs::read(folder.path().join("endpost.db")).expect("the database");
    let farm = Farm::in_folder(folder, MORNING).await;
    let mut epochs = vec![farm.store.house().db_epoch];
    farm.put(&rain(&mut Phone::new(1), id(1), "0.1")).await;
    let mut folder = farm.close().await;
    for _ in 0..2 {
        // A phone that never heard of the first time must hear of the second.
        put_back(folder.path(), &copy);
        let farm = Farm::in_folder(folder, MORNING).await;
        let epoch = farm.store.house().db_epoch;
        assert!(!epochs.contains(&epoch), "{epoch} again");
        epochs.push(epoch);
        folder = farm.close().await;
    }
}

#[tokio::test]
async fn the_epoch_stays_while_nothing_is_put_back() {
    let mut phone = Phone::new(1);
    let farm = Farm::started().await;
    let before = farm.store.house();
    farm.put(&rain(&mut phone, id(1), "0.1")).await;
    let farm = farm.later(MORNING).await;
    assert_eq!(farm.store.house(), before);
    let (farm_with_copy, _) = with_an_older_copy(&mut phone).await;
    let put_back = farm_with_copy.store.house();
    let farm_with_copy = farm_with_copy.later(MORNING).await;
    assert_eq!(farm_with_copy.store.house(), put_back);
    farm_with_copy.close().await;
    farm.close().await;
}

#[tokio::test]
async fn without_its_side_file_or_with_nonsense_in_it_a_farm_opens_all_the_same() {
    let farm = Farm::started().await;
    let epoch = farm.store.house().db_epoch;
    let folder = farm.close().await;
    let side_file = folder.path().join("endpost.newest");
    std::fs::remove_file(&side_file).expect("a side file");
    let folder = Farm::in_folder(folder, MORNING).await.close().await;
    std::fs::write(&side_file, "\u{0}nonsense").expect("nonsense");
    let farm = Farm::in_folder(folder, MORNING).await;
    assert_eq!(farm.store.house().db_epoch, epoch);
    farm.close().await;
}
