//! Where the farm computer is reached from: who is let in. Not here: the pages behind.

mod gate;
mod name;
