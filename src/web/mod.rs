//! The web floor: pages and forms. It asks the store, lets `science` reckon, and finds the words.
//! Not here: SQL, sums, files, and "now" other than through the clock.

pub mod error;
pub mod form;
pub mod frame;
pub mod known;
mod visitor;
pub mod words;

use crate::clock::Clock;
use crate::store::Store;

/// What every page can reach.
#[derive(Clone)]
pub struct App {
    pub store: Store,
    pub clock: Clock,
    /// Says "demo, made-up data" on every page.
    pub demo: bool,
}
