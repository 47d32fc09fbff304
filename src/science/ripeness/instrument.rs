//! Refractometers: whether they compensate for temperature, and what water reads on them.
//! Not here: the correction itself (`juice`).

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

/// An instrument as it stands now. A sample keeps what was true when it was read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    pub name: String,
    /// It corrects for temperature by itself, so that Endpost must not do it again.
    pub compensated: bool,
    /// What pure water reads at 20 °C, in °Brix; subtracted from every reading first.
    pub zero_offset: f64,
    pub zeroed_on: Option<NaiveDate>,
    pub note: Option<String>,
}
