//! The one task that writes. It takes whatever waits, up to a fixed number, into one transaction,
//! and answers only after the commit. An entry that fails spoils none of its neighbours.
//! Not here: what an entry does (`door`).

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use chrono::{DateTime, Utc};
use sqlx::{Connection, SqliteConnection};
use tokio::sync::{mpsc, oneshot};
use uuid::Uuid;

use super::{NewEntry, Receipt, door};
use crate::store::{StoreError, access};

const MOST_AT_ONCE: usize = 64;
const MOST_WAITING: usize = 1024;

type Answer<T> = oneshot::Sender<Result<T, StoreError>>;

enum Job {
    Enter(Box<NewEntry>, Answer<Receipt>),
    EnterAll(Vec<NewEntry>, Answer<Vec<Receipt>>),
    SawDevice(Uuid, DateTime<Utc>, Answer<()>),
    Stop(Answer<()>),
}

/// What a job has to say once the commit is through.
type Reply = Box<dyn FnOnce(Result<(), String>) + Send>;

#[derive(Clone)]
pub(crate) struct Writer {
    jobs: mpsc::Sender<Job>,
}

impl Writer {
    pub fn start(connection: SqliteConnection, commits: Arc<AtomicU64>) -> Self {
        let (jobs, waiting) = mpsc::channel(MOST_WAITING);
        tokio::spawn(work(connection, waiting, commits));
        Self { jobs }
    }

    pub async fn enter(&self, entry: NewEntry) -> Result<Receipt, StoreError> {
        self.ask(|answer| Job::Enter(Box::new(entry), answer)).await
    }

    pub async fn enter_all(&self, entries: Vec<NewEntry>) -> Result<Vec<Receipt>, StoreError> {
        self.ask(|answer| Job::EnterAll(entries, answer)).await
    }

    pub async fn saw_device(&self, id: Uuid, at: DateTime<Utc>) -> Result<(), StoreError> {
        self.ask(|answer| Job::SawDevice(id, at, answer)).await
    }

    pub async fn stop(&self) {
        // A writer that is gone already has nothing left to finish.
        let _ = self.ask(Job::Stop).await;
    }

    async fn ask<T>(&self, job: impl FnOnce(Answer<T>) -> Job) -> Result<T, StoreError> {
        let (answer, heard) = oneshot::channel();
        self.jobs
            .send(job(answer))
            .await
            .map_err(|_| StoreError::Closing)?;
        heard.await.map_err(|_| StoreError::Closing)?
    }
}

async fn work(
    mut connection: SqliteConnection,
    mut waiting: mpsc::Receiver<Job>,
    commits: Arc<AtomicU64>,
) {
    let mut batch = Vec::with_capacity(MOST_AT_ONCE);
    while waiting.recv_many(&mut batch, MOST_AT_ONCE).await > 0 {
        let mut stopping = None;
        let mut jobs = Vec::with_capacity(batch.len());
        for job in batch.drain(..) {
            match job {
                Job::Stop(answer) => stopping = Some(answer),
                job => jobs.push(job),
            }
        }
        if !jobs.is_empty() {
            let (replies, outcome) = commit_together(&mut connection, jobs).await;
            if outcome.is_ok() {
                commits.fetch_add(1, Ordering::Release);
            }
            for reply in replies {
                reply(outcome.clone());
            }
        }
        if let Some(answer) = stopping {
            let closed = connection.close().await.map_err(StoreError::from);
            let _ = answer.send(closed);
            return;
        }
    }
}

/// Runs the jobs in one transaction; the outcome is that of the commit.
async fn commit_together(
    connection: &mut SqliteConnection,
    jobs: Vec<Job>,
) -> (Vec<Reply>, Result<(), String>) {
    let mut replies: Vec<Reply> = Vec::with_capacity(jobs.len());
    let mut tx = match connection.begin_with("BEGIN IMMEDIATE").await {
        Ok(tx) => tx,
        Err(error) => {
            let outcome = Err(error.to_string());
            for job in jobs {
                replies.push(match job {
                    Job::Enter(_, answer) => reply(answer, Err(StoreError::Closing)),
                    Job::EnterAll(_, answer) => reply(answer, Err(StoreError::Closing)),
                    Job::SawDevice(_, _, answer) | Job::Stop(answer) => {
                        reply(answer, Err(StoreError::Closing))
                    }
                });
            }
            return (replies, outcome);
        }
    };
    for job in jobs {
        replies.push(match job {
            Job::Enter(entry, answer) => reply(answer, door::arrive(&mut tx, *entry).await),
            Job::EnterAll(entries, answer) => reply(answer, arrive_all(&mut tx, entries).await),
            Job::SawDevice(id, at, answer) => {
                reply(answer, access::saw_device(&mut tx, id, at).await)
            }
            Job::Stop(answer) => reply(answer, Ok(())),
        });
    }
    let outcome = tx.commit().await.map_err(|error| error.to_string());
    (replies, outcome)
}

/// All of them, or none when one fails.
async fn arrive_all(
    connection: &mut SqliteConnection,
    entries: Vec<NewEntry>,
) -> Result<Vec<Receipt>, StoreError> {
    let mut all = connection.begin().await?;
    let mut receipts = Vec::with_capacity(entries.len());
    for entry in entries {
        receipts.push(door::arrive(&mut all, entry).await?);
    }
    all.commit().await?;
    Ok(receipts)
}

/// Holds an answer back until the commit is known: nothing is "stored" before that.
fn reply<T: Send + 'static>(answer: Answer<T>, result: Result<T, StoreError>) -> Reply {
    Box::new(move |outcome| {
        let answered = match outcome {
            Ok(()) => result,
            Err(why) => Err(StoreError::Database(sqlx::Error::Protocol(why))),
        };
        // A phone that hung up in between asks again and gets the same answer.
        let _ = answer.send(answered);
    })
}
