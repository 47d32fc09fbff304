//! Harvest on pages: Today, a block, the readiness sheet. It joins what the other rooms hold.
//! Not here: the rules of the state word (`science::harvest`).

mod advice;
pub mod block;
mod sentences;
pub mod sheet;
pub mod sheets;
pub mod today;
mod vineyard;

pub use vineyard::{BlockToday, Memo, Vineyard};
