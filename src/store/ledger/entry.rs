//! What an entry is: the typed text, what was understood of it, who, when and from where.
//! Not here: the kinds of entry (`values`) and what arrival does (`door`).

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, Utc};
use uuid::{NoContext, Timestamp, Uuid};

use super::{Fields, Kind, Values};

/// The version of the rules that turn typed text into values. Raise it when the same text
/// would be read differently; entries keep the version they were read by.
pub const RULE_VERSION: u16 = 1;

/// A fresh identifier that sorts by the moment it was made (UUID version 7).
pub fn new_id(now: DateTime<Utc>) -> Uuid {
    let seconds = u64::try_from(now.timestamp()).unwrap_or(0);
    Uuid::new_v7(Timestamp::from_unix(
        NoContext,
        seconds,
        now.timestamp_subsec_nanos(),
    ))
}

/// Clocks that differ by no more than this agree.
pub const CLOCKS_AGREE: TimeDelta = TimeDelta::minutes(2);

/// Where an entry came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    Phone,
    Paper,
    Import,
    Demo,
    House,
}

/// What became of an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// It counts.
    Stored,
    /// Kept as typed; it enters no sum until someone mends it.
    Held,
    /// It came under an id already used with other contents; someone must choose.
    Conflict,
    /// Taken back; still readable.
    Void,
}

/// When the thing itself happened, by the farm's own calendar and clock.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Happened {
    pub date: Option<NaiveDate>,
    pub time: Option<NaiveTime>,
    /// Minutes east of UTC that the farm's clocks showed.
    pub offset: Option<i32>,
}

/// An entry on its way to the door.
#[derive(Clone, Debug)]
pub struct NewEntry {
    pub id: Uuid,
    pub kind: Kind,
    pub form_version: u16,
    /// What it speaks of: any entry of the record that it corrects or mends, or the very entry
    /// that it takes back or settles.
    pub subject: Option<Uuid>,
    /// The version of the record that a change began with.
    pub base: Option<Uuid>,
    pub fields: Fields,
    /// What was understood; none when the entry is to be kept as typed.
    pub values: Option<Values>,
    /// Sentences that say why it is kept as typed.
    pub problems: Vec<String>,
    pub person: Option<String>,
    pub device_id: Option<Uuid>,
    pub seq: Option<i64>,
    /// The session by which it came, where whoever sent it was let in by one.
    pub came_by: Option<Uuid>,
    /// The page carried no id, so that this one was made here.
    pub no_client_id: bool,
    pub source: Source,
    pub card_code: Option<String>,
    pub happened: Happened,
    pub typed_at: Option<DateTime<Utc>>,
    pub sent_at: Option<DateTime<Utc>>,
    pub received_at: DateTime<Utc>,
}

/// What the door answers.
#[derive(Clone, Debug, PartialEq)]
pub struct Receipt {
    /// The id the entry is kept under (its own, unless that was taken).
    pub id: Uuid,
    /// The record it belongs to: its own id, or that of the entry it corrects.
    pub record: Uuid,
    pub state: State,
    pub problems: Vec<String>,
    /// The typed text as it is kept, and what was understood of it.
    pub fields: Fields,
    pub values: Option<Values>,
    pub received_at: DateTime<Utc>,
    pub skew_s: Option<i64>,
    pub outcome: Outcome,
}

/// How the door found the entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    New,
    /// The same entry came before; this is the answer it got.
    Replayed,
    /// The id came before with other contents: both are kept.
    KeptBoth,
}

/// What a room is told besides the values when an entry is applied.
#[derive(Clone, Copy, Debug)]
pub struct Arrival {
    /// The record: the id of its first entry.
    pub record: Uuid,
    /// The entry whose values are now in force.
    pub entry: Uuid,
    /// The arrival number of the record's first entry, so that a correction keeps its place.
    pub arrival_no: i64,
}

macro_rules! words {
    ($type:ty { $($variant:ident = $word:literal),+ $(,)? }) => {
        impl $type {
            /// The word kept in the database.
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
            /// The meaning of a word kept in the database.
            pub fn of_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }
        }
    };
}
pub(super) use words;

words!(Source { Phone = "phone", Paper = "paper", Import = "import", Demo = "demo", House = "house" });
words!(State { Stored = "stored", Held = "held", Conflict = "conflict", Void = "void" });
