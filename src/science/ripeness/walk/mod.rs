//! A walk through a block: which vines are read, on which side, in which order.
//! `frame` says which vines may be drawn, `draw` draws them, `how_many` and `running` are the sums
//! before the walk and on the way.
//! Not here: the card's code (`cards`), the words, and what was read (`sample`).

pub mod dice;
mod draw;
mod frame;
pub mod how_many;
pub mod running;

pub use draw::{SPARES, Wishes, draw_up};
use how_many::HowMany;

use serde::{Deserialize, Serialize};

use crate::science::places::VineAddress;

/// A walk as it was drawn up. What was drawn stays, also when the block changes afterwards.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Walk {
    pub read: ReadAt,
    /// The ± that is wanted, in °Brix.
    pub wanted: Option<f64>,
    /// What the number of stops follows from, where nobody typed it.
    pub how_many: Option<HowMany>,
    /// Berries taken from each vine.
    pub berries: u16,
    pub frame: Frame,
    /// In walking order.
    pub stops: Vec<WalkStop>,
    /// Taken in this order when a stop is no good.
    pub spares: Vec<WalkStop>,
}

/// Where the juice is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ReadAt {
    /// A reading at each vine.
    Vines,
    /// Berries of all vines into bags, read at the bench.
    Bags,
}

/// One vine of a walk.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WalkStop {
    pub at: VineAddress,
    pub side: Side,
}

/// A side of the row, as one walks from the home end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    Left,
    Right,
}

/// The vines a walk was drawn from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Frame {
    pub rule: FrameRule,
    /// Labels of its rows, in order.
    pub rows: Vec<String>,
    /// Labels of the rows left out.
    pub left_out: Vec<String>,
    /// Places for a vine within it.
    pub positions: u32,
    /// Those of them with a bearing vine.
    pub eligible: u32,
    /// Stricter rules that left too few vines, with how many.
    pub too_few: Vec<(FrameRule, u32)>,
}

impl Frame {
    /// Whether the edge rows had to be taken in, which ripen otherwise than the rest.
    pub fn has_edge_rows(&self) -> bool {
        self.rule != FrameRule::InnerRows
    }
}

/// Which vines of a block are left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FrameRule {
    /// The edge rows, and the first two vines at both ends of the others.
    InnerRows,
    /// The first two vines at both ends of every row.
    AllRows,
    /// None.
    AllVines,
}
