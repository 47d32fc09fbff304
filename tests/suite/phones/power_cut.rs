//! The power goes out: what was answered is in the files, at whatever instant. The program runs in
//! a process of its own; a copy of its files at an instant stands for what a power cut leaves.
//! Not here: a full disk (`full_disk`), a disk that lies about what it keeps.

use std::path::Path;
use std::sync::{Arc, Mutex};

use endpost::science::ripeness::walk::dice::Dice;
use serde_json::{Value, json};
use tokio::sync::{Semaphore, watch};
use tokio::task::JoinSet;
use uuid::Uuid;

use crate::support::binary::{Served, serve};
use crate::support::copies::{Answered, Copy, has_it_all, replays};
use crate::support::phone::{PAST_DAY, Phone, past_rain};
use crate::support::sender::Sender;

const CLIENTS: u32 = 6;
const INSTANTS: u32 = 200;

/// What has been answered so far, and how often.
#[derive(Clone)]
struct Heard {
    answered: Arc<Mutex<Answered>>,
    count: watch::Sender<u32>,
}

impl Heard {
    fn entry(&self, id: Uuid) {
        self.answered.lock().expect("a set").entries.insert(id);
        self.count.send_modify(|count| *count += 1);
    }

    fn taken_back(&self, id: Uuid) {
        self.answered.lock().expect("a set").taken_back.insert(id);
    }

    fn so_far(&self) -> Answered {
        self.answered.lock().expect("a set").clone()
    }
}

/// Somebody who enters all sorts of things, one after the other.
struct Client {
    sender: Sender,
    phone: Phone,
    dice: Dice,
    /// Records of the client's own that stand.
    own: Vec<Uuid>,
}

impl Client {
    fn sample(&mut self) -> Vec<(String, String)> {
        let day = format!(
            "20{:02}-09-{:02}",
            10 + self.dice.below(16),
            1 + self.dice.below(30)
        );
        let brix = format!("{}.{}", 14 + self.dice.below(9), self.dice.below(10));
        [
            ("block", "A".to_owned()),
            ("date", day),
            ("brix_1_1", brix),
            ("no_instrument", "yes".to_owned()),
        ]
        .map(|(name, text)| (name.to_owned(), text))
        .into()
    }

    fn envelope(&mut self, id: Uuid) -> Value {
        let mut envelope = past_rain(&mut self.phone, id);
        envelope["fields"]["rain"] = format!("0.{}", self.dice.below(10)).into();
        envelope
    }

    /// A correction of a record, or an entry of its own where there is none.
    fn correction(&mut self, id: Uuid) -> Value {
        let mut envelope = self.envelope(id);
        if let Some(record) = self.own.last() {
            envelope["subject"] = json!(record);
            envelope["base"] = json!(record);
        }
        envelope
    }

    /// Enters one thing. None where the program is gone.
    async fn enter(&mut self, heard: &Heard) -> Option<()> {
        let id = Uuid::now_v7();
        let text = id.to_string();
        match self.dice.below(6) {
            0 => {
                let fields = [("date", PAST_DAY), ("rain", "0.2"), ("note", text.as_str())];
                self.post("/weather", id, &fields, heard).await?;
                self.own.push(id);
            }
            1 => {
                let sample = self.sample();
                let fields = sample
                    .iter()
                    .map(|(name, text)| (name.as_str(), text.as_str()));
                self.post("/ripeness", id, &fields.collect::<Vec<_>>(), heard)
                    .await?;
            }
            2 => {
                let mut envelope = self.envelope(id);
                envelope["form"] = "sample".into();
                envelope["fields"] = self.sample().into_iter().collect();
                self.put(id, &envelope, heard).await?;
            }
            3 => {
                let envelope = self.correction(id);
                self.put(id, &envelope, heard).await?;
            }
            4 if !self.own.is_empty() => {
                let subject = self.own.remove(0);
                let path = format!("/entries/{subject}/void");
                self.post(&path, id, &[("reason", "a slip")], heard).await?;
                heard.taken_back(subject);
            }
            _ => {
                let envelope = self.envelope(id);
                self.put(id, &envelope, heard).await?;
                self.own.push(id);
            }
        }
        Some(())
    }

    async fn put(&self, id: Uuid, envelope: &Value, heard: &Heard) -> Option<()> {
        let (status, answer) = self.sender.put(envelope).await?;
        assert!(matches!(status, 200..=202), "{status}: {answer}");
        heard.entry(id);
        Some(())
    }

