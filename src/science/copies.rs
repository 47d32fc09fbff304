//! Copies of the farm's data: what they are called, when the next one is due, and which of them
//! stay. Not here: making and checking them (`store::copies`, `program::copies`).

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::str::FromStr;

use chrono::{
    DateTime, Datelike, DurationRound, IsoWeek, NaiveDate, NaiveDateTime, TimeDelta, Utc,
};
use chrono_tz::Tz;
use thiserror::Error;

/// The newest copy of each of so many days stays.
pub const DAYS_KEPT: usize = 7;
/// The newest copy of each of so many weeks stays.
pub const WEEKS_KEPT: usize = 8;
/// So many of the copies that were made before the tables were changed stay.
pub const MIGRATIONS_KEPT: usize = 5;

/// So many of the newest that somebody asked for stay.
pub const BY_HAND_KEPT: usize = 5;

/// The night's copy is made after this hour of the farm's clock.
const NIGHT_HOUR: i64 = 2;

const BEGINS: &str = "endpost-";
const ENDS: &str = ".db";
const MOMENT: &str = "%Y-%m-%d-%H%MZ";
/// How long a moment is when it is written so.
const MOMENT_LENGTH: usize = "2027-09-10-0600Z".len();

/// Why a copy was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    /// Once a day, by itself.
    Daily,
    /// Somebody asked for it.
    ByHand,
    /// Before the tables were brought to this version.
    BeforeMigration(i64),
    /// It lay in the place of the farm's data until another copy was put there.
    Replaced,
}

impl fmt::Display for Why {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Daily => write!(out, "daily"),
            Self::ByHand => write!(out, "by-hand"),
            Self::BeforeMigration(version) => write!(out, "before-migration-{version}"),
            Self::Replaced => write!(out, "replaced"),
        }
    }
}

impl Why {
    fn of_word(word: &str) -> Option<Self> {
        match word {
            "daily" => Some(Self::Daily),
            "by-hand" => Some(Self::ByHand),
            "replaced" => Some(Self::Replaced),
            word => {
                let version = word.strip_prefix("before-migration-")?;
                version.parse().ok().map(Self::BeforeMigration)
            }
        }
    }

    /// "every night", "made by hand"
    pub fn words(self) -> String {
        match self {
            Self::Daily => "made by itself, as every night".to_owned(),
            Self::ByHand => "made by hand".to_owned(),
            Self::BeforeMigration(_) => "made before a newer Endpost changed the tables".to_owned(),
            Self::Replaced => "the data that another copy was put in place of".to_owned(),
        }
    }
}

/// The name of a copy: `endpost-2027-09-10-0600Z-daily.db`. The moment is that of Greenwich, which
/// neither a change to winter time nor a new zone sets back, so that names sort as copies were made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CopyName {
    /// To the minute.
    pub made: DateTime<Utc>,
    /// Which of several of the same minute.
    pub number: u16,
    pub why: Why,
}

/// A file that is none of our copies.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("\"{0}\" is not what Endpost calls a copy, such as endpost-2027-09-10-0600Z-daily.db")]
pub struct NoCopy(String);

impl fmt::Display for CopyName {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let moment = self.made.format(MOMENT);
        match self.number {
            1 => write!(out, "{BEGINS}{moment}-{}{ENDS}", self.why),
            number => write!(out, "{BEGINS}{moment}-{number}-{}{ENDS}", self.why),
        }
    }
}

impl FromStr for CopyName {
    type Err = NoCopy;

    fn from_str(text: &str) -> Result<Self, NoCopy> {
        read(text)
            .filter(|name| name.to_string() == text)
            .ok_or_else(|| NoCopy(text.to_owned()))
    }
}

fn read(text: &str) -> Option<CopyName> {
    let inside = text.strip_prefix(BEGINS)?.strip_suffix(ENDS)?;
    let (moment, rest) = inside.split_at_checked(MOMENT_LENGTH)?;
    let made = NaiveDateTime::parse_from_str(moment, MOMENT)
        .ok()?
        .and_utc();
    let rest = rest.strip_prefix('-')?;
    let numbered = rest.split_once('-').and_then(|(number, word)| {
        let number = number.parse().ok()?;
        Some((number, Why::of_word(word)?))
    });
    let (number, why) = match numbered {
        Some(numbered) => numbered,
        None => (1, Why::of_word(rest)?),
    };
    Some(CopyName { made, number, why })
}

impl CopyName {
    /// The name for a copy made now, after all of the same minute that are there.
    pub fn unused(now: DateTime<Utc>, why: Why, there: &[CopyName]) -> Self {
        let made = now.duration_trunc(TimeDelta::minutes(1)).unwrap_or(now);
        let same_minute = there.iter().filter(|one| one.made == made);
        let last = same_minute.map(|one| one.number).max().unwrap_or_default();
        Self {
            made,
            number: last + 1,
            why,
        }
    }

    /// Whether it is one of those that follow each other day by day.
    fn is_one_of_the_days(&self) -> bool {
        matches!(self.why, Why::Daily | Why::ByHand)
    }
}

/// The day a night's copy belongs to: it changes at 2 in the night of the farm's clock.
fn night(at: DateTime<Tz>) -> NaiveDate {
    let at = at.naive_local();
    let before = at.checked_sub_signed(TimeDelta::hours(NIGHT_HOUR));
    before.unwrap_or(at).date()
}

/// Whether a copy is to be made by the farm's clock: none was since the last 2 in the night.
pub fn due(made: &[CopyName], now: DateTime<Tz>) -> bool {
    let mut days = made.iter().filter(|one| one.is_one_of_the_days());
    !days.any(|one| night(one.made.with_timezone(&now.timezone())) == night(now))
}

/// The copies that may go by the farm's clock: all but the newest of each of seven days and of each
/// of eight weeks, the same of those that somebody asked for and the five newest of them, and five
/// made before migrations. Data that was replaced stays, and so does what a clock that was wrong has dated later than now.
pub fn no_longer_kept(copies: &[CopyName], now: DateTime<Tz>) -> Vec<CopyName> {
    let mut newest_first: Vec<CopyName> = copies.to_vec();
    newest_first.sort_by(|one, other| other.cmp(one));
    let mut days: BTreeMap<Why, BTreeSet<NaiveDate>> = BTreeMap::new();
    let mut weeks: BTreeMap<Why, BTreeSet<IsoWeek>> = BTreeMap::new();
    let (mut migrations, mut by_hand) = (0, 0);
    newest_first
        .into_iter()
        .filter(|one| {
            let stays = match one.why {
                _ if one.made > now => true,
                Why::Replaced => true,
                Why::BeforeMigration(_) => {
                    migrations += 1;
                    migrations <= MIGRATIONS_KEPT
                }
                Why::Daily | Why::ByHand => {
                    by_hand += usize::from(one.why == Why::ByHand);
                    let day = night(one.made.with_timezone(&now.timezone()));
                    let days = days.entry(one.why).or_default();
                    let weeks = weeks.entry(one.why).or_default();
                    let of_a_day = days.len() < DAYS_KEPT && days.insert(day);
                    let of_a_week = weeks.len() < WEEKS_KEPT && weeks.insert(day.iso_week());
                    let was_asked_for = one.why == Why::ByHand && by_hand <= BY_HAND_KEPT;
                    of_a_day || of_a_week || was_asked_for
                }
            };
            !stays
        })
        .collect()
}
