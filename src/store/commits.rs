//! What the writer tells of its commits, so that what was read before them need not be read again.
//! Not here: committing (`ledger::writer`).

use std::collections::VecDeque;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::SampleCame;

/// Samples that are remembered: more than came between two entries that need to know of them.
const MOST_REMEMBERED: usize = 256;

/// Commits of new entries since the start.
#[derive(Default)]
pub(crate) struct Commits {
    all: AtomicU64,
    to_the_ground: AtomicU64,
    samples: Mutex<Remembered>,
}

/// The new samples after an arrival number: all that came after it was plain and new.
#[derive(Default)]
struct Remembered {
    after: i64,
    /// The newest last.
    came: VecDeque<SampleCame>,
}

impl Commits {
    /// Notes a commit of nothing but plain new entries, with the samples among them.
    pub fn plain(&self, samples: impl IntoIterator<Item = SampleCame>) {
        let mut remembered = self.remembered();
        remembered.came.extend(samples);
        while remembered.came.len() > MOST_REMEMBERED
            && let Some(oldest) = remembered.came.pop_front()
        {
            remembered.after = oldest.arrival_no;
        }
        self.all.fetch_add(1, Ordering::Release);
    }

    /// Notes any other commit, which may have changed what was there; `newest` is the arrival
    /// number it led to.
    pub fn other(&self, newest: i64, to_the_ground: bool) {
        let mut remembered = self.remembered();
        remembered.came.clear();
        remembered.after = newest;
        self.all.fetch_add(1, Ordering::Release);
        if to_the_ground {
            self.to_the_ground.fetch_add(1, Ordering::Release);
        }
    }

    pub fn all(&self) -> u64 {
        self.all.load(Ordering::Acquire)
    }

    pub fn to_the_ground(&self) -> u64 {
        self.to_the_ground.load(Ordering::Acquire)
    }

    /// The samples that came after an arrival number; none where other things came too, or more than
    /// is remembered.
    pub fn samples_after(&self, arrival_no: i64) -> Option<Vec<SampleCame>> {
        let remembered = self.remembered();
        if remembered.after > arrival_no {
            return None;
        }
        let known = remembered
            .came
            .partition_point(|one| one.arrival_no <= arrival_no);
        Some(remembered.came.range(known..).cloned().collect())
    }

    fn remembered(&self) -> MutexGuard<'_, Remembered> {
        self.samples.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
