//! Taking in connections: no more than this computer can hold, none that dawdles for ever, and an
//! end that lets answers in flight be finished.
//! Not here: what is answered (`web`).

use std::collections::HashMap;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::Router;
use axum::extract::ConnectInfo;
use hyper::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulShutdown, Watcher};
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio_io_timeout::TimeoutStream;
use tower::ServiceExt;

/// So many connections at once, and so many from one address: a browser opens six.
const MOST: usize = 512;
const MOST_FROM_ONE: usize = 128;
/// Between two requests, and for the head of one.
const LONGEST_HEAD: Duration = Duration::from_secs(30);
/// For an answer to be taken in at the other end, from piece to piece.
const LONGEST_WRITE: Duration = Duration::from_secs(30);
/// After a signal to stop, for answers in flight.
const LONGEST_END: Duration = Duration::from_secs(10);
/// After a failure to take in, such as too many open files: asking again at once would only fail at
/// once, for as long as it lasts.
const PAUSE: Duration = Duration::from_millis(100);

/// Serves until `stop` is done, and lets answers in flight be finished for a while.
pub async fn serve(listener: TcpListener, router: Router, stop: impl Future<Output = ()>) {
    let open = Open::default();
    let watched = GracefulShutdown::new();
    let mut stop = std::pin::pin!(stop);
    loop {
        let taken = tokio::select! {
            () = &mut stop => break,
            taken = listener.accept() => taken,
        };
        let (stream, peer) = match taken {
            Ok(taken) => taken,
            Err(error) => {
                tracing::warn!(error = ?error, "a connection could not be taken in");
                tokio::time::sleep(PAUSE).await;
                continue;
            }
        };
        // Whoever is one too many finds the connection closed, and tries again.
        let Some(place) = open.place_for(peer.ip()) else {
            continue;
        };
        let answered = answer(stream, peer, router.clone(), watched.watcher());
        tokio::spawn(async move {
            answered.await;
            drop(place);
        });
    }
    drop(listener);
    // Whoever is not done by then is cut off; a phone sends again what was not answered.
    let _ = tokio::time::timeout(LONGEST_END, watched.shutdown()).await;
}

/// One connection, answered until it ends or `stopping` tells it to.
async fn answer(stream: TcpStream, peer: SocketAddr, router: Router, stopping: Watcher) {
    let mut stream = TimeoutStream::new(stream);
    stream.set_write_timeout(Some(LONGEST_WRITE));
    let answers = router.map_request(move |mut request: Request<Incoming>| {
        request.extensions_mut().insert(ConnectInfo(peer));
        request
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(LONGEST_HEAD)
        .serve_connection(
            TokioIo::new(Box::pin(stream)),
            TowerToHyperService::new(answers),
        );
    if let Err(error) = stopping.watch(connection).await {
        tracing::debug!(error = ?error, "a connection ended early");
    }
}

/// How many connections are open, in all and by address.
#[derive(Clone, Default)]
struct Open(Arc<Mutex<HashMap<IpAddr, usize>>>);

/// A place among the open connections; given back when it is dropped.
struct Place {
    open: Open,
    peer: IpAddr,
}

impl Open {
    fn place_for(&self, peer: IpAddr) -> Option<Place> {
        let mut open = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let all: usize = open.values().sum();
        let own = open.get(&peer).copied().unwrap_or_default();
        // This computer always finds a place: its keeper looks why nobody else does.
        let most = if peer.is_loopback() {
            MOST + MOST_FROM_ONE
        } else {
            MOST
        };
        if all >= most || own >= MOST_FROM_ONE {
            return None;
        }
        open.insert(peer, own + 1);
        Some(Place {
            open: self.clone(),
            peer,
        })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut open = self.open.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(own) = open.get_mut(&self.peer) {
            *own -= 1;
            if *own == 0 {
                open.remove(&self.peer);
            }
        }
    }
}
