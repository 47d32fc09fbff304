//! Earlier seasons: where this block's ripening ended before, and what that says of this year.
//! The curves themselves are fitted in `forecast`.

use super::forecast::{self, Course, ForecastError, Plateau, Question, Reading, SHAPES};
use super::{Assumptions, Attribute};

/// Earlier seasons that give no start for this one.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SeasonsError {
    #[error("The target must be a number.")]
    UnusableTarget,
    #[error("Each earlier season needs plateau_mean and a plateau_sd that is not below zero.")]
    UnusablePlateau,
    #[error("The spread between seasons must not be larger than that of the plateau.")]
    SpreadReversed,
}

/// Expected plateau of this season from those of earlier ones.
///
/// μ ~ N(T + margin, sd² − b²), x_j ~ N(μ, b² + s_j²), new plateau ~ N(μ after all, its variance + b²);
/// T the edge met first, b the spread between seasons. In the unit of the attribute. Without earlier
/// seasons this is the plain start T + margin, sd. Errors: see [`SeasonsError`]. Source: normal
/// pooling; the spread between seasons is judgement.
///
/// ```
/// use endpost::science::ripeness::{seasons::prior, Assumptions, Attribute, Plateau};
/// let past = [Plateau { mean: 23.5, sd: 0.6 }];
/// let next = prior(Attribute::Brix, 22.0, &past, &Assumptions::default()).unwrap();
/// assert!((next.mean - 23.73509174).abs() < 1e-6);
/// ```
pub fn prior(
    attribute: Attribute,
    target: f64,
    seasons: &[Plateau],
    assumptions: &Assumptions,
) -> Result<Plateau, SeasonsError> {
    if !target.is_finite() {
        return Err(SeasonsError::UnusableTarget);
    }
    let values = assumptions.of(attribute);
    let between = values.between_seasons_sd.powi(2);
    let spare = values.plateau_sd.powi(2) - between;
    if !spare.is_finite() || spare <= 0.0 {
        return Err(SeasonsError::SpreadReversed);
    }
    let mut precision = 1.0 / spare;
    let mut pull = (target + attribute.sign() * values.plateau_margin) / spare;
    for season in seasons {
        if !season.mean.is_finite() || !season.sd.is_finite() || season.sd < 0.0 {
            return Err(SeasonsError::UnusablePlateau);
        }
        let variance = between + season.sd * season.sd;
        precision += 1.0 / variance;
        pull += season.mean / variance;
    }
    Ok(Plateau {
        mean: pull / precision,
        sd: (1.0 / precision + between).sqrt(),
    })
}

/// Expected curve shapes of this season: half the default, half the average of earlier seasons.
///
/// The default alone where there are none. Source: judgement.
pub fn shape_weights(seasons: &[[f64; SHAPES]]) -> [f64; SHAPES] {
    let plain = forecast::default_shape_weights();
    if seasons.is_empty() {
        return plain;
    }
    let count = seasons.len() as f64;
    std::array::from_fn(|shape| {
        let past: f64 = seasons.iter().map(|season| season[shape]).sum::<f64>() / count;
        0.5 * plain[shape] + 0.5 * past
    })
}

/// Turns each earlier season's readings into this season's start: plateau and curve shapes.
///
/// Seasons with fewer than two readings are passed over. `question` is this season's; each earlier
/// season is fitted with its window and without any start of its own. `None` without a target or
/// without an earlier season that can be used.
pub fn start_from(
    seasons: &[Vec<Reading>],
    question: &Question,
) -> Result<Option<(Plateau, [f64; SHAPES])>, ForecastError> {
    let Some(target) = question.window.first_edge(question.attribute) else {
        return Ok(None);
    };
    let plain = Question {
        prior: None,
        shape_weights: None,
        ..question.clone()
    };
    let mut courses: Vec<Course> = Vec::new();
    for readings in seasons.iter().filter(|readings| readings.len() >= 2) {
        courses.push(forecast::course(readings, &plain)?);
    }
    if courses.is_empty() {
        return Ok(None);
    }
    let plateaus: Vec<Plateau> = courses.iter().map(|course| course.plateau).collect();
    let shapes: Vec<[f64; SHAPES]> = courses.iter().map(|course| course.shape_weights).collect();
    let plateau = prior(question.attribute, target, &plateaus, &question.assumptions)
        .map_err(|_| ForecastError::UnusablePrior)?;
    Ok(Some((plateau, shape_weights(&shapes))))
}
