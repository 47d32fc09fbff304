//! What a phone out of range needs to go on with the sum of a walk by itself.
//! Not here: the sum (`science::ripeness::walk::running`), the script that does it (`static/walk.js`).

use super::walk_shared::vines;
use crate::science::normal::{normal_quantile, student_quantile};
use crate::science::ripeness::Walk;
use crate::science::ripeness::standard_error::STOPS_WITH_OWN_SPREAD;
use crate::science::ripeness::walk::how_many::MOST_STOPS;
use crate::science::ripeness::walk::{ReadAt, SPARES};
use crate::web::harvest::BlockToday;
use crate::web::known::Known;

/// The two-sided 95 % interval of a day's value.
const UPPER: f64 = 0.975;

pub struct Sum {
    /// Whether each vine is read; else its berries go into a bag, and the stops are only counted.
    pub is_read: bool,
    pub stops: usize,
    pub wanted: Option<f64>,
    pub vines: Option<u32>,
    /// Starting spreads, until the walk has its own.
    pub between: f64,
    pub within: f64,
    /// Stops from which on the walk's own spread is used, and the most of a walk.
    pub own_from: u32,
    pub most: u32,
    pub normal: f64,
    /// Quantiles of Student's t, one for each number of stops from `own_from` to `most`.
    pub student: String,
    /// What each instrument reads in pure water: "id 0.3" each.
    pub zeros: String,
}

impl Sum {
    pub fn of(walk: &Walk, one: &BlockToday, known: &Known) -> Self {
        let student: Vec<String> = (STOPS_WITH_OWN_SPREAD..=MOST_STOPS + SPARES)
            .filter_map(|stops| student_quantile(UPPER, f64::from(stops) - 1.0))
            .map(|quantile| format!("{quantile:.6}"))
            .collect();
        let zeros: Vec<String> = known
            .instruments
            .iter()
            .map(|one| format!("{} {}", one.id, one.instrument.zero_offset))
            .collect();
        Self {
            is_read: walk.read == ReadAt::Vines,
            stops: walk.stops.len(),
            wanted: walk.wanted,
            vines: vines(one),
            between: known.assumptions.brix.between_vines_sd,
            within: known.assumptions.brix.within_vine_sd,
            own_from: STOPS_WITH_OWN_SPREAD,
            most: MOST_STOPS,
            normal: normal_quantile(UPPER).unwrap_or(1.96),
            student: student.join(" "),
            zeros: zeros.join(" "),
        }
    }
}
