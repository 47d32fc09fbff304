//! The farm itself: its name, zone and units, whom to call, and what a stranger needs to find.
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
    /// Nothing in entries from before it was asked.
    #[serde(default)]
    pub for_helpers: ForHelpers,
}

impl Farm {
    /// What a helper needs first and finds nowhere yet, in words.
    pub fn not_told_to_helpers(&self) -> Vec<String> {
        let asked = [
            ("the number to dial", &self.for_helpers.emergency_number),
            ("how to find the gate", &self.address),
            ("the keeper's phone", &self.keeper_phone),
            ("the nearest emergency medical place", &self.emergency_place),
            ("the poison line", &self.poison_line),
            ("water", &self.for_helpers.water),
            ("the toilet", &self.for_helpers.toilet),
            ("first aid", &self.for_helpers.first_aid),
        ];
        let missing = asked.into_iter().filter(|(_, told)| told.is_none());
        missing.map(|(what, _)| what.to_owned()).collect()
    }
}

/// What somebody needs who is here for the first time. Blank prints as dots.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ForHelpers {
    /// What to dial in an emergency: every country has its own.
    pub emergency_number: Option<String>,
    /// By name; the phone is the keeper's.
    pub who_to_ask: Option<String>,
    pub second_person: Option<String>,
    pub second_phone: Option<String>,
    pub water: Option<String>,
    pub toilet: Option<String>,
    pub first_aid: Option<String>,
}
