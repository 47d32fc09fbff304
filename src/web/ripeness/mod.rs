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

use axum::Router;
use axum::routing::get;

use super::App;
pub use assumptions_form::{AssumptionsForm, rule_words};
pub use instrument_form::InstrumentForm;
pub use sample_form::SampleForm;
pub use sample_words::rests_on;
pub use target_form::{TargetForm, window_words as target_words};

/// The addresses of walks.
pub fn walk_routes() -> Router<App> {
    Router::new()
        .route("/walks", get(walk_new::list).post(walk_new::post))
        .route("/walks/new", get(walk_new::get))
        .route("/walks/{code}", get(walk_page::get))
        .route("/walks/{code}/state", get(walk_state::get))
        .route("/walks/{code}/card", get(walk_card::get))
}
