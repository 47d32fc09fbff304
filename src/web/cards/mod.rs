//! Paper cards on pages: one entry for each card that was drawn up, so that its code is known.
//! Not here: walks (`ripeness`), and what is typed from a card (each room's form).

mod card_form;
pub mod draw_up;
pub mod enter;
pub mod list;
pub mod tally;

pub use card_form::CardForm;
