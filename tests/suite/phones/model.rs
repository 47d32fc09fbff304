//! Phones that follow the protocol to the letter, on a line that loses requests and answers, with
//! a server that is started again, set to other times, and overwritten with older copies of its
//! data: every entry saved ends as exactly one, or is still on its phone.
//! Not here: the scripts that do this on a phone (`browser`).

use std::collections::BTreeMap;

use endpost::store::ledger::State;
use proptest::collection::vec;
use proptest::prelude::*;
use serde_json::{Value, json};
use tempfile::TempDir;
use uuid::Uuid;

use super::restored::put_back;
use crate::support::farm::Farm;
use crate::support::phone::{Phone, rain, seconds_later};

/// What can happen.
#[derive(Clone, Copy, Debug)]
enum Step {
    /// Somebody saves an entry; one that can't be understood, if it is odd.
    Save {
        phone: usize,
        odd: bool,
    },
    /// Somebody changes one of all the entries saved, as it was when it was first stored.
    Change {
        phone: usize,
        which: usize,
    },
    /// The phone sends what waits on it.
    Send {
        phone: usize,
        fate: Fate,
    },
    /// The phone forgets what it had in hand and looks anew who answers.
    KillPhone {
        phone: usize,
    },
    SetPhoneClock {
        phone: usize,
        hours: i64,
    },
    Restart {
        hours: i64,
    },
    CopyTheData,
    PutTheCopyBack,
}

/// What the line does to each request of a round.
#[derive(Clone, Copy, Debug)]
enum Fate {
    Whole,
    RequestLost,
    AnswerLost,
    Doubled,
}

fn step() -> impl Strategy<Value = Step> {
    let phone = || 0..2usize;
    let fate = prop_oneof![
        3 => Just(Fate::Whole),
        1 => Just(Fate::RequestLost),
        2 => Just(Fate::AnswerLost),
        1 => Just(Fate::Doubled),
    ];
    prop_oneof![
        6 => (phone(), any::<bool>()).prop_map(|(phone, odd)| Step::Save { phone, odd }),
        2 => (phone(), 0..50usize).prop_map(|(phone, which)| Step::Change { phone, which }),
        8 => (phone(), fate).prop_map(|(phone, fate)| Step::Send { phone, fate }),
        1 => phone().prop_map(|phone| Step::KillPhone { phone }),
        1 => (phone(), -48..48i64).prop_map(|(phone, hours)| Step::SetPhoneClock { phone, hours }),
        1 => (-30..30i64).prop_map(|hours| Step::Restart { hours }),
        1 => Just(Step::CopyTheData),
        2 => Just(Step::PutTheCopyBack),
    ]
}

/// One entry in the outbox of a phone.
struct Kept {
    envelope: Value,
    /// Under which id the house has it; none while it waits.
    at_the_house: Option<Uuid>,
}

struct ModelPhone {
    phone: Phone,
    /// By its number, the oldest first.
    outbox: BTreeMap<i64, Kept>,
    /// The epoch under which what was sent is known to be at the house.
    epoch: Option<String>,
    knows_who_answers: bool,
    clock_hours: i64,
}

impl ModelPhone {
    fn new(number: u32) -> Self {
        Self {
            phone: Phone::new(number),
            outbox: BTreeMap::new(),
            epoch: None,
            knows_who_answers: false,
            clock_hours: 0,
        }
    }

    fn keep(&mut self, envelope: Value) {
        self.outbox.insert(
            self.phone.seq,
            Kept {
                envelope,
                at_the_house: None,
            },
        );
    }

    fn waiting(&self) -> Vec<i64> {
        let waiting = self.outbox.iter();
        let waiting = waiting.filter(|(_, kept)| kept.at_the_house.is_none());
        waiting.map(|(seq, _)| *seq).collect()
    }

    /// Sends what waits, the oldest first, and stops at the first request that gets no answer.
    async fn send(&mut self, farm: &Farm, fate: Fate) {
        if !self.knows_who_answers {
            let pong = farm.ping().await;
            self.heard(farm, pong.text("db_epoch")).await;
            self.knows_who_answers = true;
        }
        for seq in self.waiting() {
            let Some(kept) = self.outbox.get_mut(&seq) else {
                continue;
            };
            kept.envelope["sent_at"] = seconds_later(SENT, self.clock_hours * 3600).into();
            let envelope = kept.envelope.clone();
            let answer = match fate {
                Fate::RequestLost => return,
                Fate::AnswerLost => {
                    farm.put(&envelope).await;
                    return;
                }
                Fate::Doubled => {
                    farm.put(&envelope).await;
                    farm.put(&envelope).await
                }
                Fate::Whole => farm.put(&envelope).await,
            };
            assert!(matches!(answer.status, 200..=202), "{}", answer.body);
            let under = match answer.body["id2"].as_str() {
                Some(second) => second,
                None => answer.text("id"),
            };
            kept.at_the_house = Some(under.parse().expect("an id"));
            self.heard(farm, answer.text("db_epoch")).await;
        }
    }

