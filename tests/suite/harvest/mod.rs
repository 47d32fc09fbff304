//! The state of a block with its reasons. Not here: the words on pages.

mod next;
mod readiness;
mod together;
