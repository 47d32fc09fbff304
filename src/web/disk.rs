//! How much room there is for entries, and the words when it runs out.
//! Not here: looking at the disk (`program`).

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// Below this many bytes every page says so.
const TOO_LITTLE: u64 = 100 * MEGABYTE;
const MEGABYTE: u64 = 1_000_000;

/// What was free on the data folder's disk when it was looked at last; cheap to clone.
#[derive(Clone)]
pub struct Disk(Arc<AtomicU64>);

impl Default for Disk {
    /// As long as nobody has looked, nothing is said.
    fn default() -> Self {
        Self(Arc::new(AtomicU64::new(u64::MAX)))
    }
}

impl Disk {
    /// Notes how many bytes are free.
    pub fn saw(&self, free: u64) {
        self.0.store(free, Ordering::Relaxed);
    }

    /// What to say, when there is something to say.
    pub fn words(&self) -> Option<String> {
        let free = self.0.load(Ordering::Relaxed);
        (free < TOO_LITTLE).then(|| {
            format!(
                "The farm computer's disk is nearly full: {} MB left. Make room on it, or entries \
                 can soon be stored no more.",
                free / MEGABYTE
            )
        })
    }
}
