//! Samples, targets, instruments and figures of judgement in the database.
//! Not here: sums over them (`science::ripeness`).

mod recent;
mod sample;
mod settings;

pub use recent::{Recent, RecentBag, SampleCame};
pub use sample::{SampleListed, SampleTaken};
pub(super) use sample::{insert_samples, put_sample, take_out_sample};
pub use settings::InstrumentListed;
pub(super) use settings::{
    assumptions_record, put_assumptions, put_instrument, put_target, take_out_assumptions,
    take_out_instrument, take_out_target,
};
