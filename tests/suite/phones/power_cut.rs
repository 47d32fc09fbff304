//! The power goes out, and the disk is full: what was answered is there, and what was not is
//! refused in words. The program runs in a process of its own; a copy of its files at an instant
//! stands for what a power cut leaves. Not here: a disk that lies about what it keeps.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::{Arc, Mutex};

use endpost::clock::Clock;
use endpost::store::Store;
use reqwest::Client;
use serde_json::Value;
use tokio::sync::watch;
use tokio::task::JoinSet;
use uuid::Uuid;

use crate::support::binary::{Served, serve, serve_on_a_small_disk};
use crate::support::farm::client_at;
use crate::support::phone::{Phone, rain};

/// Sends an envelope to the program; the status and the answer.
async fn put(client: &Client, address: &str, envelope: &Value) -> Option<(u16, Value)> {
    let id = envelope["id"].as_str().expect("an id");
    let answer = client
        .put(format!("{address}/api/entries/{id}"))
        .header("origin", address)
        .header("content-type", "application/json")
        .body(envelope.to_string())
        .send()
        .await
        .ok()?;
    let status = answer.status().as_u16();
    let body = answer.bytes().await.ok()?;
    Some((status, serde_json::from_slice(&body).ok()?))
}

type Answered = Arc<Mutex<BTreeSet<Uuid>>>;

/// Phones that send one entry after the other until the program is gone.
fn phones_at_work(served: &Served, answered: &Answered) -> (JoinSet<()>, watch::Receiver<usize>) {
    let (tell, count) = watch::channel(0);
    let mut phones = JoinSet::new();
    for number in 0..6 {
        let (address, answered, tell) = (served.address.clone(), answered.clone(), tell.clone());
        phones.spawn(async move {
            let (client, mut phone) = (client_at(&address), Phone::new(number));
            loop {
                let id = Uuid::now_v7();
                match put(&client, &address, &rain(&mut phone, id, "0.2")).await {
                    // A farm without a name keeps what comes as typed.
                    Some((201 | 202, _)) => {
                        let mut answered = answered.lock().expect("a set");
                        answered.insert(id);
                        tell.send_replace(answered.len());
                    }
                    Some(other) => panic!("answered {other:?}"),
                    None => return,
                }
            }
        });
    }
    (phones, count)
}

/// Holds that a database has every one of these entries and is sound.
async fn has_them_all(database: &Path, ids: &BTreeSet<Uuid>) {
    let now = Clock::of_this_machine().now();
    let store = Store::open(database, now).await.expect("a sound database");
    let mut read = store.read().await.expect("a view");
    for id in ids {
        assert!(
            read.entry(*id).await.expect("a look").is_some(),
            "{id} is gone"
        );
    }
    let found = read.check().await.expect("a check");
    assert_eq!(found.faults, Vec::<String>::new());
    drop(read);
    store.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn whatever_was_answered_is_in_the_files_at_any_instant() {
    const INSTANTS: usize = 20;
    let folder = tempfile::tempdir().unwrap();
    let served = serve(folder.path());
    let answered = Answered::default();
    let (mut phones, mut count) = phones_at_work(&served, &answered);
    for instant in 1..=INSTANTS {
        // Uneven steps, so that the instants fall anywhere between two commits.
        let enough = instant * 15 + instant * instant % 7;
        count
            .wait_for(|count| *count >= enough)
            .await
            .expect("phones at work");
        let copy = tempfile::tempdir().unwrap();
        let ids = served.stand_still(|| {
            let ids = answered.lock().expect("a set").clone();
            for name in ["endpost.db", "endpost.db-wal", "endpost.newest"] {
                std::fs::copy(folder.path().join(name), copy.path().join(name)).expect(name);
            }
            ids
        });
        assert!(ids.len() >= enough);
        has_them_all(&copy.path().join("endpost.db"), &ids).await;
    }
    served.kill_at_once();
    while let Some(phone) = phones.join_next().await {
        phone.expect("a phone that stopped by itself");
    }
    let ids = answered.lock().expect("a set").clone();
    has_them_all(&folder.path().join("endpost.db"), &ids).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_a_full_disk_nothing_is_lost_that_was_answered_and_the_rest_is_refused_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let served = serve_on_a_small_disk(folder.path(), 1024);
    let (client, mut phone) = (client_at(&served.address), Phone::new(1));
    let mut answered = BTreeSet::new();
    let mut refused = Vec::new();
    while refused.len() < 3 {
        assert!(answered.len() < 2000, "the disk never fills");
        let id = Uuid::now_v7();
        let mut envelope = rain(&mut phone, id, "0.2");
        envelope["fields"]["note"] = "n".repeat(4000).into();
        let (status, answer) = put(&client, &served.address, &envelope)
            .await
            .expect("an answer");
        match status {
            201 | 202 => {
                answered.insert(id);
            }
            _ => refused.push((status, answer)),
        }
    }
    for (status, answer) in &refused {
        assert_eq!(*status, 507, "{answer}");
        assert_eq!(answer["state"], "failed");
        let why = answer["why"].as_str().unwrap_or("");
        assert!(why.contains("disk is full"), "{why}");
    }
    let page = client
        .get(served.url("/start"))
        .send()
        .await
        .expect("a page");
    assert_eq!(page.status(), 200, "pages are still drawn");
    served.kill_at_once();
    has_them_all(&folder.path().join("endpost.db"), &answered).await;
}
