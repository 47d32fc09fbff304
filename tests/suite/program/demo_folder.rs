//! The demo's folder: gone at the end, cleared at the start, and never a real farm's.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use endpost::store::Store;
use endpost::store::ledger::{Fields, Kind, Source};
use endpost::web::App;
use endpost::web::form::{Entered, Entering, Sent, enter_typed};
use endpost::web::known::Known;

use super::{clock, complained, demo_in, run};

/// A demo in a process of its own, once it has printed its address.
struct Demo {
    child: Child,
    folder: PathBuf,
    _printed: BufReader<std::process::ChildStdout>,
}

impl Demo {
    /// Each test has its own place for temporary folders, since a demo sweeps what others left.
    fn start(temporary: &Path, words: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_endpost"))
            .args(["demo", "--listen", "127.0.0.1:0"])
            .args(words)
            .env("TMPDIR", temporary)
            .stdout(Stdio::piped())
            .spawn()
            .expect("the built program");
        let mut printed = BufReader::new(child.stdout.take().expect("its output"));
        let mut folder = PathBuf::new();
        for line in (&mut printed).lines().map_while(Result::ok) {
            if let Some(path) = line.strip_prefix("Data ") {
                folder = PathBuf::from(path.trim());
            }
            if line.starts_with("Open ") {
                break;
            }
        }
        Self {
            child,
            folder,
            _printed: printed,
        }
    }

    /// Asks the process to stop, as a service manager does, and waits for it.
    fn stop(mut self) {
        let number = self.child.id().to_string();
        let asked = Command::new("kill").args(["-TERM", &number]).status();
        assert!(asked.expect("the command kill").success());
        assert!(self.child.wait().expect("its end").success());
    }
}

#[test]
fn a_folder_for_the_time_being_goes_when_the_demo_stops() {
    let temporary = tempfile::tempdir().expect("a folder");
    let demo = Demo::start(temporary.path(), &[]);
    let folder = demo.folder.clone();
    assert!(folder.starts_with(temporary.path()));
    assert!(folder.join("endpost.db").is_file());
    demo.stop();
    assert!(!folder.exists(), "{} is still there", folder.display());
}

#[test]
fn a_folder_left_behind_goes_when_the_next_demo_starts() {
    let temporary = tempfile::tempdir().expect("a folder");
    let mut first = Demo::start(temporary.path(), &[]);
    first.child.kill().expect("a process to kill");
    first.child.wait().expect("its end");
    assert!(first.folder.is_dir());
    let second = Demo::start(temporary.path(), &[]);
    assert!(
        !first.folder.exists(),
        "{} is still there",
        first.folder.display()
    );
    second.stop();
}

#[test]
fn a_running_demo_keeps_its_folder_to_itself() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().to_str().expect("a plain path");
    let demo = Demo::start(folder.path(), &["--data", path]);
    for words in [
        &["serve", "--listen", "127.0.0.1:0", "--data", path][..],
        &["demo", "--listen", "127.0.0.1:0", "--data", path],
    ] {
        let refused = run(words);
        assert_eq!(refused.status.code(), Some(1));
        assert!(complained(&refused).contains("another endpost is at work"));
    }
    demo.stop();
}

async fn enter_rain(folder: &Path, source: Source) {
    let store = Store::open(&folder.join("endpost.db"), clock().now())
        .await
        .expect("the store");
    let known = Known::load(&App::new(store.clone(), clock(), false))
        .await
        .expect("the farm");
    let fields: Fields = [("date", "2027-09-10"), ("rain", "0.3")]
        .into_iter()
        .collect();
    let entering = Entering {
        id: uuid::Uuid::now_v7(),
        kind: Kind::Weather,
        form_version: None,
        subject: None,
        base: None,
        fields,
        confirmed: Vec::new(),
        keep: false,
        source,
        person: None,
        card_code: None,
        sent: Sent::default(),
        received_at: clock().now(),
    };
    let entered = enter_typed(&store, &known, &entering);
    assert!(matches!(entered.await, Ok(Entered::Taken(_))));
    store.close().await;
}

async fn entries(folder: &Path) -> usize {
    let store = Store::open(&folder.join("endpost.db"), clock().now())
        .await
        .expect("the store");
    let found = store.check().await.expect("a replay");
    store.close().await;
    found.entries
}

#[tokio::test]
async fn a_farm_with_entries_of_its_own_is_refused_and_untouched() {
    let folder = tempfile::tempdir().expect("a folder");
    demo_in(folder.path()).await.close().await;
    enter_rain(folder.path(), Source::Phone).await;
    let before = entries(folder.path()).await;
    let path = folder.path().to_str().expect("a plain path");
    let refused = run(&["demo", "--listen", "127.0.0.1:0", "--data", path]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(complained(&refused).contains("holds a farm's own data"));
    assert_eq!(entries(folder.path()).await, before);
}

#[tokio::test]
async fn what_visitors_tried_in_a_demo_is_cleared_at_its_next_start() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().to_str().expect("a plain path");
    Demo::start(folder.path(), &["--data", path]).stop();
    let fresh = entries(folder.path()).await;
    enter_rain(folder.path(), Source::Phone).await;
    assert_eq!(entries(folder.path()).await, fresh + 1);
    Demo::start(folder.path(), &["--data", path]).stop();
    assert_eq!(entries(folder.path()).await, fresh);
}
