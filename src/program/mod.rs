//! The running thing: options, start-up and the sums from the command line.
//!
//! No page and no SQL is written here.

pub mod figure;
