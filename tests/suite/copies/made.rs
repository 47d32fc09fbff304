//! A copy is made whole, looked into, sealed by its hash, and older ones go only then.

use std::path::Path;

use endpost::program::copies::{before_migration, copies_in, make, verify};
use endpost::science::copies::Why;
use endpost::store::Store;
use endpost::store::copies::{Standing, look_into, standing};
use tokio::task::JoinSet;

use super::{clock, data_in, names_in};
use crate::support::binary::{run, serve};
use crate::support::entries::{arrival, entry, id, new_store, rain};
use crate::support::farm::client_at;
use crate::support::phone::{Phone, rain as envelope};

#[tokio::test]
async fn it_holds_what_the_farm_holds_and_sha256sum_knows_it() {
    let (folder, store) = new_store().await;
    for number in 1..=9 {
        store.enter(entry(number, rain(number, 1.0))).await.unwrap();
    }
    let data = data_in(&folder);
    let made = make(&data, Why::Daily, &clock()).await.unwrap();
    assert_eq!(made.contents.entries, 9);
    assert_eq!(made.name.to_string(), "endpost-2027-09-10-1100Z-daily.db");
    let copies = data.copies();
    assert_eq!(
        names_in(&copies),
        [
            "endpost-2027-09-10-1100Z-daily.db",
            "endpost-2027-09-10-1100Z-daily.db.sha256"
        ]
    );
    let checked = std::process::Command::new("sha256sum")
        .args([
            "--check",
            "--strict",
            "endpost-2027-09-10-1100Z-daily.db.sha256",
        ])
        .current_dir(&copies)
        .output()
        .expect("sha256sum");
    assert!(checked.status.success(), "{checked:?}");
    assert_eq!(verify(&made.path).await.unwrap(), made.contents);
    assert_eq!(look_into(&made.path).await.unwrap().house, store.house());
    store.close().await;
    let copied = Store::open(&made.path, arrival(50)).await.unwrap();
    assert_eq!(copied.check().await.unwrap().entries, 9);
    copied.close().await;
}

#[tokio::test]
async fn the_clock_of_greenwich_names_it_whatever_the_farms_zone() {
    let farm = crate::support::farm::Farm::started().await;
    let folder = farm.close().await;
    let made = make(&data_in(&folder), Why::ByHand, &clock())
        .await
        .unwrap();
    assert_eq!(made.name.to_string(), "endpost-2027-09-10-1100Z-by-hand.db");
    assert_eq!(made.contents.zone, chrono_tz::America::New_York);
}

/// Any byte: SQLite's look need not see it, the hash does.
#[tokio::test]
async fn a_flipped_byte_is_found() {
    let (folder, store) = new_store().await;
    for number in 1..=9 {
        store.enter(entry(number, rain(number, 1.0))).await.unwrap();
    }
    let made = make(&data_in(&folder), Why::Daily, &clock()).await.unwrap();
    let whole = std::fs::read(&made.path).unwrap();
    let last = whole.len() - 1;
    for at in [0, 24, 4096, last / 2, last] {
        let mut flipped = whole.clone();
        flipped[at] ^= 0x10;
        std::fs::write(&made.path, flipped).unwrap();
        let error = verify(&made.path).await.unwrap_err();
        assert!(
            format!("{error:#}").contains("is not what it was when it was made"),
            "{error:#}"
        );
    }
    std::fs::write(&made.path, &whole[..last / 2]).unwrap();
    assert!(verify(&made.path).await.is_err());
    std::fs::write(&made.path, whole).unwrap();
    verify(&made.path).await.unwrap();
}

#[tokio::test]
async fn a_database_without_its_log_is_no_copy() {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(1, 1.0))).await.unwrap();
    let by_hand = folder.path().join("by-hand.db");
    for ending in ["", "-wal"] {
        let from = folder.path().join(format!("endpost.db{ending}"));
        std::fs::copy(from, folder.path().join(format!("by-hand.db{ending}"))).unwrap();
    }
    let error = verify(&by_hand).await.unwrap_err().to_string();
    assert!(
        error.contains("copied by hand while it was in use"),
        "{error}"
    );
}

fn write_old_copies(copies: &Path, days: u32) {
    std::fs::create_dir_all(copies).unwrap();
    for day in 1..=days {
        let name = format!("endpost-2027-08-{day:02}-0600Z-daily.db");
        std::fs::write(copies.join(&name), "an older copy").unwrap();
        std::fs::write(copies.join(format!("{name}.sha256")), "0").unwrap();
    }
}

