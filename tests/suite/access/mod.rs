//! Who may come in, tried over HTTP: every address for everybody, codes, the passphrase, shared
//! pages, what each may change, and what a guess costs.

mod bounds;
mod damaged;
mod doors;
mod guesses;
mod keeper;
mod links;
mod logs;
mod own;
mod phones;
mod shared;
mod shut;
