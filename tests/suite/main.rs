//! The one test program. Nothing here but the list of its rooms.

mod entry;
mod published;
mod sprays;
