//! How fast entries are acknowledged as durable: Endpost's whole path over HTTP beside a bare
//! server that only groups inserts, in the same run. Figures of one machine; only their ratios
//! carry over. Not here: tests (nothing here can fail for being slow).

mod bare;
mod house;
mod load;

use std::time::Duration;

use load::{Load, Measured};

const CLIENTS: [usize; 3] = [1, 8, 32];
const ROUNDS: usize = 3;
const ROUND: Duration = Duration::from_secs(3);

fn main() {
    // `cargo test --benches` and `cargo bench -- --test` only ask whether it starts.
    if std::env::args().any(|word| word == "--test" || word == "--list") {
        return;
    }
    // `cargo bench -- 32 sample` measures only that.
    let only: Vec<String> = std::env::args()
        .skip(1)
        .filter(|word| !word.starts_with('-'))
        .collect();
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .expect("a runtime");
    runtime.block_on(measure(&only));
}

async fn measure(only: &[String]) {
    println!(
        "Acknowledged durable entries a second (synchronous = FULL), median of {ROUNDS} rounds of {} s.",
        ROUND.as_secs()
    );
    println!(
        "{:>8} {:>18} {:>10} {:>10} {:>10} {:>7} {:>9}",
        "clients", "what", "endpost", "bare", "p99 ms", "ratio", "p99 ratio"
    );
    for clients in CLIENTS {
        for what in house::KINDS {
            let named = [clients.to_string(), what.to_owned()];
            if !only.iter().all(|word| named.contains(word)) {
                continue;
            }
            let mut ours = Vec::new();
            let mut bare = Vec::new();
            for _ in 0..ROUNDS {
                let server = bare::Bare::start().await;
                bare.push(
                    Load::new(clients, ROUND)
                        .run(server.address(), bare::request)
                        .await,
                );
                server.stop().await;
                let server = house::House::start().await;
                let request = server.requests(what);
                ours.push(
                    Load::new(clients, ROUND)
                        .run(server.address(), request)
                        .await,
                );
                server.stop().await;
            }
            let (ours, bare) = (Measured::median(ours), Measured::median(bare));
            println!(
                "{clients:>8} {what:>18} {:>10.0} {:>10.0} {:>4.1}/{:>4.1} {:>7.2} {:>9.2}",
                ours.a_second,
                bare.a_second,
                ours.p99_ms,
                bare.p99_ms,
                ours.a_second / bare.a_second,
                ours.p99_ms / bare.p99_ms
            );
        }
    }
}
