//! What entries can say: one kind for each form of the house, with the values understood.
//! A new form adds its line in `kinds!` and its arm in `door`'s `put` and `take_out`.
//! Not here: the types themselves, which live with their rooms in `science`.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::entry::words;
use crate::science::access::Person;
use crate::science::cards::Card;
use crate::science::crop::ClusterCard;
use crate::science::daybook::SeasonClosed;
use crate::science::helpers::DayList;
use crate::science::places::{Block, Farm, RowsOfBlock, VineEvent};
use crate::science::ripeness::{Assumptions, Instrument, Sample, Target};
use crate::science::sprays::Spray;
use crate::science::weather::WeatherDay;

/// Takes a record back. It stays readable, struck through.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct VoidEntry {
    pub reason: Option<String>,
}

/// What a person said about an entry that came under a used id.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Settled {
    /// It was meant to correct the first.
    Correction,
    /// They are two.
    Second,
    /// It was a slip; only the first counts.
    Mistake,
}

words!(Settled { Correction = "correction", Second = "second", Mistake = "mistake" });

/// Settles an entry in conflict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Choice {
    /// The entry in conflict.
    pub of: Uuid,
    pub settled: Settled,
}

/// What a page says that this Endpost does not know: nothing can be understood of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum UnreadForm {}

macro_rules! kinds {
    ($($variant:ident($type:ty) = $word:literal),+ $(,)?) => {
        /// The kind of an entry: which form it was typed into.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Kind { $($variant),+ }

        words!(Kind { $($variant = $word),+ });

        impl Kind {
            pub const ALL: &[Kind] = &[$(Kind::$variant),+];

            /// Whether it is written down day by day: it changes nothing of the places, the people,
            /// the tools or what is wanted.
            pub fn is_day_by_day(self) -> bool {
                matches!(
                    self,
                    Self::Sample
                        | Self::Weather
                        | Self::Spray
                        | Self::Clusters
                        | Self::Card
                        | Self::DayList
                )
            }

            /// Whether it is an act of the house about entries and no data of the farm.
            pub fn is_act(self) -> bool {
                matches!(self, Self::Void | Self::Choice)
            }
        }

        /// What was understood of an entry.
        #[derive(Clone, Debug, PartialEq)]
        pub enum Values { $($variant($type)),+ }

        impl Values {
            pub fn kind(&self) -> Kind {
                match self { $(Self::$variant(_) => Kind::$variant),+ }
            }

            /// The values as JSON, as the ledger keeps them.
            pub fn to_json(&self) -> Result<String, serde_json::Error> {
                match self { $(Self::$variant(values) => serde_json::to_string(values)),+ }
            }

            /// Reads values the ledger kept.
            pub fn from_json(kind: Kind, json: &str) -> Result<Self, serde_json::Error> {
                Ok(match kind {
                    $(Kind::$variant => Self::$variant(serde_json::from_str(json)?)),+
                })
            }
        }

        $(impl From<$type> for Values {
            fn from(values: $type) -> Self {
                Self::$variant(values)
            }
        })+
    };
}

kinds! {
    Farm(Farm) = "farm",
    Person(Person) = "person",
    Block(Block) = "block",
    Rows(RowsOfBlock) = "rows",
    Vine(VineEvent) = "vine",
    Instrument(Instrument) = "instrument",
    Target(Target) = "target",
    Assumptions(Assumptions) = "assumptions",
    Sample(Sample) = "sample",
    Weather(WeatherDay) = "weather",
    Spray(Spray) = "spray",
    Clusters(ClusterCard) = "clusters",
    Card(Card) = "card",
    DayList(DayList) = "day_list",
    SeasonClosed(SeasonClosed) = "season_closed",
    Unread(UnreadForm) = "unread",
    Void(VoidEntry) = "void",
    Choice(Choice) = "choice",
}
