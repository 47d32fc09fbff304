//! Ripeness on pages: samples, targets, instruments, figures of judgement, and how it is figured.
//! Not here: what follows for a block (`harvest`), the sums (`science::ripeness`).

mod assumptions_form;
pub mod course;
pub mod how;
mod how_course;
mod how_house;
mod how_juice;
mod how_samples;
mod how_walk;
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
mod walk_card;
mod walk_check;
mod walk_fields;
pub mod walk_form;
mod walk_new;
mod walk_page;
mod walk_shared;
mod walk_state;
mod walk_sum;
pub mod walk_words;

use super::site::Site;
use crate::science::access::Rule;
pub use assumptions_form::{AssumptionsForm, rule_words};
pub use instrument_form::InstrumentForm;
pub use sample_form::SampleForm;
pub use sample_words::rests_on;
pub use target_form::{TargetForm, window_words as target_words};

/// The addresses of this room.
pub fn routes(site: Site) -> Site {
    site.get("/ripeness", Rule::Look, list::get)
        .form(&SampleForm)
        .form(&TargetForm)
        .get("/instruments", Rule::Look, instruments::get)
        .form(&InstrumentForm)
        .form(&AssumptionsForm)
        .get("/ripeness/plan", Rule::Look, plan::get)
        .get("/how", Rule::Look, how::get)
        .get("/walks", Rule::Look, walk_new::list)
        .post("/walks", Rule::Enter, walk_new::post)
        .get("/walks/new", Rule::Enter, walk_new::get)
        .get("/walks/{code}", Rule::Enter, walk_page::get)
        .get("/walks/{code}/state", Rule::Enter, walk_state::get)
        .get("/walks/{code}/card", Rule::Shared, walk_card::get)
}
