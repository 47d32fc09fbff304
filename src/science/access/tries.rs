//! Guessing made slow: after five wrong tries each further one has to wait, twice as long each
//! time, up to a minute. Nobody is ever locked out for good.
//! Not here: whose tries are counted together (`web::access`).

use chrono::{DateTime, TimeDelta, Utc};

/// So many wrong tries cost nothing: a hand in a glove slips.
const FREE: u32 = 5;
const LONGEST: TimeDelta = TimeDelta::seconds(60);
/// After so long without a wrong try all are forgotten.
const FORGOTTEN: TimeDelta = TimeDelta::hours(1);

/// The wrong tries from one place.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tries {
    wrong: u32,
    last: Option<DateTime<Utc>>,
}

impl Tries {
    /// How long the next try has to wait still; none if it may come now.
    ///
    /// ```
    /// use chrono::{DateTime, TimeDelta};
    /// use endpost::science::access::Tries;
    /// let now = DateTime::UNIX_EPOCH;
    /// let mut tries = Tries::default();
    /// for _ in 0..5 {
    ///     assert_eq!(tries.wait(now), None);
    ///     tries.wrong(now);
    /// }
    /// assert_eq!(tries.wait(now), Some(TimeDelta::seconds(1)));
    /// tries.wrong(now);
    /// assert_eq!(tries.wait(now), Some(TimeDelta::seconds(2)));
    /// ```
    pub fn wait(&self, now: DateTime<Utc>) -> Option<TimeDelta> {
        let wrong_too_often = self.wrong.checked_sub(FREE)?;
        let pause = match wrong_too_often {
            doublings @ 0..6 => TimeDelta::seconds(1 << doublings),
            _ => LONGEST,
        };
        // A clock that was set back makes nobody wait longer than that.
        let left = (self.last? + pause - now).min(pause);
        (left > TimeDelta::zero()).then_some(left)
    }

    /// Counts a wrong try.
    pub fn wrong(&mut self, now: DateTime<Utc>) {
        if self.is_forgotten(now) {
            *self = Self::default();
        }
        self.wrong = self.wrong.saturating_add(1);
        self.last = Some(now);
    }

    /// Whether they are so old that they count no more.
    pub fn is_forgotten(&self, now: DateTime<Utc>) -> bool {
        self.last.is_none_or(|last| now - last > FORGOTTEN)
    }
}
