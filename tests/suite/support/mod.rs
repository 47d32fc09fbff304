//! What the tests share: a farm to visit, a page to read, entries to send, the real program, a
//! browser. Not here: any test.

pub mod binary;
pub mod browser;
pub mod caller;
pub mod copies;
pub mod entries;
pub mod farm;
pub mod handset;
pub mod line;
pub mod page;
pub mod phone;
pub mod processes;
pub mod seed;
pub mod sender;
pub mod wire;
