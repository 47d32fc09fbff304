//! The value of a walk while it is walked: mean, ±, and how many stops more a wanted ± takes.
//! A phone out of range does the same sum in `static/walk.js`; a test holds the two together.
//! Not here: the value of the day (`day`), which is the same once all is in.

use super::how_many::MOST_STOPS;
use crate::science::ripeness::standard_error::{STOPS_WITH_OWN_SPREAD, Stops, stops};
use crate::science::ripeness::{Assumptions, Attribute};

/// What the readings so far say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Running {
    pub stops: u32,
    pub mean: f64,
    /// Half-width of the 95 % interval.
    pub half_width: f64,
    pub more: Option<More>,
}

/// How far it is to the wanted ±.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum More {
    Reached,
    /// So many stops more should do it.
    Stops(u32),
    /// Not within 60 stops, or not with the vines there are.
    OutOfReach,
}

/// The sum of one value for each vine; none before the first.
///
/// Mean and half-width are those of [`stops`]. The stops still wanted are the fewest k for which
/// n + k stops of the same spread bring the half-width down: the readings' own spread from five
/// stops on, the starting spreads below. Values in °Brix.
///
/// ```
/// use endpost::science::ripeness::{Assumptions, walk::running::{More, running}};
/// let read = [21.4, 22.8, 21.6, 21.5, 22.2];
/// let sum = running(&read, Some(259), Some(0.5), &Assumptions::default()).unwrap();
/// assert_eq!(format!("{:.1} ± {:.1}", sum.mean, sum.half_width), "21.9 ± 0.7");
/// assert_eq!(sum.more, Some(More::Stops(3)));
/// ```
pub fn running(
    values: &[f64],
    vines_in_block: Option<u32>,
    wanted: Option<f64>,
    assumptions: &Assumptions,
) -> Option<Running> {
    let count = u32::try_from(values.len()).ok().filter(|all| *all > 0)?;
    let mean = values.iter().sum::<f64>() / f64::from(count);
    let own = own_spread(values, mean);
    let half_width = |stops_in_all: u32| {
        let sample = Stops {
            stops: stops_in_all,
            samples_per_stop: 1,
            sd: own,
            vines_in_block: vines_in_block.filter(|vines| *vines >= count),
        };
        stops(Attribute::Brix, &sample, assumptions)
            .ok()?
            .half_width
    };
    let now = half_width(count)?;
    let more = wanted.map(|wanted| {
        if now <= wanted {
            return More::Reached;
        }
        (count + 1..=MOST_STOPS.max(count))
            .find(|all| half_width(*all).is_some_and(|width| width <= wanted))
            .map_or(More::OutOfReach, |all| More::Stops(all - count))
    });
    Some(Running {
        stops: count,
        mean,
        half_width: now,
        more,
    })
}

/// The readings' own standard deviation, once there are enough of them to tell it.
fn own_spread(values: &[f64], mean: f64) -> Option<f64> {
    if values.len() < STOPS_WITH_OWN_SPREAD as usize {
        return None;
    }
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    Some((squares / (values.len() - 1) as f64).sqrt())
}
