//! Where the farm computer is reached from: who is let in, which addresses phones are told, and the
//! pages that bring them here. Not here: the pages behind.

mod addresses;
mod code;
mod gate;
mod name;
mod pages;
pub mod shed;
mod start;
