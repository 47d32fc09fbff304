//! The bare limit: axum and sqlx, one writer task that takes what waits into one transaction with
//! one insert each, and answers after the commit. No checks, no ledger, no record.

use std::net::SocketAddr;

use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::routing::put;
use serde_json::{Value, json};
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use sqlx::{ConnectOptions, Connection, SqliteConnection};
use tempfile::TempDir;
use tokio::net::TcpListener;
use tokio::sync::{mpsc, oneshot};
use uuid::Uuid;

type Job = (Uuid, String, oneshot::Sender<()>);

pub struct Bare {
    address: SocketAddr,
    stop: oneshot::Sender<()>,
    _folder: TempDir,
}

impl Bare {
    pub async fn start() -> Self {
        let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).expect("a folder");
        let mut connection = SqliteConnectOptions::new()
            .filename(folder.path().join("bare.db"))
            .create_if_missing(true)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full)
            .disable_statement_logging()
            .connect()
            .await
            .expect("a database");
        sqlx::query("CREATE TABLE entry (no INTEGER PRIMARY KEY, id BLOB NOT NULL UNIQUE, body TEXT NOT NULL) STRICT")
            .execute(&mut connection)
            .await
            .expect("a table");
        let (jobs, waiting) = mpsc::channel(1024);
        tokio::spawn(write(connection, waiting));
        let router = Router::new()
            .route("/entries/{id}", put(take))
            .with_state(jobs);
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
        let address = listener.local_addr().expect("its address");
        let (stop, stopped) = oneshot::channel();
        tokio::spawn(async move {
            let server = axum::serve(listener, router);
            tokio::select! {
                _ = server => {}
                _ = stopped => {}
            }
        });
        Self {
            address,
            stop,
            _folder: folder,
        }
    }

    pub fn address(&self) -> SocketAddr {
        self.address
    }

    pub async fn stop(self) {
        let _ = self.stop.send(());
    }
}

async fn take(
    State(jobs): State<mpsc::Sender<Job>>,
    Path(id): Path<Uuid>,
    body: String,
) -> (StatusCode, String) {
    let body: Value = serde_json::from_str(&body).expect("an envelope");
    let (done, heard) = oneshot::channel();
    jobs.send((id, body.to_string(), done))
        .await
        .expect("a writer");
    heard.await.expect("a commit");
    (
        StatusCode::CREATED,
        json!({"state": "stored", "id": id}).to_string(),
    )
}

async fn write(mut connection: SqliteConnection, mut waiting: mpsc::Receiver<Job>) {
    let mut batch = Vec::with_capacity(64);
    while waiting.recv_many(&mut batch, 64).await > 0 {
        let mut tx = connection
            .begin_with("BEGIN IMMEDIATE")
            .await
            .expect("a transaction");
        let mut replies = Vec::with_capacity(batch.len());
        for (id, body, done) in batch.drain(..) {
            sqlx::query("INSERT INTO entry (id, body) VALUES (?, ?)")
                .bind(id)
                .bind(body)
                .execute(&mut *tx)
                .await
                .expect("an insert");
            replies.push(done);
        }
        tx.commit().await.expect("a commit");
        for done in replies {
            let _ = done.send(());
        }
    }
}

/// An entry as large as one of Endpost's envelopes.
pub fn request(address: SocketAddr) -> Vec<u8> {
    let id = Uuid::now_v7();
    let body = json!({
        "v": 1, "id": id, "device": id, "seq": 1, "form": "weather", "form_version": 1,
        "fields": {"date": "2027-09-10", "rain": "0.4", "note": "a shower at noon", "units": "fahrenheit pound foot"},
        "entered_at": "2027-09-10T07:41:03-04:00", "sent_at": "2027-09-10T07:41:04-04:00", "attempt": 1,
    });
    super::load::put(address, &format!("/entries/{id}"), &body.to_string())
}
