//! Places: rows, panels and vines, their addresses, and what stood where on a date.
//!
//! Rows keep their names for good; which block they belong to is a dated list. No map is drawn here.

pub mod address;
mod block;
pub mod census;
mod farm;
pub mod layout;
pub mod range;

pub use address::{Address, AddressError, Reading, parse_address, read_back};
pub use block::{Block, RowsOfBlock, changes_of_rows, rows_on};
pub use census::{Count, VineChange, VineEvent, VineLife};
pub use farm::{Farm, ForHelpers};
pub use layout::{LayoutError, read_layout, read_layout_keeping};
pub use range::{Ground, Stretch, parse_range};

use serde::{Deserialize, Serialize};

/// One row: the label on its end posts and the vine positions of each panel from the home end.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RowLayout {
    pub label: String,
    pub panels: Vec<u16>,
}

impl RowLayout {
    pub fn panel_count(&self) -> u16 {
        u16::try_from(self.panels.len()).unwrap_or(u16::MAX)
    }

    /// The vine positions of a panel, counted from 1; zero where there is no such panel.
    pub fn vines_in(&self, panel: u16) -> u16 {
        usize::from(panel)
            .checked_sub(1)
            .and_then(|at| self.panels.get(at).copied())
            .unwrap_or(0)
    }

    pub fn positions(&self) -> u32 {
        self.panels.iter().map(|vines| u32::from(*vines)).sum()
    }

    /// Every vine position of the row, walking from the home end.
    pub fn addresses(&self) -> impl Iterator<Item = VineAddress> + '_ {
        (1..=self.panel_count()).flat_map(move |panel| {
            (1..=self.vines_in(panel)).map(move |vine| VineAddress {
                row: self.label.clone(),
                panel,
                vine,
            })
        })
    }
}

/// One vine position: `C4-7-2`. A gone vine keeps its number.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct VineAddress {
    pub row: String,
    pub panel: u16,
    pub vine: u16,
}

impl std::fmt::Display for VineAddress {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{}-{}-{}", self.row, self.panel, self.vine)
    }
}
