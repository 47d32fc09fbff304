//! The least that a server must do to acknowledge a durable entry: one writer task takes what
//! waits into one transaction, with a full sync, and answers after the commit.
//! Not here: ledger, checks, pages.

use std::path::Path;

use axum::Router;
use axum::body::Bytes;
use axum::extract::{Path as Named, State};
use axum::http::StatusCode;
use axum::routing::put;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use sqlx::{ConnectOptions, Connection, SqliteConnection};
use tokio::net::TcpListener;
use tokio::sync::{mpsc, oneshot};
use tokio::task::JoinHandle;
use uuid::Uuid;

const MOST_AT_ONCE: usize = 64;

struct Job {
    id: Uuid,
    body: Bytes,
    done: oneshot::Sender<()>,
}

/// A bare server that runs.
pub struct Served {
    pub address: String,
    stop: oneshot::Sender<()>,
    running: JoinHandle<std::io::Result<()>>,
    writing: JoinHandle<sqlx::Result<()>>,
}

impl Served {
    pub async fn stop(self) -> anyhow::Result<()> {
        drop(self.stop);
        self.running.await??;
        self.writing.await??;
        Ok(())
    }
}

pub async fn serve(database: &Path) -> anyhow::Result<Served> {
    let mut connection = SqliteConnectOptions::new()
        .filename(database)
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .disable_statement_logging()
        .connect()
        .await?;
    sqlx::query("CREATE TABLE entry (id BLOB PRIMARY KEY, body TEXT NOT NULL) STRICT")
        .execute(&mut connection)
        .await?;
    let (jobs, waiting) = mpsc::channel(1024);
    let writing = tokio::spawn(write(connection, waiting));
    let router = Router::new()
        .route("/api/entries/{id}", put(take))
        .with_state(jobs);
    let listener = TcpListener::bind("127.0.0.1:0").await?;
    let address = format!("http://{}", listener.local_addr()?);
    let (stop, stopped) = oneshot::channel::<()>();
    let served = axum::serve(listener, router).with_graceful_shutdown(async {
        let _ = stopped.await;
    });
    Ok(Served {
        address,
        stop,
        running: tokio::spawn(served.into_future()),
        writing,
    })
}

async fn take(
    State(jobs): State<mpsc::Sender<Job>>,
    Named(id): Named<Uuid>,
    body: Bytes,
) -> StatusCode {
    let (done, committed) = oneshot::channel();
    let sent = jobs.send(Job { id, body, done }).await;
    match (sent, committed.await) {
        (Ok(()), Ok(())) => StatusCode::CREATED,
        _ => StatusCode::INTERNAL_SERVER_ERROR,
    }
}

async fn write(
    mut connection: SqliteConnection,
    mut waiting: mpsc::Receiver<Job>,
) -> sqlx::Result<()> {
    let mut batch = Vec::with_capacity(MOST_AT_ONCE);
    while waiting.recv_many(&mut batch, MOST_AT_ONCE).await > 0 {
        let mut tx = connection.begin_with("BEGIN IMMEDIATE").await?;
        for job in &batch {
            sqlx::query("INSERT INTO entry (id, body) VALUES (?, ?) ON CONFLICT DO NOTHING")
                .bind(job.id)
                .bind(String::from_utf8_lossy(&job.body).into_owned())
                .execute(&mut *tx)
                .await?;
        }
        tx.commit().await?;
        for job in batch.drain(..) {
            let _ = job.done.send(());
        }
    }
    connection.close().await
}
