//! The way back: a copy in the place of the data, on the same machine and on a new one, with phones
//! that offer again what they sent meanwhile.

use endpost::clock::Clock;
use endpost::program::copies::restore::put_back;
use endpost::program::copies::{copies_in, good_copies, make};
use endpost::science::copies::Why;
use endpost::store::Store;
use serde_json::json;
use tempfile::TempDir;

use super::{clock, data_in, names_in};
use crate::support::binary::{run, serve};
use crate::support::entries::id;
use crate::support::farm::{Farm, MORNING, moment};
use crate::support::phone::{Phone, rain};

fn said(output: &std::process::Output) -> String {
    let both = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
    String::from_utf8_lossy(&both).into_owned()
}

/// The whole drill: a copy, more entries from a phone, the older copy put back, and the phone.
#[tokio::test]
async fn what_a_phone_sent_after_the_copy_comes_again_and_once() {
    let mut phone = Phone::new(1);
    let farm = Farm::started().await;
    let entries = [
        rain(&mut phone, id(1), "0.1"),
        rain(&mut phone, id(2), "0.2"),
    ];
    farm.put(&entries[0]).await;
    let before = farm.store.house();
    let folder = farm.close().await;
    let data = data_in(&folder);
    let copy = make(&data, Why::Daily, &clock()).await.unwrap();
    let farm = Farm::in_folder(folder, MORNING).await;
    farm.put(&entries[1]).await;
    let folder = farm.close().await;

    let back = put_back(&data, &copy.path, &clock()).await.unwrap();
    let replaced = back.replaced.expect("what lay there");
    let farm = Farm::in_folder(folder, MORNING).await;
    let house = farm.store.house();
    assert_eq!(house.server_id, before.server_id);
    assert_ne!(house.db_epoch, before.db_epoch);
    assert_eq!(
        house.db_epoch, back.contents.house.db_epoch,
        "one epoch, begun once"
    );
    assert!(!farm.store.older_copy_put_back(), "it is no surprise");
    assert_eq!(
        farm.ping().await.text("db_epoch"),
        house.db_epoch.to_string()
    );
    let question = json!({"device": phone.device, "seq": 2, "waiting": 0, "ids": [id(1), id(2)]});
    let answer = farm.receipts(&question).await;
    assert_eq!(
        answer.body["receipts"],
        json!({id(1).to_string(): "stored", id(2).to_string(): "unknown"})
    );
    for (entry, status) in entries.iter().zip([200, 201]) {
        assert_eq!(farm.put(entry).await.state(), (status, "stored"));
    }
    let found = farm.store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    let mut read = farm.store.read().await.unwrap();
    for number in [1, 2] {
        assert!(read.entry(id(number)).await.unwrap().is_some());
    }
    drop(read);
    let farm = farm.later(MORNING).await;
    assert_eq!(farm.store.house(), house, "and none at the next start");
    assert!(!farm.store.older_copy_put_back());
    let _folder = farm.close().await;
    let kept = endpost::store::copies::look_into(&replaced).await.unwrap();
    assert_eq!(kept.entries, 4, "the farm, its block and both entries");
}

#[tokio::test]
async fn a_folder_that_is_served_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().to_str().unwrap();
    let served = serve(folder.path());
    let made = run(&["backup", "--data", data]);
    assert!(made.status.success(), "{}", said(&made));
    let copies = data_in(&folder).copies();
    let before = std::fs::read(folder.path().join("endpost.db")).unwrap();
    let answer = run(&["restore", copies.to_str().unwrap(), "--data", data]);
    assert_eq!(answer.status.code(), Some(1));
    assert!(
        said(&answer).contains("another endpost is at work"),
        "{}",
        said(&answer)
    );
    assert_eq!(
        std::fs::read(folder.path().join("endpost.db")).unwrap(),
        before
    );
    drop(served);
    let answer = run(&["restore", copies.to_str().unwrap(), "--data", data]);
    assert!(answer.status.success(), "{}", said(&answer));
    assert!(
        said(&answer).contains("Phones offer again"),
        "{}",
        said(&answer)
    );
    serve(folder.path());
}

/// A farm with the copies of two days.
async fn with_two_copies() -> TempDir {
    let farm = Farm::started().await;
    let folder = farm.close().await;
    for day in [MORNING, "2027-09-11T11:00:00Z"] {
        let clock = Clock::starting_at(moment(day));
        make(&data_in(&folder), Why::Daily, &clock).await.unwrap();
    }
    folder
}

