//! Ripeness: what is measured, the window the keeper aims at, and the doors to the sums.
//! No entry of readings and no pages here.

pub mod acid;
pub mod alcohol;
pub mod assumptions;
pub mod day;
pub mod density;
pub mod doubt;
pub mod forecast;
mod instrument;
pub mod juice;
pub mod plan;
pub mod plan_error;
mod sample;
pub mod seasons;
pub mod spread;
pub mod standard_error;
mod target;
pub mod walk;

pub use acid::EndPoint;
pub use assumptions::Assumptions;
pub use forecast::{Forecast, ForecastError, Plateau, Question, Reading, forecast};
pub use instrument::Instrument;
pub use sample::{AcidReading, Bag, BrixReading, InstrumentUsed, Sample, Stop, Taken};
pub use sample::{Skipped, SkippedFor};
pub use target::{DayOfYear, Target};
pub use walk::Walk;

use serde::{Deserialize, Serialize};

/// The three values whose course is forecast.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Attribute {
    Brix,
    Ph,
    Ta,
}

impl Attribute {
    pub const ALL: [Attribute; 3] = [Attribute::Brix, Attribute::Ph, Attribute::Ta];

    /// Whether the value grows as the fruit ripens. Titratable acidity falls.
    pub fn rises(self) -> bool {
        self != Attribute::Ta
    }

    /// +1 for a rising value, −1 for a falling one.
    pub fn sign(self) -> f64 {
        if self.rises() { 1.0 } else { -1.0 }
    }

    pub fn name(self) -> &'static str {
        match self {
            Attribute::Brix => "°Brix",
            Attribute::Ph => "pH",
            Attribute::Ta => "TA",
        }
    }

    /// The unit as printed after a number. pH has none.
    pub fn unit(self) -> &'static str {
        match self {
            Attribute::Brix => "°Brix",
            Attribute::Ph => "",
            Attribute::Ta => "g/L",
        }
    }

    /// Decimals that are worth printing.
    pub fn decimals(self) -> usize {
        match self {
            Attribute::Brix | Attribute::Ta => 1,
            Attribute::Ph => 2,
        }
    }
}

/// The keeper's target for one value of one block: edges and an aim, each of which may be open.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Window {
    pub low: Option<f64>,
    pub aim: Option<f64>,
    pub high: Option<f64>,
}

impl Window {
    /// The edge the ripening value meets first: low if it rises, high if it falls.
    pub fn first_edge(&self, attribute: Attribute) -> Option<f64> {
        if attribute.rises() {
            self.low
        } else {
            self.high
        }
    }

    /// The edge at which the value leaves the window again.
    pub fn far_edge(&self, attribute: Attribute) -> Option<f64> {
        if attribute.rises() {
            self.high
        } else {
            self.low
        }
    }

    /// Whether a value lies inside. An open edge bounds nothing; a window without edges holds all.
    pub fn contains(&self, value: f64) -> bool {
        self.low.is_none_or(|low| value >= low) && self.high.is_none_or(|high| value <= high)
    }

    /// Whether neither edge is set.
    pub fn is_open(&self) -> bool {
        self.low.is_none() && self.high.is_none()
    }
}
