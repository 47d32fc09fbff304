//! The one task that writes. It takes whatever waits, up to a fixed number, into one transaction,
//! and answers only after the commit. An entry that fails spoils none of its neighbours.
//! Not here: what an entry does (`door`).

use std::path::PathBuf;
use std::sync::Arc;

use sqlx::{Connection, Sqlite, SqliteConnection, Transaction};
use tokio::sync::{mpsc, oneshot};

use super::together::{self, Came, End, Failed};
use super::{NewEntry, Receipt, door, history};
use crate::store::beside::Damage;
use crate::store::commits::Commits;
use crate::store::newest::{Newest, SideFile};
use crate::store::{House, SampleCame, StoreError, access, connection, drill, phones, reach};

/// Few enough that what comes meanwhile is checked beside the commit, and does not all wait for it.
const MOST_AT_ONCE: usize = 16;
const MOST_WAITING: usize = 1024;

type Answer<T> = oneshot::Sender<Result<T, StoreError>>;

enum Job {
    Enter(Box<NewEntry>, Answer<Receipt>),
    EnterAll(Vec<NewEntry>, Answer<Vec<Receipt>>),
    Note(Note, Answer<()>),
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

    /// What it hears when its transaction came to nothing before it had its turn.
    fn refused(self, error: StoreError) -> Reply {
        match self {
            Self::Enter(_, answer) => reply(answer, Err(error)),
            Self::EnterAll(_, answer) => reply(answer, Err(error)),
            Self::Note(_, answer) => reply(answer, Err(error)),
            Self::Stop(answer) => reply(answer, Err(error)),
        }
    }
}

/// What is written down beside the ledger.
pub(crate) enum Note {
    Phone(phones::Told),
    Address(reach::Told),
    Keys(Box<access::Change>),
    Drill(drill::Tried),
}

/// What a job has to say once the commit is through.
type Reply = Box<dyn FnOnce(Result<(), NotCommitted>) + Send>;

/// Why a transaction came to nothing, for each of its jobs.
#[derive(Clone)]
enum NotCommitted {
    Full,
    Damaged(String),
    Otherwise(String),
}

impl From<sqlx::Error> for NotCommitted {
    fn from(error: sqlx::Error) -> Self {
        StoreError::from(error).into()
    }
}

impl From<StoreError> for NotCommitted {
    fn from(error: StoreError) -> Self {
        if let Some(why) = error.damage_while_served() {
            return Self::Damaged(why.to_owned());
        }
        match error {
            StoreError::Full => Self::Full,
            error => Self::Otherwise(format!("{error}: {error:?}")),
        }
    }
}

impl From<NotCommitted> for StoreError {
    fn from(why: NotCommitted) -> Self {
        match why {
            NotCommitted::Full => Self::Full,
            NotCommitted::Damaged(why) => Self::Damaged(why),
            NotCommitted::Otherwise(why) => Self::Database(sqlx::Error::Protocol(why)),
        }
    }
}

#[derive(Clone)]
pub(crate) struct Writer {
    jobs: mpsc::Sender<Job>,
    damage: Damage,
}

impl Writer {
    pub fn start(
        connection: SqliteConnection,
        path: PathBuf,
        committed: Committed,
        damage: Damage,
    ) -> Self {
        let (jobs, waiting) = mpsc::channel(MOST_WAITING);
        let database = Database {
            connection,
            path,
            end: None,
        };
        tokio::spawn(work(database, waiting, committed, damage.clone()));
        Self { jobs, damage }
    }

    /// For a database that must not be written on.
    pub fn none(damage: Damage) -> Self {
        let (jobs, _) = mpsc::channel(1);
        Self { jobs, damage }
    }

    pub async fn enter(&self, entry: NewEntry) -> Result<Receipt, StoreError> {
        self.ask(|answer| Job::Enter(Box::new(entry), answer)).await
    }

    pub async fn enter_all(&self, entries: Vec<NewEntry>) -> Result<Vec<Receipt>, StoreError> {
        self.ask(|answer| Job::EnterAll(entries, answer)).await
    }

    pub async fn note(&self, note: Note) -> Result<(), StoreError> {
        self.ask(|answer| Job::Note(note, answer)).await
    }

    pub async fn stop(&self) {
        // A writer that is gone already has nothing left to finish.
        let _ = self.ask_on(Job::Stop).await;
    }

    async fn ask<T>(&self, job: impl FnOnce(Answer<T>) -> Job) -> Result<T, StoreError> {
        self.damage.refuse()?;
        self.ask_on(job).await
    }

