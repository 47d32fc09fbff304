//! Ripeness on pages: samples, targets, instruments, figures of judgement, and how it is figured.
//! Not here: what follows for a block (`harvest`), the sums (`science::ripeness`).

mod assumptions_form;
pub mod course;
pub mod how;
mod how_course;
mod how_house;
mod how_juice;
mod how_samples;
mod how_worked;
mod instrument_form;
pub mod instruments;
pub mod list;
pub mod plan;
pub mod rail;
mod sample_check;
mod sample_form;
mod sample_values;
mod sample_words;
mod stops_check;
mod target_form;

pub use assumptions_form::{AssumptionsForm, rule_words};
pub use instrument_form::InstrumentForm;
pub use sample_form::SampleForm;
pub use sample_words::rests_on;
pub use target_form::{TargetForm, window_words as target_words};
