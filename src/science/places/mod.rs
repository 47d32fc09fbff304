//! Places.
pub mod address;
