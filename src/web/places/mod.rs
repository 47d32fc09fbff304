//! Places: first run, the farm, blocks, rows, vines, and reading an address back.
//! Not here: what grows there (`ripeness`, `harvest`).

pub mod address;
mod block_form;
pub mod blocks;
mod farm_form;
pub mod house;
mod rows_form;
pub mod start;
mod vine_form;
pub mod vines;

pub use block_form::BlockForm;
pub use farm_form::{FarmForm, common_zone};
pub use rows_form::{RowsForm, block as block_named};
pub use vine_form::{VineForm, since_day, vine_at};
