//! Who may come in after a copy was put back: nobody who was shut out after it was made.

use endpost::program::copies::make;
use endpost::program::copies::restore::put_back;
use endpost::science::access::{Role, Shows};
use endpost::science::copies::Why;
use endpost::store::copies::WaysIn;
use endpost::store::{Session, Share, Store};
use tempfile::TempDir;
use uuid::Uuid;

use super::{clock, data_in};
use crate::support::entries::id;
use crate::support::farm::{MORNING, moment};

const LATER: &str = "2028-09-10T15:00:00Z";

fn session(number: u8, role: Role) -> Session {
    Session {
        id: id(number.into()),
        secret_hash: [number; 32],
        role,
        person: None,
        device: id(100 + u32::from(number)),
        began_at: moment(MORNING),
        last_seen: moment(MORNING),
        ends_at: moment(LATER),
        ended_at: None,
    }
}

fn share(number: u8) -> Share {
    Share {
        id: id(number.into()),
        secret_hash: [number; 32],
        path: "/harvest/sheet".to_owned(),
        title: "Harvest".to_owned(),
        shows: Shows::default(),
        made_at: moment(MORNING),
        ends_at: moment(LATER),
        last_used: None,
        ended_at: None,
    }
}

async fn opened(folder: &TempDir) -> Store {
    let path = folder.path().join("endpost.db");
    Store::open(&path, clock().now()).await.unwrap()
}

/// A farm with a keeper's phone (1), helpers' (2, 3) and two links (11, 12), and a copy of it.
/// After that a helper's way in and a link were ended, and the passphrase became another.
async fn with_some_shut_out() -> (TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let data = data_in(&folder);
    let store = opened(&folder).await;
    let now = clock().now();
    store.set_passphrase("older".to_owned(), now).await.unwrap();
    for (number, role) in [(1, Role::Keeper), (2, Role::Helper), (3, Role::Helper)] {
        store.begin_session(session(number, role)).await.unwrap();
    }
    for number in [11, 12] {
        store.begin_share(share(number)).await.unwrap();
    }
    let made = make(&data, Why::ByHand, &clock()).await.unwrap();
    let then = now + chrono::TimeDelta::hours(1);
    store
        .set_passphrase("newer".to_owned(), then)
        .await
        .unwrap();
    store.end_session(id(2), then).await.unwrap();
    store.end_share(id(11), then).await.unwrap();
    store.close().await;
    (folder, made.path)
}

/// The phones and links that are let in, in order.
fn let_in(store: &Store) -> Vec<Uuid> {
    let (keys, now) = (store.keys(), clock().now());
    let sessions = keys.sessions().into_iter().filter(|one| one.is_good(now));
    let shares = keys.shares().into_iter().filter(|one| one.is_good(now));
    let sessions = sessions.map(|one| one.id);
    let mut ids: Vec<Uuid> = sessions.chain(shares.map(|one| one.id)).collect();
    ids.sort();
    ids
}

#[tokio::test]
async fn what_ended_after_the_copy_stays_ended() {
    let (folder, copy) = with_some_shut_out().await;
    let back = put_back(&data_in(&folder), &copy, &clock()).await.unwrap();
    assert_eq!(back.ways_in, WaysIn::AsTheyWereLast);
    let store = opened(&folder).await;
    assert_eq!(let_in(&store), [id(1), id(3), id(12)]);
    assert_eq!(store.keys().passphrase.as_deref(), Some("newer"));
    store.close().await;
}

#[tokio::test]
async fn an_older_passphrase_replaces_no_newer_one() {
    let (folder, copy) = with_some_shut_out().await;
    let data = data_in(&folder);
    let newer = folder.path().join("newer.db");
    std::fs::copy(data.database(), &newer).unwrap();
    put_back(&data, &copy, &clock()).await.unwrap();
    // As if nothing had been carried over: the data is what the copy was.
    std::fs::copy(&copy, data.database()).unwrap();
    let back = put_back(&data, &newer, &clock()).await.unwrap();
    assert_eq!(back.ways_in, WaysIn::AsTheyWereLast);
    let store = opened(&folder).await;
    assert_eq!(store.keys().passphrase.as_deref(), Some("newer"));
    assert_eq!(let_in(&store), [id(1), id(3), id(12)]);
    store.close().await;
}

#[tokio::test]
async fn where_nothing_tells_who_was_shut_out_only_the_keeper_is_let_in() {
    let (folder, copy) = with_some_shut_out().await;
    let data = data_in(&folder);
    std::fs::write(data.database(), [0x5a; 9000]).unwrap();
    let back = put_back(&data, &copy, &clock()).await.unwrap();
    assert_eq!(back.ways_in, WaysIn::KeepersOnly);
    let told = back.ways_in.to_string();
    assert!(told.contains("Look under House, Phones"), "{told}");
    let store = opened(&folder).await;
    assert_eq!(let_in(&store), [id(1)]);
    store.close().await;
    std::fs::remove_file(data.database()).unwrap();
    let back = put_back(&data, &copy, &clock()).await.unwrap();
    assert_eq!(back.ways_in, WaysIn::KeepersOnly, "gone is not read either");
}

/// Another farm's data says nothing of this one's phones.
#[tokio::test]
async fn another_farms_data_lets_nobody_in() {
    let (_folder, copy) = with_some_shut_out().await;
    let other = tempfile::tempdir().unwrap();
    opened(&other).await.close().await;
    let back = put_back(&data_in(&other), &copy, &clock()).await.unwrap();
    assert_eq!(back.ways_in, WaysIn::KeepersOnly);
    let store = opened(&other).await;
    assert_eq!(let_in(&store), [id(1)]);
    assert_eq!(store.keys().passphrase.as_deref(), Some("older"));
    store.close().await;
}
