//! The one task that writes. It takes whatever waits, up to a fixed number, into one transaction,
//! and answers only after the commit. An entry that fails spoils none of its neighbours.
//! Not here: what an entry does (`door`).

use std::sync::Arc;
use std::sync::atomic::Ordering;

use sqlx::{Connection, Sqlite, SqliteConnection, Transaction};
use tokio::sync::{mpsc, oneshot};

use super::{NewEntry, Receipt, door, history, together};
use crate::store::phones::{self, Told};
use crate::store::{Commits, StoreError};

const MOST_AT_ONCE: usize = 64;
const MOST_WAITING: usize = 1024;

type Answer<T> = oneshot::Sender<Result<T, StoreError>>;

enum Job {
    Enter(Box<NewEntry>, Answer<Receipt>),
    EnterAll(Vec<NewEntry>, Answer<Vec<Receipt>>),
    Note(Told, Answer<()>),
    Stop(Answer<()>),
}

impl Job {
    fn entry(&self) -> Option<&NewEntry> {
        match self {
            Self::Enter(entry, _) => Some(entry),
            _ => None,
        }
    }

    fn is_plain(&self) -> bool {
        self.entry().is_some_and(together::is_plain)
    }

    fn may_change_the_ground(&self) -> bool {
        match self {
            Self::Enter(entry, _) => !entry.kind.is_day_by_day(),
            Self::EnterAll(entries, _) => entries.iter().any(|one| !one.kind.is_day_by_day()),
            _ => false,
        }
    }
}

/// What a job has to say once the commit is through.
type Reply = Box<dyn FnOnce(Result<(), String>) + Send>;

#[derive(Clone)]
pub(crate) struct Writer {
    jobs: mpsc::Sender<Job>,
}

impl Writer {
    pub fn start(connection: SqliteConnection, commits: Arc<Commits>) -> Self {
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
    commits: Arc<Commits>,
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
            let to_the_ground = jobs.iter().any(Job::may_change_the_ground);
            let mut replies = Vec::with_capacity(jobs.len());
            let done = commit_together(&mut connection, jobs, &mut replies).await;
            if done.as_ref().is_ok_and(|changed| *changed) {
                commits.all.fetch_add(1, Ordering::Release);
                if to_the_ground {
                    commits.to_the_ground.fetch_add(1, Ordering::Release);
                }
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
    let jobs = match jobs.iter().all(Job::is_plain) {
        true => match commit_plain(connection, jobs, replies).await? {
            // What did not go in together is done one by one.
            Some(jobs) => jobs,
            None => return Ok(true),
        },
        false => jobs,
    };
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

/// Takes plain entries in together and commits; gives the jobs back where that can't be done.
async fn commit_plain(
    connection: &mut SqliteConnection,
    jobs: Vec<Job>,
    replies: &mut Vec<Reply>,
) -> Result<Option<Vec<Job>>, sqlx::Error> {
    let entries: Vec<&NewEntry> = jobs.iter().filter_map(Job::entry).collect();
    let mut tx = connection.begin_with("BEGIN IMMEDIATE").await?;
    let Ok(Some(receipts)) = together::arrive(&mut tx, &entries).await else {
        tx.rollback().await?;
        return Ok(Some(jobs));
    };
    for (job, receipt) in jobs.into_iter().zip(receipts) {
        if let Job::Enter(_, answer) = job {
            replies.push(reply(answer, Ok(receipt)));
        }
    }
    tx.commit().await?;
    Ok(None)
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
        let (reply, kept) = match job {
            Job::Enter(entry, answer) => told(answer, door::arrive(&mut own, *entry).await),
            Job::EnterAll(entries, answer) => told(answer, arrive_all(&mut own, entries).await),
            Job::Note(what, answer) => told(answer, phones::told(&mut own, what).await),
            Job::Stop(answer) => told(answer, Ok(())),
        };
        replies.push(reply);
        end(own, kept).await?;
    }
    let changed = history::newest(&mut tx).await? > before;
    tx.commit().await?;
    Ok(changed)
}

/// The reply, and whether what was done is kept.
fn told<T: Send + 'static>(answer: Answer<T>, result: Result<T, StoreError>) -> (Reply, bool) {
    let kept = result.is_ok();
    (reply(answer, result), kept)
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
