//! The program as it is built, in a process of its own: its help, what it prints, and that an
//! answered entry outlives `kill -9`. Not here: what it serves (`web`).

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use endpost::clock::Clock;
use endpost::store::Store;
use tokio::sync::Notify;

use crate::support::binary::{run, serve};
use crate::support::farm::client_at;
use crate::support::sender::Sender;

/// The commands that the help lists, each on a line of its own.
fn commands() -> Vec<String> {
    let help = run(&["--help"]);
    assert!(help.status.success());
    let text = String::from_utf8(help.stdout).unwrap();
    let (_, after) = text.split_once("Commands:").expect("a list of commands");
    let (list, _) = after.split_once("Options:").expect("a list of options");
    let named = list
        .lines()
        .filter_map(|line| line.split_whitespace().next());
    named.map(str::to_owned).collect()
}

#[test]
fn every_command_has_its_help() {
    let commands = commands();
    for command in [
        "serve", "demo", "backup", "restore", "doctor", "check", "import", "export", "figure",
    ] {
        assert!(commands.iter().any(|one| one == command), "{commands:?}");
    }
    for command in commands.iter().filter(|one| *one != "help") {
        let help = run(&[command, "--help"]);
        assert!(help.status.success(), "{command}");
        let text = String::from_utf8(help.stdout).unwrap();
        assert!(text.contains("Usage: endpost"), "{command}: {text}");
    }
    let version = run(&["--version"]);
    assert_eq!(
        String::from_utf8(version.stdout).unwrap().trim(),
        format!("endpost {}", env!("CARGO_PKG_VERSION"))
    );
}

#[test]
fn a_slip_on_the_command_line_is_told_in_words() {
    for words in [&["serv"][..], &["serve", "--listen", "nowhere"], &[]] {
        let answer = run(words);
        assert_eq!(answer.status.code(), Some(2), "{words:?}");
        let said = String::from_utf8(answer.stderr).unwrap();
        assert!(said.contains("--help") || said.contains("Usage"), "{said}");
        assert!(!said.contains("panicked"), "{said}");
    }
}

#[test]
fn a_folder_that_can_not_be_is_told_in_words() {
    let file = tempfile::NamedTempFile::new().unwrap();
    let path = file.path().to_str().unwrap();
    let answer = run(&["serve", "--data", path, "--listen", "127.0.0.1:0"]);
    assert_eq!(answer.status.code(), Some(1));
    let said = String::from_utf8(answer.stderr).unwrap();
    assert!(said.contains("--data DIR"), "{said}");
    assert!(!said.contains("panicked"), "{said}");
}

#[tokio::test]
async fn the_address_it_prints_is_the_one_it_answers() {
    let folder = tempfile::tempdir().unwrap();
    let served = serve(folder.path());
    let answer = client_at(&served.address)
        .get(served.url("/start"))
        .send()
        .await
        .unwrap();
    assert_eq!(answer.status(), 200);
    for part in ["files", "copies", "keys", "endpost.db"] {
        assert!(folder.path().join(part).exists(), "{part}");
    }
}

/// The power goes out in the middle of the day: whatever was answered is there afterwards.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_answered_post_outlives_kill_nine() {
    const PHONES: usize = 8;
    const ANSWERED_BEFORE_THE_END: usize = 200;
    /// More than any phone gets to send, so that the end comes while they send.
    const MOST_OF_A_PHONE: usize = 1000;
    let folder = tempfile::tempdir().unwrap();
    let served = serve(folder.path());
    let client = client_at(&served.address);
    Sender::to(&served.address).starts_the_farm().await;

    let answered = Arc::new(AtomicUsize::new(0));
    let enough = Arc::new(Notify::new());
    let mut phones = tokio::task::JoinSet::new();
    for phone in 0..PHONES {
        let sender = Sender::to(&served.address);
        let (answered, enough) = (answered.clone(), enough.clone());
        phones.spawn(async move {
            let mut mine = Vec::new();
            for number in 0..MOST_OF_A_PHONE {
                let note = format!("phone {phone}, note {number}");
                let fields = [
                    ("date", "2024-09-09"),
                    ("rain", "1"),
                    ("note", note.as_str()),
                    ("keep", "1"),
                ];
                match sender.post("/weather", &fields).await {
                    Some((303, record)) => mine.push((record, note)),
                    Some(other) => panic!("answered {other:?}"),
                    None => break,
                }
                if answered.fetch_add(1, Ordering::SeqCst) + 1 == ANSWERED_BEFORE_THE_END {
                    enough.notify_one();
                }
            }
            mine
        });
    }
    enough.notified().await;
    served.kill_at_once();
    let kept: Vec<(String, String)> = phones.join_all().await.concat();
    assert!(kept.len() >= ANSWERED_BEFORE_THE_END, "{}", kept.len());
    assert!(kept.len() < PHONES * MOST_OF_A_PHONE, "none was cut off");

    let served = serve(folder.path());
    for (record, note) in &kept {
        let answer = client.get(served.url(record)).send().await.unwrap();
        assert_eq!(answer.status(), 200, "{record} ({note}) is lost");
        let page = answer.text().await.unwrap();
        assert!(page.contains(note), "{record} does not say {note}");
    }
    served.kill_at_once();
    let check = run(&["check", "--data", folder.path().to_str().unwrap()]);
    let said = String::from_utf8_lossy(&check.stdout).into_owned();
    assert_eq!(check.status.code(), Some(0), "{said}");
    let now = Clock::of_this_machine().now();
    let store = Store::open(&folder.path().join("endpost.db"), now)
        .await
        .unwrap();
    let found = store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    assert!(found.entries >= kept.len() + 2);
    store.close().await;
}
