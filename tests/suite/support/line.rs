//! The line between a phone and the farm computer: passes requests on one by one, or loses the
//! request, or its answer, or is dead. It speaks to the house by the house's own name, as if the
//! phone stood at its address. Not here: the browser, the farm.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::task::JoinHandle;

/// What the line does with the next requests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Does {
    Pass,
    LoseRequests,
    /// The house gets what is stored, the phone hears nothing of it. Only requests that bring
    /// something are hit.
    LoseAnswers,
    /// A router's own page answers everything.
    Portal,
}

pub struct Line {
    pub port: u16,
    does: watch::Sender<Does>,
    house: watch::Sender<String>,
    brought: Arc<AtomicUsize>,
    running: JoinHandle<()>,
}

const PORTAL: &str = "HTTP/1.1 200 OK\r\ncontent-type: text/html\r\nconnection: close\r\n\r\n\
                      <!doctype html><title>Log in to the network</title>\n";

impl Line {
    /// A line to a house, "127.0.0.1:41235".
    pub async fn to(house: &str) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
        let port = listener.local_addr().expect("its address").port();
        let (does, seen_does) = watch::channel(Does::Pass);
        let (house, seen_house) = watch::channel(bare(house));
        let brought = Arc::new(AtomicUsize::new(0));
        let count = brought.clone();
        let running = tokio::spawn(async move {
            while let Ok((phone, _)) = listener.accept().await {
                let (does, house) = (seen_does.clone(), seen_house.clone());
                let count = count.clone();
                tokio::spawn(async move {
                    // A phone that hangs up in between is what this is for.
                    let _ = carry(phone, &does, &house, &count).await;
                });
            }
        });
        Self {
            port,
            does,
            house,
            brought,
            running,
        }
    }

    pub fn does(&self, what: Does) {
        self.does.send_replace(what);
    }

    /// Leads to another house from now on.
    pub fn leads_to(&self, house: &str) {
        self.house.send_replace(bare(house));
    }

    /// How many entries it was asked to bring.
    pub fn brought(&self) -> usize {
        self.brought.load(Ordering::SeqCst)
    }
}

impl Drop for Line {
    fn drop(&mut self) {
        self.running.abort();
    }
}

fn bare(address: &str) -> String {
    address.trim_start_matches("http://").to_owned()
}

/// One request a connection.
async fn carry(
    mut phone: TcpStream,
    does: &watch::Receiver<Does>,
    house: &watch::Receiver<String>,
    brought: &AtomicUsize,
) -> std::io::Result<()> {
    let Some((head, body)) = request(&mut phone).await? else {
        return Ok(());
    };
    // Browsers open lines in advance: what counts is how it is once they speak.
    let (does, house) = (*does.borrow(), house.borrow().clone());
    if head.starts_with("PUT ") {
        brought.fetch_add(1, Ordering::SeqCst);
    }
    match does {
        Does::LoseRequests => return Ok(()),
        Does::Portal => return phone.write_all(PORTAL.as_bytes()).await,
        Does::Pass | Does::LoseAnswers => {}
    }
    let mut house_end = TcpStream::connect(&house).await?;
    house_end
        .write_all(as_if_at(&head, &house).as_bytes())
        .await?;
    house_end.write_all(&body).await?;
    let mut answer = Vec::new();
    let read = house_end.read_to_end(&mut answer);
    tokio::time::timeout(Duration::from_secs(30), read).await??;
    match does == Does::LoseAnswers && !head.starts_with("GET ") {
        true => Ok(()),
        false => phone.write_all(&answer).await,
    }
}

/// The head and the body of one request; nothing of one that was never finished.
async fn request(phone: &mut TcpStream) -> std::io::Result<Option<(String, Vec<u8>)>> {
    let mut read = Vec::new();
    loop {
        if let Some(end) = read.windows(4).position(|four| four == b"\r\n\r\n") {
            let head = String::from_utf8_lossy(&read[..end + 4]).into_owned();
            let mut body = read.split_off(end + 4);
            let length = header(&head, "content-length").and_then(|text| text.parse().ok());
            while body.len() < length.unwrap_or(0) {
                if phone.read_buf(&mut body).await? == 0 {
                    return Ok(None);
                }
            }
            return Ok(Some((head, body)));
        }
        if phone.read_buf(&mut read).await? == 0 {
            return Ok(None);
        }
    }
}

fn header<'a>(head: &'a str, name: &str) -> Option<&'a str> {
    head.lines()
        .filter_map(|line| line.split_once(':'))
        .find(|(found, _)| found.eq_ignore_ascii_case(name))
        .map(|(_, value)| value.trim())
}

/// The head under the house's own name, for one request alone.
fn as_if_at(head: &str, house: &str) -> String {
    let lines = head.trim_end().split("\r\n").filter_map(|line| {
        let name = line.split(':').next().unwrap_or_default().to_lowercase();
        match name.as_str() {
            "host" => Some(format!("Host: {house}")),
            "origin" => Some(format!("Origin: http://{house}")),
            "connection" => Some("Connection: close".to_owned()),
            "referer" => None,
            _ => Some(line.to_owned()),
        }
    });
    let lines: Vec<String> = lines.collect();
    format!("{}\r\n\r\n", lines.join("\r\n"))
}
