//! A damaged database: the start says so, pages that can be read are shown, entries are kept beside
//! it before they are answered, and come in once after a good copy is put back.

use std::path::Path;

use endpost::program::beside::bring_in;
use endpost::program::copies::copies_in;
use endpost::store::beside::{lines_beside, path_beside};
use endpost::store::{Store, StoreError};
use endpost::web::beside::{Became, replay};
use reqwest::{Client, Method};
use serde_json::{Value, json};
use tempfile::TempDir;
use uuid::Uuid;

use super::{clock, data_in, names_in};
use crate::support::binary::{Served, run, serve};
use crate::support::entries::id;
use crate::support::farm::{Farm, MORNING, client_at};
use crate::support::page::Page;
use crate::support::phone::{Phone, rain};

/// A note by which its page in the file is found.
const MARK: &str = "smells of vinegar at the far end";

/// A farm with many entries and a copy of them.
async fn with_a_copy() -> TempDir {
    copied(Farm::demo().await).await
}

pub(super) async fn copied(farm: Farm) -> TempDir {
    let mut phone = Phone::new(7);
    for number in 100..160 {
        let mut envelope = rain(&mut phone, id(number), "0.1");
        envelope["fields"]["note"] = format!("{MARK} {number}").into();
        assert_eq!(farm.put(&envelope).await.state(), (201, "stored"));
    }
    let folder = farm.close().await;
    let made = run(&["backup", "--data", folder.path().to_str().unwrap()]);
    assert!(made.status.success(), "{made:?}");
    folder
}

/// Spoils the page of the file on which the ledger holds an early entry; gives back the file. Pages
/// that were split hold what moved on as well, and stand before the new ones.
pub(super) fn spoil_a_page(folder: &Path) -> Vec<u8> {
    let path = folder.join("endpost.db");
    let mut bytes = std::fs::read(&path).unwrap();
    let typed = format!("\"note\":\"{MARK} 110");
    let at = bytes
        .windows(typed.len())
        .rposition(|part| part == typed.as_bytes())
        .expect("the entry as it was typed");
    let page = usize::from(u16::from_be_bytes([bytes[16], bytes[17]]));
    let start = at / page * page;
    bytes[start..start + page].fill(0x5a);
    std::fs::write(&path, &bytes).unwrap();
    bytes
}

/// A browser at the real program.
pub(super) struct Visitor<'a> {
    served: &'a Served,
    pub(super) client: Client,
}

impl<'a> Visitor<'a> {
    pub(super) fn at(served: &'a Served) -> Self {
        Self {
            served,
            client: client_at(&served.address),
        }
    }

    async fn ask(&self, method: Method, path: &str, kind: &str, body: String) -> Page {
        let request = self.client.request(method, self.served.url(path));
        let request = request.header("content-type", kind).body(body);
        Page::read(path, request.send().await.expect("an answer")).await
    }

    pub(super) async fn get(&self, path: &str) -> Page {
        let answer = self.client.get(self.served.url(path)).send().await;
        Page::read(path, answer.expect("an answer")).await
    }

    async fn put(&self, envelope: &Value) -> (u16, String, Value) {
        let path = format!("/api/entries/{}", envelope["id"].as_str().unwrap());
        let text = envelope.to_string();
        let page = self.ask(Method::PUT, &path, "application/json", text).await;
        let answer = serde_json::from_str(&page.body).expect("JSON");
        (
            page.status,
            page.header("endpost-server").to_owned(),
            answer,
        )
    }

    async fn receipts(&self, device: Uuid, ids: &[Uuid]) -> Value {
        let question = json!({"device": device, "seq": 9, "waiting": 0, "ids": ids}).to_string();
        let page = self
            .ask(Method::POST, "/api/receipts", "application/json", question)
            .await;
        assert_eq!(page.status, 200, "{}", page.body);
        serde_json::from_str(&page.body).expect("JSON")
    }

    pub(super) async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Page {
        let body = form_urlencoded::Serializer::new(String::new())
            .extend_pairs(fields)
            .finish();
        let kind = "application/x-www-form-urlencoded";
        self.ask(Method::POST, path, kind, body).await
    }
}

/// What `proves` in static/send.js asks of an answer before a phone lets go of an entry.
fn proves(envelope: &Value, server: &str, said: &Value) -> bool {
    server == said["server_id"]
        && said["id"] == envelope["id"]
        && envelope["fields"]
            .as_object()
            .unwrap()
            .iter()
            .all(|(name, text)| said["fields"][name] == *text)
}

fn restored(folder: &TempDir) {
    let copies = data_in(folder).copies();
    let words = [
        "restore",
        copies.to_str().unwrap(),
        "--data",
        folder.path().to_str().unwrap(),
    ];
    let answer = run(&words);
    assert!(answer.status.success(), "{answer:?}");
}

