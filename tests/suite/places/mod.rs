//! Blocks, rows, panels and vines: layouts and addresses as typed, and the census through the years.
//! Not here: pages over HTTP (`web`).

pub mod address;
mod census;
mod layout;
mod units_changed;