    async fn post(
        &self,
        path: &str,
        id: Uuid,
        fields: &[(&str, &str)],
        heard: &Heard,
    ) -> Option<()> {
        let text = id.to_string();
        let own = [
            ("entry_id", text.as_str()),
            ("form_version", "1"),
            ("keep", "1"),
        ];
        let fields: Vec<(&str, &str)> = own.into_iter().chain(fields.iter().copied()).collect();
        let (status, page) = self.sender.post(path, &fields).await?;
        assert_eq!(status, 303, "{path}: {page}");
        heard.entry(id);
        Some(())
    }
}

/// Clients that enter one thing for each leave they are given, until the program is gone.
fn clients_at_work(
    served: &Served,
    heard: &Heard,
    leave: &Arc<Semaphore>,
    seed: u64,
) -> JoinSet<()> {
    let mut clients = JoinSet::new();
    for number in 0..CLIENTS {
        let mut client = Client {
            sender: Sender::to(&served.address),
            phone: Phone::new(number),
            dice: Dice::new(seed ^ u64::from(number) << 32),
            own: Vec::new(),
        };
        let (heard, leave) = (heard.clone(), leave.clone());
        clients.spawn(async move {
            loop {
                leave.acquire().await.expect("leave").forget();
                if client.enter(&heard).await.is_none() {
                    return;
                }
            }
        });
    }
    clients
}

/// The number from which all else follows; ENDPOST_SEED repeats a run.
fn seed() -> u64 {
    let asked = std::env::var("ENDPOST_SEED").ok();
    let fresh = || Uuid::new_v4().as_u64_pair().0;
    let seed = asked
        .and_then(|text| text.parse().ok())
        .unwrap_or_else(fresh);
    println!("ENDPOST_SEED={seed}");
    seed
}

/// The files and what had been answered, while the program is held where it is.
fn instant(served: &Served, folder: &Path, heard: &Heard) -> (Answered, Copy) {
    served.stand_still(|| (heard.so_far(), Copy::of(folder)))
}

/// A while of no fixed length, so that an instant falls anywhere into the work of a commit.
fn a_while(dice: &mut Dice) {
    for _ in 0..dice.below(400_000) {
        std::hint::spin_loop();
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn whatever_was_answered_is_in_the_files_at_any_instant() {
    let seed = seed();
    let mut dice = Dice::new(seed);
    let folder = tempfile::tempdir().unwrap();
    let served = serve(folder.path());
    Sender::to(&served.address).starts_the_farm().await;
    let (count, mut counted) = watch::channel(0);
    let heard = Heard {
        answered: Arc::default(),
        count,
    };
    let leave = Arc::new(Semaphore::new(0));
    let mut clients = clients_at_work(&served, &heard, &leave, seed);
    let mut before: Option<(Answered, Copy)> = None;
    let (mut torn, mut given, mut in_the_middle) = (0, 0, 0);
    for number in 1..=INSTANTS {
        let more = 2 + dice.below(7);
        leave.add_permits(more as usize);
        let enough = given + dice.below(more);
        given += more;
        tokio::select! {
            counted = counted.wait_for(|count| *count >= enough) => {
                counted.expect("clients at work");
            }
            Some(ended) = clients.join_next() => panic!("a client gave up: {:?}", ended.err()),
        }
        a_while(&mut dice);
        let (answered, copy) = instant(&served, folder.path(), &heard);
        in_the_middle += u32::from(copy.committed() < copy.log.len());
        let laid = copy.laid_out();
        has_it_all(laid.path(), &answered).await;
        if number % 40 == 0 {
            replays(laid.path()).await;
        }
        // What was written after the instant before may be on the disk up to any byte; what had
        // been answered by then was synced, and no power cut takes it away.
        if let Some((answered, from)) = before.replace((answered, copy.clone()))
            && from.goes_on_in(&copy)
        {
            let grown = copy.log.len() - from.committed();
            let at = from.committed() + dice.below(grown as u32 + 1) as usize;
            let beyond =
                vec![dice.below(256) as u8; dice.below(2) as usize * (copy.log.len() - at)];
            let cut = from.cut_on_the_way_to(&copy, at, &beyond).laid_out();
            has_it_all(cut.path(), &answered).await;
            torn += 1;
        }
    }
    println!("{torn} logs were torn, {in_the_middle} instants fell into the work of a commit");
    assert!(torn > INSTANTS / 4, "only {torn} logs were torn");
    let (answered, _) = instant(&served, folder.path(), &heard);
    served.kill_at_once();
    leave.add_permits(CLIENTS as usize);
    while let Some(client) = clients.join_next().await {
        client.expect("a client that stopped by itself");
    }
    assert!(answered.entries.len() > 3 * INSTANTS as usize);
    assert!(answered.taken_back.len() > 20, "{answered:?}");
    has_it_all(folder.path(), &answered).await;
    replays(folder.path()).await;
}
