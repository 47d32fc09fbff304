//! Phones that keep entries out of range, as the house sees them. Not here: the scripts on the
//! phone (`browser`).

mod broken_line;
mod clocks;
mod conflicts;
mod crowd;
mod cut_start;
mod full_disk;
mod held;
mod killed;
mod list;
mod matrix;
mod model;
pub mod paste;
mod plain;
mod power_cut;
mod put;
mod restored;
