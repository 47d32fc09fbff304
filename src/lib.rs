//! Endpost: records, forecasts and printable sheets for the keeper of a small vineyard.
//!
//! Here are only the floors; what each may know is told in its own file.

pub mod program;
pub mod science;
