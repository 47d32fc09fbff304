//! Clients that each keep one connection, send a request, wait for the whole answer, and send the
//! next. Written by hand on a socket, so that the client costs little beside the server.
//! Not here: what is sent (`bare`, `house`).

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

/// How many clients, for how long.
pub struct Load {
    clients: usize,
    time: Duration,
}

/// What was seen.
#[derive(Clone, Copy)]
pub struct Measured {
    pub a_second: f64,
    pub p99_ms: f64,
}

impl Measured {
    /// The round in the middle, by entries a second.
    pub fn median(mut rounds: Vec<Self>) -> Self {
        rounds.sort_by(|one, other| one.a_second.total_cmp(&other.a_second));
        rounds[rounds.len() / 2]
    }
}

impl Load {
    pub fn new(clients: usize, time: Duration) -> Self {
        Self { clients, time }
    }

    /// `request` writes the bytes of the next request of a client.
    pub async fn run(
        &self,
        address: SocketAddr,
        request: impl Fn(SocketAddr) -> Vec<u8> + Send + Sync + 'static,
    ) -> Measured {
        let request = Arc::new(request);
        let began = Instant::now();
        let end = began + self.time;
        let clients: Vec<_> = (0..self.clients)
            .map(|_| tokio::spawn(client(address, end, request.clone())))
            .collect();
        let mut waits = Vec::new();
        for client in clients {
            waits.extend(client.await.expect("a client that ran to its end"));
        }
        let took = began.elapsed().as_secs_f64();
        waits.sort();
        let p99 = waits[(waits.len() * 99 / 100).min(waits.len() - 1)];
        Measured {
            a_second: waits.len() as f64 / took,
            p99_ms: p99.as_secs_f64() * 1000.0,
        }
    }
}

async fn client(
    address: SocketAddr,
    end: Instant,
    request: Arc<impl Fn(SocketAddr) -> Vec<u8>>,
) -> Vec<Duration> {
    let mut stream = TcpStream::connect(address).await.expect("a connection");
    stream.set_nodelay(true).expect("a socket");
    let mut waits = Vec::new();
    let mut answer = Vec::with_capacity(4096);
    while Instant::now() < end {
        let bytes = request(address);
        let began = Instant::now();
        stream.write_all(&bytes).await.expect("a request sent");
        read_answer(&mut stream, &mut answer).await;
        waits.push(began.elapsed());
        let status = answer.get(9..12).unwrap_or_default();
        assert!(
            status == b"201",
            "not acknowledged: {}",
            String::from_utf8_lossy(&answer)
        );
    }
    waits
}

/// Reads one answer to the end its length gives.
async fn read_answer(stream: &mut TcpStream, answer: &mut Vec<u8>) {
    answer.clear();
    let mut part = [0; 4096];
    loop {
        let read = stream.read(&mut part).await.expect("an answer");
        assert!(read > 0, "the server hung up");
        answer.extend_from_slice(&part[..read]);
        let Some(head) = answer.windows(4).position(|four| four == b"\r\n\r\n") else {
            continue;
        };
        if answer.len() >= head + 4 + length(&answer[..head]) {
            return;
        }
    }
}

fn length(head: &[u8]) -> usize {
    let head = std::str::from_utf8(head)
        .expect("a head in ASCII")
        .to_ascii_lowercase();
    head.lines()
        .find_map(|line| line.strip_prefix("content-length:"))
        .and_then(|text| text.trim().parse().ok())
        .expect("an answer with its length")
}

/// The bytes of a PUT with a JSON body.
pub fn put(address: SocketAddr, path: &str, body: &str) -> Vec<u8> {
    format!(
        "PUT {path} HTTP/1.1\r\nHost: {address}\r\nOrigin: http://{address}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    )
    .into_bytes()
}
