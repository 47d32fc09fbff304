//! The disk is full: what is not stored is refused in words, what was answered stays, and once
//! there is room the same entries go in once. A limit on the size of files stands for a disk.
//! Not here: the line that warns before (`web::disk`).

use std::process::Output;

use serde_json::Value;
use uuid::Uuid;

use crate::store::migrated::{comes_up_to_date, older_farm};
use crate::support::binary::{serve, serve_on_a_small_disk, start_on_a_small_disk};
use crate::support::copies::{Answered, has_it_all, replays};
use crate::support::farm::client_at;
use crate::support::phone::{PAST_DAY, Phone, past_rain};
use crate::support::sender::Sender;

/// An envelope that takes up room.
fn long(phone: &mut Phone, id: Uuid) -> Value {
    let mut envelope = past_rain(phone, id);
    envelope["fields"]["note"] = format!("{id} {}", "n".repeat(4000)).into();
    envelope
}

/// The same as a page.
async fn post(sender: &Sender, id: Uuid, note: &str) -> (u16, String) {
    let id = id.to_string();
    let fields = [
        ("entry_id", id.as_str()),
        ("form_version", "1"),
        ("date", PAST_DAY),
        ("rain", "0.2"),
        ("note", note),
        ("keep", "1"),
    ];
    sender.post("/weather", &fields).await.expect("an answer")
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_finds_no_room_is_refused_in_words_and_goes_in_once_there_is_some() {
    let folder = tempfile::tempdir().unwrap();
    let served = serve_on_a_small_disk(folder.path(), 1024);
    let sender = Sender::to(&served.address);
    sender.starts_the_farm().await;
    let mut phone = Phone::new(1);
    let mut answered = Answered::default();
    let mut refused = Vec::new();
    while refused.len() < 3 {
        assert!(answered.entries.len() < 2000, "the disk never fills");
        let id = Uuid::now_v7();
        let envelope = long(&mut phone, id);
        match sender.put(&envelope).await.expect("an answer") {
            (201 | 202, _) => {
                answered.entries.insert(id);
            }
            (status, answer) => {
                assert_eq!(
                    (status, &answer["state"]),
                    (507, &"failed".into()),
                    "{answer}"
                );
                let why = answer["why"].as_str().unwrap_or("");
                assert!(
                    why.contains("disk is full") && why.contains("kept on the phone"),
                    "{why}"
                );
                refused.push(envelope);
            }
        }
    }
    let note = "n".repeat(8000);
    let typed = Uuid::now_v7();
    let (status, page) = post(&sender, typed, &note).await;
    assert_eq!(status, 507, "{page}");
    for words in [
        "No room to store it",
        "disk is full",
        "This was not stored. Go back",
    ] {
        assert!(page.contains(words), "{words:?} in {page}");
    }
    let client = client_at(&served.address);
    for path in ["/", "/weather", "/weather/new"] {
        let page = client.get(served.url(path)).send().await.expect("a page");
        assert_eq!(page.status(), 200, "{path} is still drawn");
    }

    served.gets_room();
    for envelope in &refused {
        let (status, answer) = sender.put(envelope).await.expect("an answer");
        assert_eq!(status, 201, "{answer}");
        let (status, again) = sender.put(envelope).await.expect("an answer");
        assert_eq!((status, &again["replayed"]), (200, &true.into()), "{again}");
        answered.entries.extend(
            envelope["id"]
                .as_str()
                .and_then(|id| Uuid::parse_str(id).ok()),
        );
    }
    assert_eq!(
        post(&sender, typed, &note).await,
        (303, format!("/entries/{typed}"))
    );
    answered.entries.insert(typed);
    served.kill_at_once();
    // The first start made two: the farm and its block.
    let here = has_it_all(folder.path(), &answered).await;
    assert_eq!(here, answered.entries.len() + 2, "something is there twice");
    replays(folder.path()).await;
}

/// What a start said that came to nothing, in one sentence for whoever typed it.
fn is_told_of_the_disk(ended: &Output) {
    let said = String::from_utf8_lossy(&ended.stderr);
    assert_eq!(ended.status.code(), Some(1), "{said}");
    assert!(said.contains("the disk is full"), "{said}");
    assert!(!said.contains("panicked"), "{said}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_first_start_without_room_says_so_and_the_next_one_begins_anew() {
    let folder = tempfile::tempdir().unwrap();
    for kib in [1, 4, 16, 64, 128] {
        is_told_of_the_disk(&start_on_a_small_disk(folder.path(), kib));
    }
    let served = serve(folder.path());
    Sender::to(&served.address).starts_the_farm().await;
    served.kill_at_once();
    replays(folder.path()).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_older_farm_that_finds_no_room_to_be_brought_up_to_date_stays_as_it_is() {
    const ENTRIES: u32 = 300;
    let folder = older_farm(ENTRIES).await;
    for kib in [1, 16, 64, 128] {
        is_told_of_the_disk(&start_on_a_small_disk(folder.path(), kib));
    }
    comes_up_to_date(folder.path(), ENTRIES).await;
}
