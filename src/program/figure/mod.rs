//! `endpost figure KIND`: any of the sums from the command line.
//!
//! One file a kind; the sums themselves live in `science`.

pub mod hold;
