//! How many stops a walk needs for a wanted ±, by the sum of the sampling plan.
//! Not here: the sum itself (`plan`), what was read (`running`).

use serde::{Deserialize, Serialize};

use crate::science::ripeness::plan::{Plan, PlanError, PlanQuestion, half_width, plan};
use crate::science::ripeness::standard_error::STOPS_WITH_OWN_SPREAD;

/// Below this many stops their own spread says too little, so that fewer are never proposed.
pub const LEAST_STOPS: u32 = STOPS_WITH_OWN_SPREAD;
/// More stops than a person walks on a morning (judgement).
pub const MOST_STOPS: u32 = 60;
/// Stops and berries that make a bag of 100.
pub const STOPS_FOR_A_BAG: u32 = 25;
pub const BERRIES_FOR_A_BAG: u16 = 4;
/// Berries whose juice makes one reading at a vine (judgement).
pub const BERRIES_FOR_A_READING: u16 = 20;

/// The chance that the ± printed for a day holds its mean.
const CONFIDENCE: f64 = 0.95;

/// How many stops, and why not fewer or more.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct HowMany {
    pub stops: u32,
    /// What so many should bring.
    pub half_width: f64,
    pub because: Because,
}

/// What the number of stops follows from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Because {
    /// The fewest that should bring the wanted ±.
    Wanted,
    /// Fewer would bring it, but then the walk's own spread says too little.
    LeastStops,
    /// More would be needed than anybody walks, or than the block has vines.
    MostStops,
}

/// The stops that should bring a half-width of at most `wanted` °Brix with one reading at each.
///
/// The smallest n with t_{n−1, 0.975}·√(σ_v²(1/n − 1/N) + σ_w²/n) ≤ wanted, from 5 to 60 and no
/// more than N. Errors: see [`PlanError`]. Source: as for the plan.
///
/// ```
/// use endpost::science::ripeness::walk::how_many::how_many;
/// assert_eq!(how_many(1.0, 1.1, 1.4, 259).unwrap().stops, 15);
/// ```
pub fn how_many(
    wanted: f64,
    sd_between: f64,
    sd_within: f64,
    vines_in_block: u32,
) -> Result<HowMany, PlanError> {
    let question = PlanQuestion {
        sd_between,
        sd_within,
        half_width: wanted,
        confidence: CONFIDENCE,
        vines_in_block,
        // One reading a vine leaves nothing to weigh up.
        minutes_per_vine: 1.0,
        minutes_per_sample: 0.0,
        max_per_vine: 1,
    };
    let most = MOST_STOPS.min(vines_in_block);
    let (stops, because) = match plan(&question)? {
        Plan::Enough(walk) if walk.vines < LEAST_STOPS => {
            (LEAST_STOPS.min(most), Because::LeastStops)
        }
        Plan::Enough(walk) if walk.vines <= most => (walk.vines, Because::Wanted),
        Plan::Enough(_) | Plan::Best(_) => (most, Because::MostStops),
    };
    Ok(HowMany {
        stops,
        half_width: half_width(&question, stops, 1)?,
        because,
    })
}