#[tokio::test]
async fn on_a_new_machine_the_newest_good_copy_of_a_folder_is_taken() {
    let old = with_two_copies().await;
    let photo = "photo of a post";
    let copies = data_in(&old).copies();
    let unnamed = old.path().join("photo");
    std::fs::write(&unnamed, photo).unwrap();
    let hash = endpost::program::copies::sha256_of(&unnamed).unwrap();
    std::fs::create_dir_all(copies.join("files")).unwrap();
    std::fs::rename(&unnamed, copies.join("files").join(&hash)).unwrap();
    let found = copies_in(&copies).unwrap();
    let newest = copies.join(found[1].name.to_string());
    let mut bytes = std::fs::read(&newest).unwrap();
    bytes[30_000] ^= 1;
    std::fs::write(&newest, bytes).unwrap();
    let new = tempfile::tempdir().unwrap();
    let data = new.path().join("farm");
    let words = [
        "restore",
        copies.to_str().unwrap(),
        "--data",
        data.to_str().unwrap(),
    ];
    let answer = run(&words);
    let told = said(&answer);
    assert!(answer.status.success(), "{told}");
    assert!(
        told.contains("Passed by") && told.contains(&found[0].name.to_string()),
        "{told}"
    );
    assert_eq!(names_in(&data.join("files")), [hash]);
    let served = serve(&data);
    assert!(!served.said.join("\n").contains("older copy"));
    let check = run(&["check", "--data", data.to_str().unwrap()]);
    assert!(check.status.success(), "{}", said(&check));
}

/// As from a stick that was mounted to be read only.
#[cfg(unix)]
#[tokio::test]
async fn a_copy_that_may_only_be_read_becomes_data_that_can_be_written() {
    use std::os::unix::fs::PermissionsExt;
    let old = with_two_copies().await;
    let copies = data_in(&old).copies();
    let newest = copies_in(&copies).unwrap().pop().unwrap().name;
    let newest = copies.join(newest.to_string());
    std::fs::set_permissions(&newest, std::fs::Permissions::from_mode(0o444)).unwrap();
    let new = tempfile::tempdir().unwrap();
    let data = data_in(&new);
    put_back(&data, &newest, &clock()).await.unwrap();
    let mode = data.database().metadata().unwrap().permissions().mode();
    assert_eq!(mode & 0o200, 0o200, "{mode:o}");
}

#[tokio::test]
async fn what_is_no_good_copy_is_refused_and_nothing_is_changed() {
    let folder = with_two_copies().await;
    let data = data_in(&folder);
    let before = std::fs::read(data.database()).unwrap();
    let text = folder.path().join("diary.db");
    std::fs::write(&text, "Dear diary, ".repeat(400)).unwrap();
    let empty = folder.path().join("empty.db");
    std::fs::write(&empty, "").unwrap();
    let missing = folder.path().join("missing.db");
    let place = tempfile::tempdir().unwrap();
    for from in [&text, &empty, &missing, &place.path().to_owned()] {
        let words = [
            "restore",
            from.to_str().unwrap(),
            "--data",
            folder.path().to_str().unwrap(),
        ];
        let answer = run(&words);
        assert_eq!(answer.status.code(), Some(1), "{}", said(&answer));
        assert_eq!(std::fs::read(data.database()).unwrap(), before);
    }
    assert!(
        names_in(&data.copies())
            .iter()
            .all(|name| !name.contains("replaced"))
    );
}

/// A database that is gone is not taken for a farm that never was.
#[tokio::test]
async fn where_the_database_is_gone_no_new_farm_is_begun() {
    let farm = Farm::started().await;
    let name = farm.get("/").await.text_of("p.farm").concat();
    assert!(name.contains("Tamarack Bend"), "{name}");
    let folder = farm.close().await;
    let data = data_in(&folder);
    make(&data, Why::Daily, &clock()).await.unwrap();
    std::fs::remove_file(data.database()).unwrap();
    let place = folder.path().to_str().unwrap();
    let refused = run(&["serve", "--listen", "127.0.0.1:0", "--data", place]);
    assert_eq!(refused.status.code(), Some(1));
    let told = said(&refused);
    assert!(told.contains("the farm's data is gone"), "{told}");
    assert!(told.contains("endpost restore"), "{told}");
    assert!(!data.database().exists());
    let copies = data.copies();
    let back = run(&["restore", copies.to_str().unwrap(), "--data", place]);
    assert!(back.status.success(), "{}", said(&back));
    let farm = Farm::in_folder(folder, MORNING).await;
    farm.get("/").await.says("Tamarack Bend");
    farm.close().await;
}