#[tokio::test]
async fn what_comes_while_it_is_damaged_is_in_once_after_a_copy_is_put_back() {
    let folder = with_a_copy().await;
    let spoiled = spoil_a_page(folder.path());
    let served = serve(folder.path());
    let said = served.said.join("\n");
    assert!(said.contains("THE DATABASE IS DAMAGED"), "{said}");
    let visitor = Visitor::at(&served);
    for path in ["/", "/blocks", "/harvest/sheet", "/weather"] {
        let page = visitor.get(path).await;
        assert_eq!(page.status, 200, "{path}: {}", page.text());
        page.says("THE DATABASE IS DAMAGED");
        assert!(!page.text().contains("drawn from the copy"), "{path}");
    }
    let record = visitor.get(&format!("/entries/{}", id(110))).await;
    assert_eq!(
        record.status, 200,
        "the copy stands in for what can't be read"
    );
    record.says("This page is drawn from the copy of");
    record.says(&format!("{MARK} 110"));

    let mut phone = Phone::new(1);
    let mut envelope = rain(&mut phone, id(1), "0.3");
    // The program runs by the machine's clock, for which 2027 may be still to come.
    envelope["fields"]["date"] = "2026-09-10".into();
    for replayed in [Value::Null, Value::Bool(true)] {
        let (status, server, answer) = visitor.put(&envelope).await;
        assert_eq!((status, answer["state"].as_str()), (202, Some("held")));
        assert!(proves(&envelope, &server, &answer), "{answer}");
        assert_eq!(answer["replayed"], replayed);
        let problems = answer["problems"][0].as_str().unwrap();
        assert!(problems.contains("Kept beside the damaged database"));
        let log = lines_beside(&folder.path().join("endpost.db")).unwrap();
        assert_eq!(log.unwrap().lines.len(), 1, "on the disk, and once");
    }
    let mut other = envelope.clone();
    other["fields"]["rain"] = "0.4".into();
    assert_eq!(visitor.put(&other).await.0, 202);
    let told = visitor
        .receipts(phone.device, &[id(1), id(110), id(2)])
        .await;
    assert_eq!(told["receipts"][id(1).to_string()], "held");
    let ping = visitor.get("/api/ping").await;
    assert_eq!(ping.status, 200);
    assert!(ping.body.contains(told["db_epoch"].as_str().unwrap()));

    let form = visitor.get("/weather/new").await.form();
    let mut fields: Vec<(&str, &str)> = form
        .fields
        .iter()
        .filter(|(name, _)| !matches!(name.as_str(), "date" | "rain" | "note"))
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .collect();
    fields.extend([
        ("date", "2027-09-09"),
        ("rain", "lots"),
        ("note", "by hand"),
    ]);
    for _ in 0..2 {
        let kept = visitor.post("/weather", &fields).await;
        assert_eq!(kept.status, 200);
        kept.says("Kept beside; nothing is lost");
        kept.says("lots");
    }
    let refused = visitor
        .post(&format!("/entries/{}/void", id(120)), &[])
        .await;
    assert_eq!(refused.status, 503);
    refused.says("Not while the database is damaged");
    visitor.get("/").await.says("three entries so far");
    served.kill_at_once();
    assert!(
        std::fs::read(folder.path().join("endpost.db")).unwrap() == spoiled,
        "the damaged file was written on"
    );

    // The power goes out in the middle of a further line.
    let log = path_beside(&folder.path().join("endpost.db"));
    let mut text = std::fs::read(&log).unwrap();
    text.extend(b"{\"id\":\"0199");
    std::fs::write(&log, text).unwrap();
    let served = serve(folder.path());
    assert_eq!(
        Visitor::at(&served)
            .put(&rain(&mut phone, id(2), "0.5"))
            .await
            .0,
        202
    );
    served.kill_at_once();

    restored(&folder);
    let served = serve(folder.path());
    let said = served.said.join("\n");
    assert!(
        said.contains("four entries that were kept beside"),
        "{said}"
    );
    assert!(!said.contains("DAMAGED"), "{said}");
    assert!(!log.exists());
    let put_away = names_in(&data_in(&folder).copies());
    assert!(put_away.iter().any(|name| name.starts_with("beside-")));
    let visitor = Visitor::at(&served);
    let (status, _, answer) = visitor.put(&envelope).await;
    assert_eq!(
        (status, &answer["replayed"]),
        (200, &true.into()),
        "{answer}"
    );
    let (status, _, answer) = visitor.put(&other).await;
    assert_eq!(
        (status, &answer["state"]),
        (200, &"kept_both".into()),
        "{answer}"
    );
    drop(served);
    let store = Store::open(&folder.path().join("endpost.db"), clock().now()).await;
    let store = store.unwrap();
    assert_eq!(store.check().await.unwrap().faults, Vec::<String>::new());
    let mut read = store.read().await.unwrap();
    let page_id = form.fields.iter().find(|(name, _)| name == "entry_id");
    let page_id = page_id.unwrap().1.parse().unwrap();
    let held = read.entry(page_id).await.unwrap().expect("the posted page");
    assert_eq!(held.values, None, "nobody was there to be asked");
    assert_eq!(held.fields.first("rain"), "lots");
    let stored = read.entry(id(1)).await.unwrap().expect("the phone's");
    assert!(stored.values.is_some());
    let twin: Uuid = answer["id2"].as_str().unwrap().parse().unwrap();
    let twin = read.entry(twin).await.unwrap().expect("the other one");
    assert_eq!(twin.fields.first("rain"), "0.4");
    drop(read);
    store.close().await;
}

