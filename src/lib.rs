//! Endpost: from a few noisy readings in the rows to sheets a keeper can act on.
//! This file names the floors, lowest first; DEVELOPERS.md says what each may know.
//! Not here: anything that does work.

pub mod clock;
pub mod science;

pub mod store;

pub mod web;

pub mod program;
