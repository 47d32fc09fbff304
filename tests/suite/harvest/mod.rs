//! The state of a block with its reasons, and what pages say of it and advise.

mod next;
mod readiness;
mod sheet;
mod together;