    async fn ask_on<T>(&self, job: impl FnOnce(Answer<T>) -> Job) -> Result<T, StoreError> {
        let (answer, heard) = oneshot::channel();
        self.jobs
            .send(job(answer))
            .await
            .map_err(|_| StoreError::Closing)?;
        heard.await.map_err(|_| StoreError::Closing)?
    }
}

/// The one connection that writes, and where it leads.
struct Database {
    connection: SqliteConnection,
    path: PathBuf,
    /// Where the ledger ends, as long as only plain entries came since it was looked at.
    end: Option<End>,
}

impl Database {
    /// Runs the jobs in one transaction; the outcome is that of the commit, with what it brought if
    /// the ledger has entries it had not before.
    async fn commit_together(
        &mut self,
        jobs: Vec<Job>,
        replies: &mut Vec<Reply>,
    ) -> Result<Option<Through>, NotCommitted> {
        let jobs = match jobs.iter().all(Job::is_plain) {
            true => match self.commit_plain(jobs, replies).await? {
                Plainly::Done(through) => return Ok(Some(through)),
                Plainly::NotTogether(jobs) => jobs,
            },
            false => jobs,
        };
        self.end = None;
        let to_the_ground = jobs.iter().any(Job::may_change_the_ground);
        let mut jobs = jobs.into_iter();
        let done = run_all(&mut self.connection, &mut jobs, replies).await;
        // A transaction that broke takes all of its jobs with it, also those that had no turn.
        replies.extend(jobs.map(|job| job.refused(StoreError::Closing)));
        Ok(done?.map(|newest| Through::Other {
            newest,
            to_the_ground,
        }))
    }

    async fn commit_plain(
        &mut self,
        jobs: Vec<Job>,
        replies: &mut Vec<Reply>,
    ) -> Result<Plainly, NotCommitted> {
        let entries = jobs.iter().filter_map(Job::entry);
        let error = match self.commit_entries(entries).await {
            Ok(came) => {
                for (job, receipt) in jobs.into_iter().zip(came.receipts) {
                    if let Job::Enter(_, answer) = job {
                        replies.push(reply(answer, Ok(receipt)));
                    }
                }
                let newest = came.end.newest();
                self.end = Some(came.end);
                return Ok(Plainly::Done(Through::Plain {
                    newest,
                    samples: came.samples,
                }));
            }
            Err(Failed::Before(error)) if error.damage_while_served().is_some() => {
                return refused_all(jobs, replies, error.into());
            }
            Err(Failed::Before(error)) => {
                tracing::warn!(error = ?error, "entries were not taken in together");
                return Ok(Plainly::NotTogether(jobs));
            }
            Err(Failed::Within(error)) => error,
        };
        tracing::debug!(error = ?error, "plain entries do not go in together");
        let rolled_back = sqlx::query("ROLLBACK").execute(&mut self.connection).await;
        match (error, rolled_back) {
            // What there is no room for together, there is none for one by one.
            (error @ StoreError::Full, _) => refused_all(jobs, replies, error.into()),
            (error, Ok(_)) if error.damage_while_served().is_none() => {
                Ok(Plainly::NotTogether(jobs))
            }
            // The file is damaged, or none was begun, or SQLite has given it up by itself: the first
            // error says why.
            (error, _) => refused_all(jobs, replies, error.into()),
        }
    }

    async fn commit_entries(
        &mut self,
        entries: impl Iterator<Item = &NewEntry>,
    ) -> Result<Came, Failed> {
        let end = match self.end.take() {
            Some(end) => end,
            None => End::of(&mut self.connection)
                .await
                .map_err(Failed::Before)?,
        };
        together::commit(&mut self.connection, entries, end).await
    }

    /// Another connection after a failure: where SQLite gave a transaction up by itself, the old
    /// one would wait for its end for ever.
    async fn begin_anew(&mut self) {
        match connection::reopen_writer(&self.path).await {
            Ok(fresh) => {
                let failed = std::mem::replace(&mut self.connection, fresh);
                // What it held back is given up in any case.
                let _ = failed.close().await;
            }
            Err(error) => tracing::error!(error = ?error, "the database can't be opened again"),
        }
    }
}

/// What is told of a commit that brought new entries.
pub(crate) struct Committed {
    pub commits: Arc<Commits>,
    pub side_file: SideFile,
    pub house: House,
}

impl Committed {
    fn tell(&mut self, through: Through) {
        let arrival_no = match through {
            Through::Plain { newest, samples } => {
                self.commits.plain(samples);
                newest
            }
            Through::Other {
                newest,
                to_the_ground,
            } => {
                self.commits.other(newest, to_the_ground);
                newest
            }
        };
        self.side_file.say(Newest {
            house: self.house,
            arrival_no,
        });
    }
}

