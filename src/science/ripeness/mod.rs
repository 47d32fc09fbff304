//! Ripeness: what is measured of the juice, and the questions a typed value raises.
//!
//! Nothing is corrected here without being asked.

use serde::{Deserialize, Serialize};

pub mod doubt;

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Attribute {
    Brix,
    Ph,
    Ta,
}