#[tokio::test]
async fn where_nothing_can_be_read_a_copy_is_shown_and_entries_are_kept() {
    let folder = with_a_copy().await;
    let copies = data_in(&folder).copies();
    let copy = copies.join(copies_in(&copies).unwrap()[0].name.to_string());
    let (names, as_made) = (names_in(&copies), std::fs::read(&copy).unwrap());
    let path = folder.path().join("endpost.db");
    let house = {
        let store = Store::open(&path, clock().now()).await.unwrap();
        let house = store.house();
        store.close().await;
        house
    };
    let whole = std::fs::read(&path).unwrap();
    let mut without_a_head = whole.clone();
    without_a_head[..4096].fill(0x5a);
    let mut without_a_body = whole.clone();
    without_a_body[4096..].fill(0x5a);
    for (number, spoiled) in [(1, Vec::new()), (2, without_a_head), (3, without_a_body)] {
        std::fs::write(&path, &spoiled).unwrap();
        let served = serve(folder.path());
        let visitor = Visitor::at(&served);
        for page in ["/", "/weather/new", "/sheets", "/outbox"] {
            let page = visitor.get(page).await;
            assert_eq!(page.status, 200, "{}", page.text());
            page.says("THE DATABASE IS DAMAGED");
            page.says("This page is drawn from the copy of");
            page.says(&format!("endpost restore {}", copy.display()));
        }
        let list = visitor.get("/copies").await;
        assert_eq!(list.status, 403, "nobody can tell who the keeper is");
        list.says("who that is can't be read");
        let form = visitor.get("/weather/new").await;
        assert_eq!(form.attributes("body", "data-server").len(), 1);
        let keeps = form.attributes("body", "data-keep");
        assert!(keeps.is_empty(), "no phone notes it as kept");
        let mut asking = visitor.client.get(served.url("/weather/new"));
        asking = asking.header("endpost-keep", "1");
        let form = Page::read("/weather/new", asking.send().await.unwrap()).await;
        assert_eq!(
            form.header("cache-control"),
            "no-store",
            "no phone keeps it"
        );
        let mut envelope = rain(&mut Phone::new(1), id(number), "0.3");
        envelope["server_id"] = house.server_id.to_string().into();
        let (status, server, answer) = visitor.put(&envelope).await;
        assert_eq!(status, 202, "{answer}");
        assert!(proves(&envelope, &server, &answer), "{answer}");
        assert_eq!(answer["db_epoch"], house.db_epoch.to_string());
        let fields = [("date", "2027-09-09"), ("rain", "0.7")];
        let kept = visitor.post("/weather", &fields).await;
        kept.says("Kept beside; nothing is lost");
        served.kill_at_once();
        assert!(
            std::fs::read(&path).unwrap() == spoiled,
            "it was written on"
        );
        assert!(std::fs::read(&copy).unwrap() == as_made, "so was the copy");
        assert_eq!(names_in(&copies), names);
    }
    restored(&folder);
    let served = serve(folder.path());
    let said = served.said.join("\n");
    assert!(said.contains("six entries that were kept beside"), "{said}");
}