    /// Under a new epoch the phone asks what the house still has, and offers again what it lacks.
    async fn heard(&mut self, farm: &Farm, epoch: &str) {
        if self.epoch.as_deref() == Some(epoch) {
            return;
        }
        let ids: Vec<Uuid> = self
            .outbox
            .values()
            .filter_map(|kept| kept.at_the_house)
            .collect();
        let question = json!({
            "device": self.phone.device,
            "seq": self.phone.seq,
            "waiting": self.waiting().len(),
            "ids": ids,
        });
        let answer = farm.receipts(&question).await;
        for kept in self.outbox.values_mut() {
            if let Some(id) = kept.at_the_house
                && answer.body["receipts"][id.to_string()] == "unknown"
            {
                kept.at_the_house = None;
            }
        }
        self.epoch = Some(epoch.to_owned());
    }
}

/// 07:00 at Tamarack Bend, by a phone whose clock is right.
const SENT: &str = "2027-09-10T07:00:00-04:00";

struct World {
    farm: Option<Farm>,
    hours: i64,
    copy: Option<Vec<u8>>,
    phones: [ModelPhone; 2],
    saved: Vec<Uuid>,
}

impl World {
    async fn new() -> Self {
        Self {
            farm: Some(Farm::started().await),
            hours: 0,
            copy: None,
            phones: [ModelPhone::new(1), ModelPhone::new(2)],
            saved: Vec::new(),
        }
    }

    fn farm(&self) -> &Farm {
        self.farm.as_ref().expect("a farm between two steps")
    }

    /// Stops the server, does something to its folder, and serves it again.
    async fn between(&mut self, change: impl FnOnce(&TempDir)) {
        let folder = self.farm.take().expect("a farm").close().await;
        change(&folder);
        let now = seconds_later(SENT, self.hours * 3600);
        self.farm = Some(Farm::in_folder(folder, &now).await);
    }

    async fn take(&mut self, step: Step) {
        match step {
            Step::Save { phone, odd } => {
                let text = if odd { "much" } else { "0.2" };
                self.save(phone, text, None);
            }
            Step::Change { phone, which } => {
                if !self.saved.is_empty() {
                    let record = self.saved[which % self.saved.len()];
                    self.save(phone, &format!("0.{which}"), Some(record));
                }
            }
            Step::Send { phone, fate } => {
                let farm = self.farm.take().expect("a farm");
                self.phones[phone].send(&farm, fate).await;
                self.farm = Some(farm);
            }
            Step::KillPhone { phone } => self.phones[phone].knows_who_answers = false,
            Step::SetPhoneClock { phone, hours } => self.phones[phone].clock_hours = hours,
            Step::Restart { hours } => {
                self.hours = hours;
                self.between(|_| ()).await;
            }
            Step::CopyTheData => {
                let mut copy = None;
                self.between(|folder| copy = std::fs::read(folder.path().join("endpost.db")).ok())
                    .await;
                self.copy = copy;
            }
            Step::PutTheCopyBack => {
                if let Some(copy) = self.copy.clone() {
                    self.between(|folder| put_back(folder.path(), &copy)).await;
                }
            }
        }
    }

    fn save(&mut self, phone: usize, text: &str, record: Option<Uuid>) {
        let id = Uuid::now_v7();
        let phone = &mut self.phones[phone];
        let mut envelope = rain(&mut phone.phone, id, text);
        envelope["entered_at"] = seconds_later(SENT, phone.clock_hours * 3600).into();
        if let Some(record) = record {
            envelope["subject"] = record.to_string().into();
            envelope["base"] = record.to_string().into();
        }
        phone.keep(envelope);
        self.saved.push(id);
    }

    /// An entry that no phone holds as waiting is at the house, or its phone has yet to hear that
    /// the house is another now.
    async fn nothing_is_lost(&self) {
        let mut read = self.farm().store.read().await.expect("a view");
        let epoch = self.farm().store.house().db_epoch.to_string();
        for phone in &self.phones {
            for kept in phone.outbox.values() {
                let Some(id) = kept.at_the_house else {
                    continue;
                };
                let here = read.entry(id).await.expect("a look").is_some();
                let told = phone.epoch.as_deref() == Some(epoch.as_str());
                assert!(here || !told, "{id} is nowhere");
            }
        }
    }

    /// In range again, with a line that holds, everything ends as exactly one.
    async fn ends_well(mut self) {
        for phone in &mut self.phones {
            phone.knows_who_answers = false;
        }
        for phone in [0, 1, 0, 1] {
            let fate = Fate::Whole;
            self.take(Step::Send { phone, fate }).await;
        }
        let farm = self.farm.take().expect("a farm");
        let mut read = farm.store.read().await.expect("a view");
        for phone in &self.phones {
            assert_eq!(phone.waiting(), Vec::<i64>::new());
        }
        for id in &self.saved {
            let entry = read.entry(*id).await.expect("a look");
            let state = entry.unwrap_or_else(|| panic!("{id} is gone")).state;
            assert!(matches!(
                state,
                State::Stored | State::Held | State::Conflict
            ));
        }
        let found = read.check().await.expect("a check");
        assert_eq!(found.faults, Vec::<String>::new());
        // The first start made two: the farm and its block.
        assert_eq!(
            found.entries,
            self.saved.len() + 2,
            "something is there twice"
        );
        drop(read);
        farm.close().await;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, max_shrink_iters: 200, ..ProptestConfig::default() })]

    #[test]
    fn every_saved_entry_ends_as_exactly_one(steps in vec(step(), 5..45)) {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        runtime.block_on(async {
            let mut world = World::new().await;
            for step in steps {
                world.take(step).await;
                world.nothing_is_lost().await;
            }
            world.ends_well().await;
        });
    }
}
