//! The farm itself: its name, zone and units, and whom to call.
//! Not here: blocks and rows (`block`), figures of judgement (`ripeness::assumptions`).

use serde::{Deserialize, Serialize};

use crate::science::units::Units;

/// What is set once for the whole farm.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Farm {
    pub name: String,
    /// IANA name of the time zone, such as "America/New_York".
    pub zone: String,
    pub units: Units,
    /// How to find the gate.
    pub address: Option<String>,
    pub keeper_phone: Option<String>,
    /// The nearest place for emergencies, shown on the spray and entry board.
    pub emergency_place: Option<String>,
    pub emergency_phone: Option<String>,
    pub emergency_address: Option<String>,
    pub poison_line: Option<String>,
}
