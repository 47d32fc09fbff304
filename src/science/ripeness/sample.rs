//! A sample as understood: sample day, bag, reading are three different repeats.
//! Not here: the mean of a day (`day`), typed text and its questions (`doubt`).

use chrono::{NaiveDate, NaiveTime};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::acid::EndPoint;
use crate::science::places::VineAddress;

/// One entry of a sample form. A sample day may have several.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Sample {
    pub block: Uuid,
    /// The farm's calendar date on which the fruit was picked for it.
    pub date: NaiveDate,
    pub time: Option<NaiveTime>,
    pub taken: Taken,
    /// Labels of the rows covered, when not the whole block.
    pub rows: Vec<String>,
    pub instrument: Option<InstrumentUsed>,
    pub taste: Option<String>,
    pub seeds: Option<String>,
    pub skins: Option<String>,
    pub rot_percent: Option<f64>,
    pub animal_percent: Option<f64>,
    /// Rain since the sample before, as the keeper typed it here, in mm.
    pub rain_since_mm: Option<f64>,
    /// The juice had been frozen, which shifts pH and acid.
    pub frozen: bool,
    /// First and second crop hang together, so the mean is of two different fruits.
    pub two_crops: bool,
    /// Why a new line begins with this sample; none when it goes on.
    pub new_series: Option<String>,
    pub note: Option<String>,
    /// The frame of its walk had to take in the edge rows, which ripen otherwise.
    #[serde(default)]
    pub edge_rows: bool,
    /// Vines of its walk that were passed over.
    #[serde(default)]
    pub skipped: Vec<Skipped>,
}

/// A vine of a walk that gave no reading, and why.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Skipped {
    pub at: VineAddress,
    pub why: SkippedFor,
    pub note: Option<String>,
}

/// Why a vine of a walk was passed over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SkippedFor {
    /// Out of reach, no fruit, or whatever the note says.
    Skip,
    Gone,
    /// Its fruit is not like the block's: sick, second crop, another variety.
    Odd,
}

impl Sample {
    /// A sample of which nothing but its readings is written down.
    pub fn of(block: Uuid, date: NaiveDate, taken: Taken) -> Self {
        Self {
            block,
            date,
            time: None,
            taken,
            rows: Vec::new(),
            instrument: None,
            taste: None,
            seeds: None,
            skins: None,
            rot_percent: None,
            animal_percent: None,
            rain_since_mm: None,
            frozen: false,
            two_crops: false,
            new_series: None,
            note: None,
            edge_rows: false,
            skipped: Vec::new(),
        }
    }
}

/// How the sample was taken.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Taken {
    /// Berries of many vines in a bag, crushed, the juice read once or more.
    Bags(Vec<Bag>),
    /// One value for each vine or cluster, read in the row.
    Stops(Vec<Stop>),
}

/// One bag of berries.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bag {
    pub number: u16,
    pub berries: u16,
    pub weight_g: Option<f64>,
    /// Of the juice on the prism, not of the air.
    pub juice_temperature_c: Option<f64>,
    pub brix: Vec<BrixReading>,
    pub ph: Vec<f64>,
    pub ta: Option<AcidReading>,
}

/// A refractometer reading, kept raw beside what it stands for at 20 °C.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct BrixReading {
    pub raw: f64,
    pub corrected: f64,
}

/// Titratable acidity.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct AcidReading {
    /// As tartaric acid.
    pub g_per_l: f64,
    /// Results of different end points don't mix.
    pub end_point: Option<EndPoint>,
}

/// One value read in the row.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stop {
    pub at: Option<VineAddress>,
    pub brix: BrixReading,
}

/// The instrument as it stood when the sample was read, so that a later change alters nothing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct InstrumentUsed {
    pub id: Uuid,
    pub name: String,
    pub compensated: bool,
    pub zero_offset: f64,
}
