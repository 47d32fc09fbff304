//! How many acknowledged, durable entries a second come through the whole path of `PUT
//! /api/entries/{id}`, beside a bare server that only writes them down (`bare`). Both run in this
//! process, one after the other, on the same disk and with the same clients.
//! Not here: any promise that a test holds.

mod bare;

use std::time::{Duration, Instant};

use anyhow::{Context, ensure};
use chrono::{DateTime, Utc};
use endpost::clock::Clock;
use endpost::program::serve::Server;
use endpost::store::Store;
use reqwest::Client;
use tokio::sync::oneshot;
use tokio::task::JoinSet;
use uuid::Uuid;

/// Clients at once, and how many entries each of them sends.
const ROUNDS: [(usize, usize); 3] = [(1, 200), (8, 150), (32, 100)];
const MORNING: &str = "2027-09-10T11:00:00Z";

/// What one round took.
struct Measured {
    per_second: f64,
    p99: Duration,
}

fn main() -> anyhow::Result<()> {
    let runtime = tokio::runtime::Runtime::new()?;
    runtime.block_on(compare())
}

async fn compare() -> anyhow::Result<()> {
    println!("clients   Endpost/s      p99     bare/s      p99    ratio");
    for (clients, each) in ROUNDS {
        let ours = endpost(clients, each).await?;
        let bare = bare_server(clients, each).await?;
        println!(
            "{clients:7} {:11.0} {:6} ms {:10.0} {:6} ms {:8.2}",
            ours.per_second,
            ours.p99.as_millis(),
            bare.per_second,
            bare.p99.as_millis(),
            ours.per_second / bare.per_second
        );
    }
    Ok(())
}

async fn endpost(clients: usize, each: usize) -> anyhow::Result<Measured> {
    let folder = tempfile::tempdir()?;
    let now: DateTime<Utc> = MORNING.parse()?;
    let store = Store::open(&folder.path().join("endpost.db"), now).await?;
    let clock = Clock::starting_at(now);
    let server = Server::bind(store, clock, false, "127.0.0.1:0".parse()?).await?;
    let address = server.url().trim_end_matches('/').to_owned();
    let (stop, stopped) = oneshot::channel::<()>();
    let running = tokio::spawn(server.run_until(async {
        let _ = stopped.await;
    }));
    start_a_farm(&address).await?;
    let measured = measure(&address, clients, each).await?;
    drop(stop);
    running.await??;
    Ok(measured)
}

async fn start_a_farm(address: &str) -> anyhow::Result<()> {
    let answer = Client::new()
        .post(format!("{address}/start"))
        .header("origin", address)
        .header("content-type", "application/x-www-form-urlencoded")
        .body("name=Tamarack+Bend&zone=America%2FNew_York&block_name=A&temperature=celsius&mass=kilogram&length=metre")
        .send()
        .await?;
    ensure!(
        answer.status().is_success(),
        "the first start was answered {}",
        answer.status()
    );
    Ok(())
}

async fn bare_server(clients: usize, each: usize) -> anyhow::Result<Measured> {
    let folder = tempfile::tempdir()?;
    let served = bare::serve(&folder.path().join("bare.db")).await?;
    let measured = measure(&served.address, clients, each).await?;
    served.stop().await?;
    Ok(measured)
}

/// Lets the clients send, each one entry after the other over a line that is kept.
async fn measure(address: &str, clients: usize, each: usize) -> anyhow::Result<Measured> {
    let started = Instant::now();
    let mut sending = JoinSet::new();
    for _ in 0..clients {
        sending.spawn(send(address.to_owned(), each));
    }
    let mut took = Vec::with_capacity(clients * each);
    while let Some(done) = sending.join_next().await {
        took.extend(done??);
    }
    let seconds = started.elapsed().as_secs_f64();
    took.sort_unstable();
    let p99 = took.get(took.len() * 99 / 100).context("no answers")?;
    Ok(Measured {
        per_second: took.len() as f64 / seconds,
        p99: *p99,
    })
}

async fn send(address: String, each: usize) -> anyhow::Result<Vec<Duration>> {
    let client = Client::new();
    let device = Uuid::now_v7();
    let mut took = Vec::with_capacity(each);
    for seq in 1..=each {
        let id = Uuid::now_v7();
        let body = format!(
            r#"{{"v":1,"id":"{id}","device":"{device}","seq":{seq},"form":"weather","form_version":1,"fields":{{"date":"2027-09-10","rain":"5","note":"","units":"celsius kilogram metre"}},"entered_at":"2027-09-10T06:55:00-04:00","sent_at":"2027-09-10T07:00:00-04:00","attempt":1}}"#
        );
        let began = Instant::now();
        let answer = client
            .put(format!("{address}/api/entries/{id}"))
            .header("origin", &address)
            .header("content-type", "application/json")
            .body(body)
            .send()
            .await?;
        let status = answer.status().as_u16();
        let said = answer.text().await?;
        took.push(began.elapsed());
        ensure!(status == 201, "an entry was answered {status}: {said}");
    }
    Ok(took)
}
