//! Phones that keep entries out of range, as the house sees them. Not here: the scripts on the
//! phone (`browser`).

mod put;
