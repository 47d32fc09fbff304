//! `endpost doctor`: what it says of a folder, a database, copies and a port, with its exit code;
//! and that it changes nothing.

use std::net::TcpListener;
use std::path::Path;
use std::process::Output;

use endpost::program::doctor::holder::{Holder, listening, of};

use super::{run, said};
use crate::support::binary::serve;
use crate::support::farm::Farm;

/// A port that nobody listens on.
fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    listener.local_addr().unwrap().port()
}

fn doctor(data: &Path, port: u16, more: &[&str]) -> Output {
    let listen = format!("127.0.0.1:{port}");
    let mut words = vec![
        "doctor",
        "--data",
        data.to_str().unwrap(),
        "--listen",
        &listen,
    ];
    words.extend(more);
    run(&words)
}

/// The line that says something, and whether all is well.
fn line(output: &Output, part: &str) -> String {
    let text = said(output);
    let line = text.lines().find(|line| line.contains(part));
    line.unwrap_or_else(|| panic!("{part:?} in {text}"))
        .to_owned()
}

fn code(output: &Output) -> Option<i32> {
    output.status.code()
}

async fn a_farm() -> tempfile::TempDir {
    let folder = Farm::started().await.close().await;
    // The farm of the tests lives in 2027, and this computer may not.
    let made = run(&["backup", "--data", folder.path().to_str().unwrap()]);
    assert!(made.status.success(), "{made:?}");
    folder
}

/// A farm that the program itself began, by the machine's own clock.
fn a_farm_of_now() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    serve(folder.path());
    let made = run(&["backup", "--data", folder.path().to_str().unwrap()]);
    assert!(made.status.success(), "{made:?}");
    folder
}

fn files_of(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap().path())
        .filter(|path| path.is_file())
        .map(|path| (path.display().to_string(), std::fs::read(&path).unwrap()))
        .collect();
    files.sort();
    files
}

#[test]
fn of_a_sound_farm_nothing_is_wrong_and_nothing_is_changed() {
    let folder = a_farm_of_now();
    for left in ["endpost.db-wal", "endpost.db-shm"] {
        // The server was killed; what it left is folded by nobody.
        assert!(folder.path().join(left).exists(), "{left}");
    }
    let before = files_of(folder.path());
    let looked = doctor(folder.path(), free_port(), &[]);
    assert_eq!(code(&looked), Some(0), "{}", said(&looked));
    for (part, verdict) in [
        ("SQLite finds no fault", "OK "),
        ("The clock says", "OK "),
        ("The newest copy", "OK "),
        ("No second place", "LOOK "),
        ("is free", "OK "),
        ("Phones can't come", "LOOK "),
    ] {
        assert!(
            line(&looked, part).starts_with(verdict),
            "{}",
            said(&looked)
        );
    }
    assert!(!said(&looked).contains("WRONG"));
    let after = files_of(folder.path());
    let changed = |name: &str| !name.ends_with("-shm");
    let kept = |files: Vec<(String, Vec<u8>)>| -> Vec<(String, Vec<u8>)> {
        files
            .into_iter()
            .filter(|(name, _)| changed(name))
            .collect()
    };
    assert!(kept(before) == kept(after), "a file was changed");
}

