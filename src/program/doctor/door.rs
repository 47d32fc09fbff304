//! Looks at the network: whether the port is free or who holds it, and whether a phone can come.
//! Not here: how the system tells who holds it (`holder`).

use std::io::{self, ErrorKind};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::time::timeout;

use super::Finding;
use super::holder;
use crate::program::computer::ThisComputer;
use crate::program::options::Listen;
use crate::web::reach::Reach;

const PATIENCE: Duration = Duration::from_secs(3);
/// More than the head of any answer of ours.
const MOST_READ: u64 = 16 * 1024;

pub async fn looks(listen: &Listen, at_work: bool) -> Vec<Finding> {
    vec![port(listen.at, at_work).await, phones(listen)]
}

async fn port(at: SocketAddr, at_work: bool) -> Finding {
    match TcpListener::bind(at).await {
        Ok(_) if at_work => Finding::look(format!(
            "Nothing answers at {at}; the Endpost that is at work listens elsewhere. Its start \
             lines say where; name it here with --listen ADDR:PORT."
        )),
        Ok(_) => Finding::ok(format!("The port {} is free.", at.port())),
        Err(error) => taken(at, at_work, &error).await,
    }
}

async fn taken(at: SocketAddr, at_work: bool, error: &io::Error) -> Finding {
    let port = at.port();
    match error.kind() {
        ErrorKind::AddrInUse if endpost_answers(at).await => match at_work {
            true => Finding::ok(format!("An Endpost answers at {at}.")),
            false => Finding::look(format!(
                "An Endpost answers at {at}, but none is at work in this folder: it serves another."
            )),
        },
        ErrorKind::AddrInUse => {
            let who = holder::of(port)
                .map_or_else(|| "another program".to_owned(), |holder| holder.to_string());
            Finding::wrong(format!(
                "The port {port} is held by {who}. Stop that, or start Endpost with --listen {}:{}",
                at.ip(),
                port.wrapping_add(1).max(1024)
            ))
        }
        ErrorKind::AddrNotAvailable => Finding::wrong(format!(
            "This computer has no address {}. Start Endpost with --listen 0.0.0.0:{port}",
            at.ip()
        )),
        ErrorKind::PermissionDenied => Finding::wrong(format!(
            "The port {port} may not be listened on: those below 1024 belong to the system. Start \
             Endpost with --listen {}:8087",
            at.ip()
        )),
        _ => Finding::wrong(format!("{at} can't be listened on ({error}).")),
    }
}

/// Whether what listens there says that it is an Endpost.
async fn endpost_answers(at: SocketAddr) -> bool {
    let to = SocketAddr::new(
        match at.ip() {
            IpAddr::V4(all) if all.is_unspecified() => Ipv4Addr::LOCALHOST.into(),
            IpAddr::V6(all) if all.is_unspecified() => Ipv6Addr::LOCALHOST.into(),
            one => one,
        },
        at.port(),
    );
    let head = timeout(PATIENCE, head_of(to)).await;
    head.is_ok_and(|head| {
        head.is_ok_and(|head| head.to_ascii_lowercase().contains("\r\nendpost-server:"))
    })
}

async fn head_of(to: SocketAddr) -> io::Result<String> {
    let mut stream = TcpStream::connect(to).await?;
    let question = format!("GET /api/ping HTTP/1.1\r\nHost: {to}\r\nConnection: close\r\n\r\n");
    stream.write_all(question.as_bytes()).await?;
    let mut answer = Vec::new();
    stream.take(MOST_READ).read_to_end(&mut answer).await?;
    Ok(String::from_utf8_lossy(&answer).into_owned())
}

fn phones(listen: &Listen) -> Finding {
    let reach = Reach::new(listen.at, listen.known_as.clone(), Arc::new(ThisComputer));
    let ways = reach.ways();
    let port = listen.at.port();
    if listen.at.ip().is_loopback() {
        return Finding::look(format!(
            "Phones can't come: Endpost listens on this computer alone. Start it with --listen \
             0.0.0.0:{port}"
        ));
    }
    match ways.phones.first() {
        Some(host) => Finding::ok(format!("Phones come by {}", host.url())),
        None => Finding::wrong(
            "There is no address that a phone can reach. Is this computer on the farm's Wi-Fi? \
             Look: ip address",
        ),
    }
}
