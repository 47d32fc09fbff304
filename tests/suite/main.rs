//! The one test program. Nothing here but the list of its rooms.

mod published;