#[test]
fn where_there_is_nothing_yet_it_says_what_begins_it() {
    let folder = tempfile::tempdir().unwrap();
    let missing = folder.path().join("farm");
    let looked = doctor(&missing, free_port(), &[]);
    assert_eq!(code(&looked), Some(0), "{}", said(&looked));
    assert!(line(&looked, "There is no folder").contains("endpost serve makes it"));
    assert!(!missing.exists());
    let looked = doctor(folder.path(), free_port(), &[]);
    assert_eq!(code(&looked), Some(0), "{}", said(&looked));
    assert!(line(&looked, "There is no data").contains("endpost restore"));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn a_file_in_the_place_of_the_folder_is_wrong() {
    let file = tempfile::NamedTempFile::new().unwrap();
    let looked = doctor(file.path(), free_port(), &[]);
    assert_eq!(code(&looked), Some(1));
    assert!(line(&looked, "is no folder").starts_with("WRONG"));
}

#[tokio::test]
async fn a_clock_before_the_newest_entry_is_wrong() {
    let folder = a_farm().await;
    let looked = doctor(folder.path(), free_port(), &[]);
    let now = endpost::clock::Clock::of_this_machine().now();
    let is_before = now < crate::support::farm::moment(crate::support::farm::MORNING);
    let words = line(&looked, "The clock says");
    assert_eq!(
        words.contains("but the newest entry came 2027-09-10"),
        is_before,
        "{words}"
    );
    assert_eq!(words.starts_with("WRONG"), is_before, "{words}");
    assert_eq!(code(&looked), Some(i32::from(is_before)));
}

#[test]
fn damage_is_wrong_and_the_way_back_is_named() {
    let folder = a_farm_of_now();
    for left in ["endpost.db-wal", "endpost.db-shm"] {
        std::fs::remove_file(folder.path().join(left)).unwrap();
    }
    let path = folder.path().join("endpost.db");
    let copies: Vec<_> = std::fs::read_dir(folder.path().join("copies"))
        .unwrap()
        .collect();
    let copy = copies.into_iter().map(|one| one.unwrap().path());
    let copy = copy
        .into_iter()
        .find(|one| one.extension().is_some_and(|ending| ending == "db"));
    std::fs::copy(copy.unwrap(), &path).unwrap();
    assert_eq!(code(&doctor(folder.path(), free_port(), &[])), Some(0));
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[4096..].fill(0x5a);
    std::fs::write(&path, bytes).unwrap();
    let looked = doctor(folder.path(), free_port(), &[]);
    assert_eq!(code(&looked), Some(1), "{}", said(&looked));
    let words = line(&looked, "is damaged");
    assert!(
        words.starts_with("WRONG") && words.contains("endpost restore"),
        "{words}"
    );
}

#[tokio::test]
async fn an_emptied_database_is_wrong_too() {
    let folder = a_farm().await;
    std::fs::write(folder.path().join("endpost.db"), "").unwrap();
    let looked = doctor(folder.path(), free_port(), &[]);
    assert_eq!(code(&looked), Some(1));
    assert!(line(&looked, "is damaged").starts_with("WRONG"));
}

#[test]
fn a_spoiled_copy_and_a_place_without_a_mark_are_told() {
    let folder = a_farm_of_now();
    let stick = tempfile::tempdir().unwrap();
    let place = ["--second-place", stick.path().to_str().unwrap()];
    let looked = doctor(folder.path(), free_port(), &place);
    assert_eq!(code(&looked), Some(0));
    assert!(line(&looked, "no mark of Endpost's").starts_with("LOOK"));
    let copies = std::fs::read_dir(folder.path().join("copies")).unwrap();
    for copy in copies.map(|one| one.unwrap().path()) {
        if copy.extension().is_some_and(|ending| ending == "db") {
            let mut bytes = std::fs::read(&copy).unwrap();
            bytes[5000] ^= 1;
            std::fs::write(&copy, bytes).unwrap();
        }
    }
    let looked = doctor(folder.path(), free_port(), &[]);
    assert_eq!(code(&looked), Some(1));
    let words = line(&looked, "is not what it was when it was made");
    assert!(
        words.starts_with("WRONG") && words.contains("endpost backup"),
        "{words}"
    );
}

#[test]
fn what_waits_beside_is_told() {
    let folder = a_farm_of_now();
    std::fs::write(folder.path().join("endpost.beside.jsonl"), "").unwrap();
    let looked = doctor(folder.path(), free_port(), &[]);
    assert!(
        line(&looked, "kept beside").starts_with("LOOK"),
        "{}",
        said(&looked)
    );
}

#[test]
fn a_port_that_is_taken_is_told_with_who_has_it() {
    let folder = a_farm_of_now();
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port();
    let looked = doctor(folder.path(), port, &[]);
    assert_eq!(code(&looked), Some(1));
    let words = line(&looked, "is held by");
    let number = format!("(process {})", std::process::id());
    assert!(
        words.starts_with("WRONG") && words.contains(&number),
        "{words}"
    );
    assert!(words.contains("--listen 127.0.0.1:"), "{words}");
    assert!(
        matches!(of(port), Some(Holder::Process { number, .. }) if number == std::process::id())
    );
    let looked = doctor(folder.path(), port, &["--listen", "203.0.113.7:8087"]);
    assert_eq!(code(&looked), Some(2), "said twice");
}

#[test]
fn a_running_endpost_at_the_port_is_well() {
    let folder = tempfile::tempdir().unwrap();
    let served = serve(folder.path());
    let looked = doctor(folder.path(), served.port(), &[]);
    assert!(
        line(&looked, "An Endpost answers").starts_with("OK"),
        "{}",
        said(&looked)
    );
    assert!(line(&looked, "an Endpost is at work in it").starts_with("OK"));
    let looked = doctor(folder.path(), free_port(), &[]);
    assert!(line(&looked, "listens elsewhere").starts_with("LOOK"));
}

#[test]
fn the_systems_table_of_sockets_is_read() {
    let table = "  sl  local_address rem_address   st tx_queue rx_queue tr tm->when retrnsmt   uid  timeout inode
   0: 0100007F:1F97 00000000:0000 0A 00000000:00000000 00:00000000 00000000  1000        0 48215 1 0000000000000000 100 0 0 10 0
   1: 0100007F:1F97 0100007F:D2A4 01 00000000:00000000 00:00000000 00000000  1000        0 48300 1 0000000000000000 20 4 30 10 -1
   2: 00000000:0016 00000000:0000 0A 00000000:00000000 00:00000000 00000000     0        0 17001 1 0000000000000000 100 0 0 10 0
";
    assert_eq!(listening(table, 8087), [48215]);
    assert_eq!(listening(table, 22), [17001]);
    assert_eq!(listening(table, 80), Vec::<u64>::new());
    assert_eq!(listening("", 80), Vec::<u64>::new());
}

#[test]
fn a_database_that_is_gone_is_wrong_and_no_new_farm() {
    let folder = a_farm_of_now();
    std::fs::remove_file(folder.path().join("endpost.db")).unwrap();
    let looked = doctor(folder.path(), free_port(), &[]);
    assert_eq!(code(&looked), Some(1), "{}", said(&looked));
    assert!(line(&looked, "the farm's data is gone").contains("endpost restore"));
}

#[test]
fn an_endpost_of_another_farm_is_not_this_ones() {
    let (here, other) = (a_farm_of_now(), a_farm_of_now());
    let served = serve(other.path());
    let port = served.address.rsplit(':').next().unwrap().parse().unwrap();
    let looked = doctor(here.path(), port, &[]);
    assert!(line(&looked, "it serves another").starts_with("LOOK "));
    let looked = doctor(other.path(), port, &[]);
    assert!(line(&looked, "An Endpost answers at").starts_with("OK "));
}
