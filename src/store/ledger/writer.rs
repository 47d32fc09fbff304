//! The one task that writes. It takes whatever waits, up to a fixed number, into one transaction,
//! and answers only after the commit. An entry that fails spoils none of its neighbours.
//! Not here: what an entry does (`door`).

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use sqlx::{Connection, Sqlite, SqliteConnection, Transaction};
use tokio::sync::{mpsc, oneshot};

use super::{NewEntry, Receipt, door, history};
use crate::store::StoreError;
use crate::store::phones::{self, Told};

const MOST_AT_ONCE: usize = 64;
const MOST_WAITING: usize = 1024;

type Answer<T> = oneshot::Sender<Result<T, StoreError>>;

enum Job {
    Enter(Box<NewEntry>, Answer<Receipt>),
    EnterAll(Vec<NewEntry>, Answer<Vec<Receipt>>),
    Note(Told, Answer<()>),
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

    pub async fn note(&self, told: Told) -> Result<(), StoreError> {
        self.ask(|answer| Job::Note(told, answer)).await
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
            let mut replies = Vec::with_capacity(jobs.len());
            let done = commit_together(&mut connection, jobs, &mut replies).await;
            if done.as_ref().is_ok_and(|changed| *changed) {
                commits.fetch_add(1, Ordering::Release);
            }
            let outcome = done.map(|_| ()).map_err(|error| error.to_string());
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

/// Runs the jobs in one transaction; the outcome is that of the commit, and whether the ledger
/// has entries it had not before.
async fn commit_together(
    connection: &mut SqliteConnection,
    jobs: Vec<Job>,
    replies: &mut Vec<Reply>,
) -> Result<bool, sqlx::Error> {
    let mut jobs = jobs.into_iter();
    let done = run_all(connection, &mut jobs, replies).await;
    // A transaction that broke takes all of its jobs with it, also those that had no turn.
    replies.extend(jobs.map(|job| match job {
        Job::Enter(_, answer) => reply(answer, Err(StoreError::Closing)),
        Job::EnterAll(_, answer) => reply(answer, Err(StoreError::Closing)),
        Job::Note(_, answer) => reply(answer, Err(StoreError::Closing)),
        Job::Stop(answer) => reply(answer, Err(StoreError::Closing)),
    }));
    done
}

async fn run_all(
    connection: &mut SqliteConnection,
    jobs: &mut impl Iterator<Item = Job>,
    replies: &mut Vec<Reply>,
) -> Result<bool, sqlx::Error> {
    let mut tx = connection.begin_with("BEGIN IMMEDIATE").await?;
    let before = history::newest(&mut tx).await?;
    for job in jobs {
        let mut own = tx.begin().await?;
        match job {
            Job::Enter(entry, answer) => {
                let result = door::arrive(&mut own, *entry).await;
                let kept = result.is_ok();
                replies.push(reply(answer, result));
                end(own, kept).await?;
            }
            Job::EnterAll(entries, answer) => {
                let result = arrive_all(&mut own, entries).await;
                let kept = result.is_ok();
                replies.push(reply(answer, result));
                end(own, kept).await?;
            }
            Job::Note(told, answer) => {
                let result = phones::told(&mut own, told).await;
                let kept = result.is_ok();
                replies.push(reply(answer, result));
                end(own, kept).await?;
            }
            Job::Stop(answer) => replies.push(reply(answer, Ok(()))),
        }
    }
    let changed = history::newest(&mut tx).await? > before;
    tx.commit().await?;
    Ok(changed)
}

/// Ends a job's own savepoint: what failed leaves nothing behind, and spoils no neighbour.
async fn end(savepoint: Transaction<'_, Sqlite>, kept: bool) -> Result<(), sqlx::Error> {
    match kept {
        true => savepoint.commit().await,
        false => savepoint.rollback().await,
    }
}

async fn arrive_all(
    connection: &mut SqliteConnection,
    entries: Vec<NewEntry>,
) -> Result<Vec<Receipt>, StoreError> {
    let mut receipts = Vec::with_capacity(entries.len());
    for entry in entries {
        receipts.push(door::arrive(connection, entry).await?);
    }
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