/// Entries are brought in half way, the power goes out, and the next start begins again.
#[tokio::test]
async fn broken_off_in_the_middle_nothing_is_doubled() {
    let folder = with_a_copy().await;
    spoil_a_page(folder.path());
    let served = serve(folder.path());
    let visitor = Visitor::at(&served);
    let mut phone = Phone::new(1);
    for number in 1..=4 {
        let envelope = rain(&mut phone, id(number), "0.3");
        assert_eq!(visitor.put(&envelope).await.0, 202);
    }
    let fields = [("date", "2027-09-09"), ("rain", "0.7")];
    visitor.post("/weather", &fields).await.says("Kept beside");
    served.kill_at_once();
    restored(&folder);
    let data = data_in(&folder);
    let store = Store::open(&data.database(), clock().now()).await.unwrap();
    let before = store.check().await.unwrap().entries;
    let log = lines_beside(&data.database()).unwrap().unwrap();
    for line in &log.lines[..3] {
        assert_eq!(replay(&store, line).await.unwrap(), Became::Entered);
    }
    let brought = bring_in(&store, &data, &clock()).await.unwrap().unwrap();
    assert_eq!((brought.entered, brought.left.len()), (5, 0));
    let found = store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    assert_eq!(found.entries, before + 5);
    let mut read = store.read().await.unwrap();
    let first = read.entry(id(1)).await.unwrap().unwrap();
    let late = (first.received_at - log.lines[0].received_at).abs();
    assert!(
        late < chrono::TimeDelta::seconds(30),
        "it came when it came"
    );
    drop(read);
    assert!(bring_in(&store, &data, &clock()).await.unwrap().is_none());
    store.close().await;
}

/// A log that was kept for another farm enters nothing here and stays.
#[tokio::test]
async fn what_was_kept_for_another_farm_stays_where_it_is() {
    let folder = with_a_copy().await;
    spoil_a_page(folder.path());
    let served = serve(folder.path());
    let envelope = rain(&mut Phone::new(1), id(1), "0.3");
    assert_eq!(Visitor::at(&served).put(&envelope).await.0, 202);
    served.kill_at_once();
    let other = Farm::started_at(MORNING).await.close().await;
    let log = path_beside(&folder.path().join("endpost.db"));
    let there = path_beside(&other.path().join("endpost.db"));
    std::fs::copy(&log, &there).unwrap();
    let served = serve(other.path());
    let said = served.said.join("\n");
    assert!(said.contains("is kept for another farm"), "{said}");
    assert!(there.exists());
    Visitor::at(&served)
        .get("/")
        .await
        .says("could not be entered yet");
}

/// What can't be understood is put away with the rest, but not silently.
#[tokio::test]
async fn a_line_that_can_not_be_entered_is_said_with_where_it_lies() {
    let farm = Farm::started().await;
    let house = farm.store.house().server_id;
    let folder = farm.close().await;
    let line = json!({
        "id": id(1), "fingerprint": vec![0; 32], "received_at": clock().now(), "house": house,
        "came": {"page": {"form": "dance", "device": id(7), "fields": {}}},
    });
    let log = path_beside(&folder.path().join("endpost.db"));
    std::fs::write(&log, format!("{line}\n")).unwrap();
    assert_eq!(
        lines_beside(&folder.path().join("endpost.db"))
            .unwrap()
            .unwrap()
            .lines
            .len(),
        1
    );
    let served = serve(folder.path());
    assert!(!log.exists());
    let names = names_in(&data_in(&folder).copies());
    let kept = names.iter().find(|name| name.starts_with("beside-"));
    let page = Visitor::at(&served).get("/").await;
    page.says("one entry kept beside the damaged database could not be read");
    page.says(kept.expect("the log"));
}

#[tokio::test]
async fn a_side_log_says_nothing_of_a_file_that_was_never_ours() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("endpost.db");
    std::fs::write(&path, "Dear diary, ".repeat(400)).unwrap();
    let opened = Store::open(&path, clock().now()).await;
    assert!(matches!(opened.err(), Some(StoreError::Foreign(_))));
    assert_eq!(names_in(folder.path()), ["endpost.db"]);
}

#[tokio::test]
async fn where_not_even_a_copy_is_left_help_opens_and_entries_are_kept() {
    let folder = with_a_copy().await;
    std::fs::remove_dir_all(data_in(&folder).copies()).unwrap();
    std::fs::write(folder.path().join("endpost.db"), vec![0x5a; 9000]).unwrap();
    let served = serve(folder.path());
    let said = served.said.join("\n");
    assert!(said.contains("who may come can't be read"), "{said}");
    assert!(!said.contains("set the keeper's passphrase"), "{said}");
    let visitor = Visitor::at(&served);
    for path in ["/help/connect", "/outbox"] {
        let page = visitor.get(path).await;
        assert_eq!(page.status, 200, "{}", page.text());
        page.says("THE DATABASE IS DAMAGED");
        page.says_not("not let in");
    }
    let form = visitor.get("/weather/new").await;
    assert_eq!(form.status, 503);
    form.says("The database is damaged");
    assert!(!form.text().contains("log says"), "{}", form.text());
    let fields = [("date", "2027-09-09"), ("rain", "0.7")];
    let kept = visitor.post("/weather", &fields).await;
    kept.says("Kept beside; nothing is lost");
}
