//! The one test program. Nothing here but the list of its rooms.

mod entry;
mod harvest;
mod published;
mod ripeness;
