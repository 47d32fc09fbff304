//! Endpost itself over a farm of its own: envelopes of a phone, by the whole path of checks, ledger
//! and record.

use std::net::SocketAddr;
use std::sync::atomic::{AtomicI64, Ordering};

use endpost::clock::Clock;
use endpost::program::serve::Server;
use endpost::store::Store;
use serde_json::json;
use tempfile::TempDir;
use tokio::sync::oneshot;
use uuid::Uuid;

/// The kinds of entries that are measured: the plainest, and the one that asks the most.
pub const KINDS: [&str; 2] = ["weather", "sample"];

pub struct House {
    address: SocketAddr,
    block: Uuid,
    stop: oneshot::Sender<()>,
    running: tokio::task::JoinHandle<anyhow::Result<()>>,
    _folder: TempDir,
}

impl House {
    pub async fn start() -> Self {
        let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).expect("a folder");
        let clock = Clock::starting_at(endpost::program::demo::start().expect("the demo's start"));
        let store = Store::open(&folder.path().join("endpost.db"), clock.now())
            .await
            .expect("a store");
        endpost::program::demo::fill(&store)
            .await
            .expect("the demo's entries");
        let block = store
            .read()
            .await
            .expect("a view")
            .blocks()
            .await
            .expect("blocks")[0]
            .id;
        let listen: SocketAddr = ([127, 0, 0, 1], 0).into();
        let server = Server::bind(store, clock, false, listen)
            .await
            .expect("a server");
        let address = server.address();
        let (stop, stopped) = oneshot::channel();
        let running = tokio::spawn(server.run_until(async {
            let _ = stopped.await;
        }));
        Self {
            address,
            block,
            stop,
            running,
            _folder: folder,
        }
    }

    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Requests of one kind, each a new entry of the same phone.
    pub fn requests(&self, kind: &str) -> impl Fn(SocketAddr) -> Vec<u8> + Send + Sync + 'static {
        let (device, block, kind) = (Uuid::now_v7(), self.block, kind.to_owned());
        let seq = AtomicI64::new(0);
        move |address| {
            let id = Uuid::now_v7();
            let seq = seq.fetch_add(1, Ordering::Relaxed) + 1;
            let fields = match kind.as_str() {
                "weather" => {
                    json!({"date": "2027-09-10", "rain": "0.4", "note": "a shower at noon"})
                }
                // A day of its own each, since two bags of one number on one day are asked about.
                _ => json!({
                    "block": block, "brix_1_1": "21.4", "brix_1_2": "21.6",
                    "date": day(seq), "ph_1_1": "3.2",
                }),
            };
            let body = json!({
                "v": 1, "id": id, "device": device, "seq": seq, "form": kind, "form_version": 1,
                "fields": fields, "entered_at": "2027-09-10T07:41:03-04:00",
                "sent_at": "2027-09-10T07:41:04-04:00", "attempt": 1,
            });
            super::load::put(address, &format!("/api/entries/{id}"), &body.to_string())
        }
    }

    pub async fn stop(self) {
        let _ = self.stop.send(());
        self.running.await.expect("a server").expect("a clean stop");
    }
}

fn day(number: i64) -> String {
    let day = chrono::NaiveDate::from_ymd_opt(1900, 1, 1).expect("a day");
    (day + chrono::TimeDelta::days(number % 40_000)).to_string()
}
