//! Endpost: records, forecasts and printable sheets for the keeper of a small vineyard.
//!
//! The floors, from the bottom: `science` reckons, `program` runs. Nothing else is here yet.

pub mod program;
pub mod science;
