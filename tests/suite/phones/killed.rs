//! The program is ended from outside again and again while sixteen clients send: none of what they
//! saved is lost, and none is there twice. Not here: what lies in the files in between
//! (`power_cut`).

use endpost::science::ripeness::walk::dice::Dice;
use endpost::store::Store;
use endpost::store::ledger::State;
use endpost::{clock::Clock, store::Read};
use serde_json::Value;
use tokio::sync::watch;
use tokio::task::JoinSet;
use uuid::Uuid;

use crate::support::binary::{Served, serve};
use crate::support::phone::{Phone, past_rain};
use crate::support::sender::Sender;

const CLIENTS: u32 = 16;

/// ENDPOST_ROUNDS asks for more or fewer.
const USUAL_ROUNDS: usize = 100;

/// A phone with its outbox, or somebody at a plain page who saves it again when nothing came back.
struct Client {
    phone: Phone,
    by_page: bool,
    waiting: Option<Value>,
    saved: Vec<Uuid>,
    answered: usize,
    /// Of those the ones that had been stored before, while their answer was lost.
    stored_before: usize,
}

impl Client {
    fn new(number: u32) -> Self {
        Self {
            phone: Phone::new(number),
            by_page: number.is_multiple_of(4),
            waiting: None,
            saved: Vec::new(),
            answered: 0,
            stored_before: 0,
        }
    }

    /// What was saved and has no answer yet, or something new.
    fn next(&mut self) -> Value {
        let (phone, saved) = (&mut self.phone, &mut self.saved);
        let fresh = || {
            let id = Uuid::now_v7();
            saved.push(id);
            past_rain(phone, id)
        };
        self.waiting.take().unwrap_or_else(fresh)
    }

    /// Whether it was answered; under its own id, and not as a second of two.
    async fn send(&mut self, sender: &Sender, envelope: &Value) -> bool {
        let id = envelope["id"].as_str().expect("an id");
        if !self.by_page {
            let Some((status, answer)) = sender.put(envelope).await else {
                return false;
            };
            assert!(matches!(status, 200 | 201), "{status}: {answer}");
            assert_eq!(answer["id"], envelope["id"]);
            assert_eq!(answer["state"], "stored");
            self.stored_before += usize::from(answer["replayed"] == true);
            return true;
        }
        let text = |name: &str| envelope["fields"][name].as_str().unwrap_or("");
        let fields = [
            ("entry_id", id),
            ("form_version", "1"),
            ("date", text("date")),
            ("rain", text("rain")),
            ("note", text("note")),
            ("units", text("units")),
        ];
        let Some((status, led_to)) = sender.post("/weather", &fields).await else {
            return false;
        };
        assert_eq!((status, led_to), (303, format!("/entries/{id}")));
        true
    }

    /// Sends until the program is gone.
    async fn work(mut self, address: String, tell: watch::Sender<u32>) -> Self {
        let sender = Sender::to(&address);
        loop {
            let envelope = self.next();
            if !self.send(&sender, &envelope).await {
                self.waiting = Some(envelope);
                return self;
            }
            self.answered += 1;
            tell.send_modify(|count| *count += 1);
        }
    }
}

/// All clients at work until so many answers came; then the program is killed.
async fn round(served: Served, clients: Vec<Client>, enough: u32) -> Vec<Client> {
    let (tell, mut count) = watch::channel(0);
    let mut at_work = JoinSet::new();
    for client in clients {
        at_work.spawn(client.work(served.address.clone(), tell.clone()));
    }
    tokio::select! {
        counted = count.wait_for(|count| *count >= enough) => { counted.expect("clients at work"); }
        Some(ended) = at_work.join_next() => panic!("a client gave up: {:?}", ended.err()),
    }
    served.kill_at_once();
    at_work.join_all().await
}

async fn is_there_once(read: &mut Read, id: Uuid) {
    let entry = read.entry(id).await.expect("a look");
    let entry = entry.unwrap_or_else(|| panic!("{id} is lost"));
    assert_eq!(entry.state, State::Stored, "{id}");
    assert_eq!(entry.fields.first("note"), id.to_string());
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn rounds_of_kill_nine_under_sixteen_clients_lose_nothing_and_double_nothing() {
    let asked = std::env::var("ENDPOST_ROUNDS").ok();
    let rounds = asked
        .and_then(|text| text.parse().ok())
        .unwrap_or(USUAL_ROUNDS);
    let folder = tempfile::tempdir().unwrap();
    let served = serve(folder.path());
    Sender::to(&served.address).starts_the_farm().await;
    served.kill_at_once();
    let mut dice = Dice::new(Uuid::new_v4().as_u64_pair().0);
    let mut clients: Vec<Client> = (0..CLIENTS).map(Client::new).collect();
    let mut sent_again = 0;
    for _ in 0..rounds {
        sent_again += clients.iter().filter(|one| one.waiting.is_some()).count();
        let enough = dice.below(64);
        clients = round(serve(folder.path()), clients, enough).await;
    }
    // Once more, and this time nobody ends it: all that waits is sent.
    let served = serve(folder.path());
    let sender = Sender::to(&served.address);
    for client in &mut clients {
        if let Some(envelope) = client.waiting.take() {
            assert!(client.send(&sender, &envelope).await, "the last time");
            client.answered += 1;
        }
    }
    served.kill_at_once();
    let saved: Vec<Uuid> = clients.iter().flat_map(|one| one.saved.clone()).collect();
    let answered: usize = clients.iter().map(|one| one.answered).sum();
    let stored_before: usize = clients.iter().map(|one| one.stored_before).sum();
    println!(
        "{rounds} rounds, {} entries of {CLIENTS} clients, {sent_again} sent again, of which \
         {stored_before} envelopes had been stored",
        saved.len()
    );
    assert_eq!(answered, saved.len());
    assert!(sent_again > rounds, "only {sent_again} were cut off");
    let now = Clock::of_this_machine().now();
    let store = Store::open(&folder.path().join("endpost.db"), now)
        .await
        .unwrap();
    let mut read = store.read().await.unwrap();
    for id in &saved {
        is_there_once(&mut read, *id).await;
    }
    let found = read.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    // The first start made two: the farm and its block.
    assert_eq!(found.entries, saved.len() + 2, "something is there twice");
    drop(read);
    store.close().await;
}