/// What a commit brought through.
enum Through {
    /// Plain new entries, with the samples among them.
    Plain {
        newest: i64,
        samples: Vec<SampleCame>,
    },
    Other {
        newest: i64,
        to_the_ground: bool,
    },
}

async fn work(
    mut database: Database,
    mut waiting: mpsc::Receiver<Job>,
    mut committed: Committed,
    damage: Damage,
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
            let done = match damage.refuse() {
                Ok(()) => database.commit_together(jobs, &mut replies).await,
                // It was found by what stood before these in the line.
                Err(error) => refused_all(jobs, &mut replies, error.into()),
            };
            if let Err(NotCommitted::Damaged(why)) = &done {
                damage.is(why);
            }
            let outcome = done.map(|through| {
                if let Some(through) = through {
                    committed.tell(through);
                }
            });
            if outcome.is_err() && damage.found().is_none() {
                database.begin_anew().await;
            }
            for reply in replies {
                reply(outcome.clone());
            }
        }
        if let Some(answer) = stopping {
            let closed = match damage.refuse() {
                Ok(()) => database.connection.close().await.map_err(StoreError::from),
                // Closing in order writes: it is let go of as it is.
                Err(error) => Err(error),
            };
            let _ = answer.send(closed);
            return;
        }
    }
}

/// What became of plain entries that were to go in together.
enum Plainly {
    Done(Through),
    /// One of them was here before, or something failed: they are to go in one by one.
    NotTogether(Vec<Job>),
}

/// A transaction that broke takes all of its jobs with it.
fn refused_all<T>(
    jobs: Vec<Job>,
    replies: &mut Vec<Reply>,
    why: NotCommitted,
) -> Result<T, NotCommitted> {
    replies.extend(jobs.into_iter().map(|job| job.refused(StoreError::Closing)));
    Err(why)
}

async fn run_all(
    connection: &mut SqliteConnection,
    jobs: &mut impl Iterator<Item = Job>,
    replies: &mut Vec<Reply>,
) -> Result<Option<i64>, NotCommitted> {
    let mut tx = connection.begin_with("BEGIN IMMEDIATE").await?;
    let before = history::newest(&mut tx).await?;
    for job in jobs {
        let mut own = tx.begin().await?;
        match job {
            Job::Enter(entry, answer) => {
                let result = door::arrive(&mut own, *entry).await;
                end_job(own, result, answer, replies).await?;
            }
            Job::EnterAll(entries, answer) => {
                let result = arrive_all(&mut own, entries).await;
                end_job(own, result, answer, replies).await?;
            }
            Job::Note(note, answer) => {
                let result = noted(&mut own, note).await;
                end_job(own, result, answer, replies).await?;
            }
            Job::Stop(answer) => replies.push(reply(answer, Ok(()))),
        }
    }
    let newest = history::newest(&mut tx).await?;
    tx.commit().await?;
    Ok((newest > before).then_some(newest))
}

/// Ends a job's own savepoint: what failed leaves nothing behind, and spoils no neighbour. Where
/// there is no room for one there is none for its neighbours, and SQLite may have given up the
/// whole transaction; a damaged file is written on no more.
async fn end_job<T: Send + 'static>(
    savepoint: Transaction<'_, Sqlite>,
    result: Result<T, StoreError>,
    answer: Answer<T>,
    replies: &mut Vec<Reply>,
) -> Result<(), NotCommitted> {
    let ends_all = match &result {
        Err(StoreError::Full) => Some(NotCommitted::Full),
        Err(error) => error
            .damage_while_served()
            .map(|why| NotCommitted::Damaged(why.to_owned())),
        Ok(_) => None,
    };
    let kept = result.is_ok();
    replies.push(reply(answer, result));
    match (kept, ends_all) {
        (true, _) => savepoint.commit().await?,
        (false, Some(why)) => return Err(why),
        (false, None) => savepoint.rollback().await?,
    }
    Ok(())
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

async fn noted(connection: &mut SqliteConnection, note: Note) -> Result<(), StoreError> {
    match note {
        Note::Phone(told) => phones::told(connection, told).await,
        Note::Address(told) => reach::tell(connection, told).await,
        Note::Keys(change) => access::change(connection, *change).await,
        Note::Drill(tried) => drill::note(connection, tried).await,
    }
}

/// Holds an answer back until the commit is known: nothing is "stored" before that.
fn reply<T: Send + 'static>(answer: Answer<T>, result: Result<T, StoreError>) -> Reply {
    Box::new(move |outcome| {
        let answered = match outcome {
            Ok(()) => result,
            Err(why) => Err(why.into()),
        };
        // A phone that hung up in between asks again and gets the same answer.
        let _ = answer.send(answered);
    })
}