/// Where the database is gone and its log lies alone, what stands in the log is not read into the
/// copy; it is kept.
#[tokio::test]
async fn a_log_that_lay_alone_does_not_play_into_the_copy() {
    let mut phone = Phone::new(1);
    let farm = Farm::started().await;
    let data = data_in(&farm.folder());
    let copy = make(&data, Why::Daily, &clock()).await.unwrap();
    for number in 1..=3 {
        farm.put(&rain(&mut phone, id(number), "0.1")).await;
    }
    let log = data.path().join("endpost.db-wal");
    let left = std::fs::read(&log).unwrap();
    assert!(!left.is_empty());
    let before = farm.store.house();
    let folder = farm.close().await;
    std::fs::remove_file(data.database()).unwrap();
    for _ in 0..2 {
        std::fs::write(&log, &left).unwrap();
        let back = put_back(&data, &copy.path, &clock()).await.unwrap();
        let kept = back.replaced.expect("the log");
        assert!(kept.to_string_lossy().ends_with("-replaced.db-wal"));
        assert!(std::fs::read(kept).unwrap() == left);
        assert!(!log.exists());
        let store = Store::open(&data.database(), clock().now()).await.unwrap();
        assert_ne!(store.house().db_epoch, before.db_epoch);
        let found = store.check().await.unwrap();
        assert_eq!(found.faults, Vec::<String>::new());
        assert_eq!(found.entries, copy.contents.entries as usize);
        store.close().await;
        std::fs::remove_file(data.database()).unwrap();
    }
    let names = names_in(&data.copies());
    let logs = names.iter().filter(|name| name.ends_with("-wal")).count();
    assert_eq!(logs, 2, "the second takes nothing of the first: {names:?}");
    drop(folder);
}

/// Names carry what a clock showed, and that may have been ahead.
#[tokio::test]
async fn of_a_folder_the_copy_that_holds_most_is_taken_whatever_its_name() {
    let farm = Farm::started().await;
    let data = data_in(&farm.folder());
    let ahead = Clock::starting_at(moment("2030-01-01T12:00:00Z"));
    make(&data, Why::Daily, &ahead).await.unwrap();
    farm.put(&rain(&mut Phone::new(1), id(1), "0.1")).await;
    let fullest = make(&data, Why::Daily, &clock()).await.unwrap();
    let _folder = farm.close().await;
    let copies = data.copies();
    let new = tempfile::tempdir().unwrap();
    let words = [
        "restore",
        copies.to_str().unwrap(),
        "--data",
        new.path().to_str().unwrap(),
    ];
    let answer = run(&words);
    let told = said(&answer);
    assert!(answer.status.success(), "{told}");
    assert!(
        told.contains(&format!("Put back  {}", fullest.path.display())),
        "{told}"
    );
    let entries = fullest.contents.entries;
    assert!(told.contains(&format!("Entries   {entries}")), "{told}");
    assert!(told.contains("of a later date"), "{told}");
    assert!(told.contains("Look under House, Phones"), "{told}");
}

/// Monday's copy was put back on purpose; what was left with it holds more, and is not wanted.
#[tokio::test]
async fn of_a_folder_what_was_put_in_place_last_comes_before_what_holds_more() {
    let folder = Farm::started().await.close().await;
    let at = |day: &str| Clock::starting_at(moment(day));
    let data = data_in(&folder);
    let (monday, tuesday, wednesday) = (
        at("2027-09-13T11:00:00Z"),
        at("2027-09-14T11:00:00Z"),
        at("2027-09-15T11:00:00Z"),
    );
    let fewer = make(&data, Why::Daily, &monday).await.unwrap();
    let farm = Farm::in_folder(folder, MORNING).await;
    farm.put(&rain(&mut Phone::new(1), id(1), "0.1")).await;
    let folder = farm.close().await;
    let data = data_in(&folder);
    let more = make(&data, Why::Daily, &tuesday).await.unwrap();
    let best = async || {
        let good = good_copies(&data.copies()).await.unwrap();
        good.best_first()[0].1
    };
    assert_eq!(best().await, more.name, "it holds more");
    put_back(&data, &fewer.path, &wednesday).await.unwrap();
    let made = make(&data, Why::ByHand, &wednesday).await.unwrap();
    assert!(made.contents.how_far() < more.contents.how_far());
    assert_eq!(best().await, made.name);
}

#[tokio::test]
async fn how_many_came_in_after_the_copy_is_told() {
    let farm = Farm::started().await;
    let folder = farm.close().await;
    let made = make(&data_in(&folder), Why::Daily, &clock()).await.unwrap();
    let farm = Farm::in_folder(folder, MORNING).await;
    let mut phone = Phone::new(1);
    for number in 1..=2 {
        farm.put(&rain(&mut phone, id(number), "0.1")).await;
    }
    let folder = farm.close().await;
    let copy = made.path.to_str().unwrap();
    let restored = || run(&["restore", copy, "--data", folder.path().to_str().unwrap()]);
    let told = said(&restored());
    assert!(
        told.contains("two entries came in after this copy"),
        "{told}"
    );
    let told = said(&restored());
    assert!(
        !told.contains("Missing"),
        "another epoch tells nothing: {told}"
    );
}
