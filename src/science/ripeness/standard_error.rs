//! How sure a day's value is: from bags of berries, and from single vines or clusters.
//! No forecast here.

use super::{Assumptions, Attribute};
use crate::science::normal::{normal_quantile, student_quantile};

/// Berries that make one bag.
pub const BERRIES_IN_A_BAG: f64 = 100.0;
/// Below this many stops their own spread says too little.
pub const STOPS_WITH_OWN_SPREAD: u32 = 5;

/// A sample whose spread cannot be reckoned.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SampleError {
    #[error("The number of bags must be above zero.")]
    NoBags,
    #[error("The number of stops must be at least one.")]
    NoStops,
    #[error("Each stop must give at least one sample.")]
    NoSamples,
    #[error("The spread of the sample must be a number, not below zero.")]
    UnusableSpread,
    #[error("The sample has {stops} stops, but the block has only {vines} vines.")]
    MoreStopsThanVines { stops: u32, vines: u32 },
}

/// Standard error of a day's mean from bags of 100 berries.
///
/// √( ((6·s0² + (m−1)·s²)/(6 + m − 1))/m + s_inst² ), and √(s0²/m + s_inst²) for one bag or less or
/// without a spread. `bags` may be a fraction (50 berries are half a bag); `sd` is the standard
/// deviation between the bags. In the unit of the attribute. Errors: bags not above 0, spread below
/// 0. Source: s0 for Brix from the Maryland leaflet; the weight of six bags is judgement.
///
/// ```
/// use endpost::science::ripeness::{standard_error::bags, Assumptions, Attribute};
/// let one = bags(Attribute::Brix, 1.0, None, &Assumptions::default()).unwrap();
/// assert!((one - 0.68).abs() < 0.001);
/// ```
pub fn bags(
    attribute: Attribute,
    bags: f64,
    sd: Option<f64>,
    assumptions: &Assumptions,
) -> Result<f64, SampleError> {
    if !bags.is_finite() || bags <= 0.0 {
        return Err(SampleError::NoBags);
    }
    if sd.is_some_and(|sd| !sd.is_finite() || sd < 0.0) {
        return Err(SampleError::UnusableSpread);
    }
    let values = assumptions.of(attribute);
    let expected = values.bag_sd.powi(2);
    let between_bags = match sd {
        Some(sd) if bags > 1.0 => (6.0 * expected + (bags - 1.0) * sd * sd) / (6.0 + bags - 1.0),
        _ => expected,
    };
    Ok((between_bags / bags + values.instrument_sd.powi(2)).sqrt())
}

/// The ± printed as "about" beside a Brix value from bags: 1.4/√bags.
///
/// `None` for no bags. Derived from the Maryland leaflet's two bags for ±1.0; its five bags for ±0.5
/// are a little better than this rule's 0.6.
///
/// ```
/// use endpost::science::ripeness::standard_error::shown_about;
/// assert_eq!(format!("{:.1}", shown_about(2.0).unwrap()), "1.0");
/// ```
pub fn shown_about(bags: f64) -> Option<f64> {
    (bags.is_finite() && bags > 0.0).then(|| 1.4 / bags.sqrt())
}

/// Readings of single vines or clusters, one group at each stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stops {
    pub stops: u32,
    pub samples_per_stop: u32,
    /// Standard deviation between the stops' means, where there are two stops or more.
    pub sd: Option<f64>,
    /// Vines in the block, where known: stops on all of them leave no doubt between vines.
    pub vines_in_block: Option<u32>,
}

/// How sure a day's value from stops is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopsError {
    /// For the forecast; the instrument's error included.
    pub standard_error: f64,
    /// Half-width of the 95 % interval that is printed.
    pub half_width: Option<f64>,
    /// Whether the stops' own spread was used, or the starting values.
    pub own_spread: bool,
}

/// Standard error and 95 % half-width of a day's mean from single vines or clusters.
///
/// From five stops on with a spread: se² = sd²/n·(1 − n/N) + s_inst². Below:
/// se² = σ_v²(1/n − 1/N) + σ_w²/(n·m) + s_inst² with the starting values. Half-width = a quantile
/// times the root of the same without the instrument: t_{n−1, 0.975} with the stops' own spread;
/// 1.96, that of the normal distribution, with the starting spreads, which are taken as known
/// (judgement: t on an assumed spread overstates, ±11 from two stops). In the unit of the
/// attribute. Errors: see [`SampleError`]. Source: two-stage sampling; starting values from
/// Rankine, Cellier and Boehm 1962 for Brix, in the ratio of the bags' spread for pH and TA
/// (judgement).
///
/// ```
/// use endpost::science::ripeness::standard_error::{stops, Stops};
/// use endpost::science::ripeness::{Assumptions, Attribute};
/// let two = Stops { stops: 2, samples_per_stop: 1, sd: Some(0.3), vines_in_block: None };
/// let sure = stops(Attribute::Brix, &two, &Assumptions::default()).unwrap();
/// assert!((sure.half_width.unwrap() - 1.73).abs() < 0.01);
/// ```
pub fn stops(
    attribute: Attribute,
    sample: &Stops,
    assumptions: &Assumptions,
) -> Result<StopsError, SampleError> {
    if sample.stops == 0 {
        return Err(SampleError::NoStops);
    }
    if sample.samples_per_stop == 0 {
        return Err(SampleError::NoSamples);
    }
    if let Some(vines) = sample.vines_in_block
        && vines < sample.stops
    {
        let stops = sample.stops;
        return Err(SampleError::MoreStopsThanVines { stops, vines });
    }
    if sample.sd.is_some_and(|sd| !sd.is_finite() || sd < 0.0) {
        return Err(SampleError::UnusableSpread);
    }
    let values = assumptions.of(attribute);
    let count = f64::from(sample.stops);
    let rest_of_block = sample
        .vines_in_block
        .map_or(1.0, |vines| 1.0 - count / f64::from(vines));
    let own = sample.sd.filter(|_| sample.stops >= STOPS_WITH_OWN_SPREAD);
    let variance = match own {
        Some(sd) => sd * sd / count * rest_of_block,
        None => {
            let samples = count * f64::from(sample.samples_per_stop);
            values.between_vines_sd.powi(2) / count * rest_of_block
                + values.within_vine_sd.powi(2) / samples
        }
    };
    let quantile = match own {
        Some(_) => student_quantile(0.975, count - 1.0),
        None => normal_quantile(0.975),
    };
    Ok(StopsError {
        standard_error: (variance + values.instrument_sd.powi(2)).sqrt(),
        half_width: quantile.map(|quantile| quantile * variance.sqrt()),
        own_spread: own.is_some(),
    })
}