#[tokio::test]
async fn older_ones_go_when_the_new_one_is_good_and_only_then() {
    let (folder, store) = new_store().await;
    for number in 1..40 {
        store.enter(entry(number, rain(9, 1.0))).await.unwrap();
    }
    store.close().await;
    let data = data_in(&folder);
    write_old_copies(&data.copies(), 31);
    let before = names_in(&data.copies());
    let database = data.database();
    let whole = std::fs::read(&database).unwrap();
    let mut damaged = whole.clone();
    damaged[8192..16384].fill(0x5a);
    std::fs::write(&database, damaged).unwrap();
    assert!(make(&data, Why::Daily, &clock()).await.is_err());
    assert_eq!(names_in(&data.copies()), before, "nothing is gone");
    std::fs::write(&database, whole).unwrap();
    let made = make(&data, Why::Daily, &clock()).await.unwrap();
    let left = copies_in(&data.copies()).unwrap();
    assert!(left.len() < 31 && left.len() >= 7, "{left:?}");
    assert_eq!(left.last().unwrap().name, made.name);
    assert_eq!(names_in(&data.copies()).len(), left.len() * 2);
}

#[tokio::test]
async fn photos_are_copied_once_and_by_their_hash() {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(1, 1.0))).await.unwrap();
    let data = data_in(&folder);
    // SHA-256 of "photo", as sha256sum prints it.
    let good = "2fc97c498e2b121fb71fcf489b16e28f0502ea1ce48e3fc1e1ddc68eb39b5c36.jpg";
    let spoiled = format!("{}.jpg", "0".repeat(64));
    for name in [good, spoiled.as_str(), "notes.txt"] {
        std::fs::write(data.photos().join(name), "photo").unwrap();
    }
    let hash = endpost::program::copies::sha256_of(&data.photos().join(good)).unwrap();
    let good_name = format!("{hash}.jpg");
    std::fs::rename(data.photos().join(good), data.photos().join(&good_name)).unwrap();
    let made = make(&data, Why::Daily, &clock()).await.unwrap();
    assert_eq!(made.spoiled, [spoiled]);
    assert_eq!(names_in(&data.copies().join("files")), [good_name]);
}

/// The built program beside itself: phones send all the time while copies are made.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn beside_a_server_under_load_a_copy_is_whole() {
    let folder = tempfile::tempdir().unwrap();
    let served = serve(folder.path());
    let (stop, stopped) = tokio::sync::watch::channel(false);
    let mut phones = JoinSet::new();
    for number in 0..4u32 {
        let (address, stopped) = (served.address.clone(), stopped.clone());
        phones.spawn(async move {
            let (client, mut phone) = (client_at(&address), Phone::new(number));
            let mut sent = 0u32;
            while !*stopped.borrow() {
                let id = id(number * 100_000 + sent);
                let body = envelope(&mut phone, id, "0.1").to_string();
                let url = format!("{address}/api/entries/{id}");
                let request = client.put(url).header("content-type", "application/json");
                let answer = request.body(body).send().await.expect("an answer");
                assert!(answer.status().is_success(), "{}", answer.status());
                sent += 1;
            }
            sent
        });
    }
    let path = folder.path().to_str().unwrap().to_owned();
    let mut entries = Vec::new();
    for _ in 0..3 {
        let path = path.clone();
        let ran = tokio::task::spawn_blocking(move || run(&["backup", "--data", &path]));
        let output = ran.await.unwrap();
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(output.status.success(), "{output:?}");
        assert!(said.contains("SHA-256"), "{said}");
        let line = said.lines().find_map(|line| line.strip_prefix("Entries"));
        let count: i64 = line.expect("its entries").trim().parse().unwrap();
        let copy = said.lines().find_map(|line| line.strip_prefix("Copy"));
        let copy = Path::new(copy.expect("its place").trim()).to_owned();
        assert_eq!(verify(&copy).await.unwrap().entries, count);
        entries.push(count);
        let store = Store::open(&copy, clock().now()).await.unwrap();
        let found = store.check().await.unwrap();
        assert_eq!(found.faults, Vec::<String>::new());
        assert_eq!(found.entries as i64, count);
        store.close().await;
    }
    stop.send_replace(true);
    let sent: u32 = phones.join_all().await.into_iter().sum();
    assert!(
        entries[0] < entries[2],
        "{entries:?}: nothing came meanwhile"
    );
    assert!(entries[2] <= i64::from(sent));
    served.kill_at_once();
}

#[tokio::test]
async fn before_the_tables_change_they_are_copied_as_they_are() {
    let folder = tempfile::tempdir().unwrap();
    let data = data_in(&folder);
    crate::store::migrated::of_schema_6(&data.database()).await;
    assert_eq!(
        standing(&data.database()).await.unwrap(),
        Standing::Older { next: 7 }
    );
    let made = before_migration(&data, &clock()).await.unwrap().unwrap();
    assert_eq!(made.name.why, Why::BeforeMigration(7));
    assert_eq!(made.contents.schema, 6);
    assert_eq!(
        standing(&made.path).await.unwrap(),
        Standing::Older { next: 7 }
    );
    let store = Store::open(&data.database(), clock().now()).await.unwrap();
    store.close().await;
    assert!(before_migration(&data, &clock()).await.unwrap().is_none());
}
