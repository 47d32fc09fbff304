//! The state of a block with its reasons. And what pages say of it (`sheet`).

mod readiness;
mod sheet;
