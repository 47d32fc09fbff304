//! What comes out of a forecast, and the plain questions it can be asked.
//! Nothing is reckoned here.

use super::{Plateau, SHAPES};
use crate::science::ripeness::Attribute;
use chrono::NaiveDate;
use serde::Serialize;

/// Chances of reaching the window, by day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reaching {
    /// Chance that the window has been reached by each day; never falls.
    pub by_day: Vec<f64>,
    /// Chance that the window is not reached by the season end.
    pub not_reached: f64,
    /// Days from today by which the window is reached with chance 0.1, 0.5 and 0.9.
    pub quantiles: [Option<f64>; 3],
    /// The same, provided that it is reached by the season end.
    pub quantiles_if_reached: [Option<f64>; 3],
}

/// Chances of having left the window at its far edge.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Leaving {
    /// Chance of being beyond the far edge on each day; it may fall again.
    pub beyond: Vec<f64>,
    /// Days from today to the first with an even chance of being beyond; `None` if there is none.
    pub leaves_days: Option<f64>,
}

/// What the readings say, for every day from today to the season end.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Forecast {
    pub attribute: Attribute,
    pub today: NaiveDate,
    /// `None` where the window has no edge that is met first.
    pub reaching: Option<Reaching>,
    /// `None` where the window has no far edge.
    pub leaving: Option<Leaving>,
    /// Chance of being inside the window on each day; it may fall again.
    pub in_window: Vec<f64>,
    /// Mean and standard deviation of the true value on each day.
    pub mean: Vec<f64>,
    pub sd: Vec<f64>,
    /// The true value lies below these with chance 0.1 and 0.9.
    pub band_low: Vec<f64>,
    pub band_high: Vec<f64>,
    /// Chance that each reading is a bad one, in the order given; `None` for readings too old to count.
    pub p_outlier: Vec<Option<f64>>,
    pub plateau: Plateau,
    pub shape_weights: [f64; SHAPES],
    /// Different days among the readings: two make only a rough guess.
    pub sample_days: usize,
}

/// What one season's readings say about its curve, without any look ahead.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Course {
    pub plateau: Plateau,
    pub shape_weights: [f64; SHAPES],
    pub p_outlier: Vec<Option<f64>>,
}

fn doubtful(p_outlier: &[Option<f64>]) -> Vec<usize> {
    let off = |chance: &Option<f64>| chance.is_some_and(|chance| chance > 0.5);
    (0..p_outlier.len())
        .filter(|&at| off(&p_outlier[at]))
        .collect()
}

impl Course {
    /// Readings, by their place in the input, that look off (more likely bad than not).
    pub fn doubtful_readings(&self) -> Vec<usize> {
        doubtful(&self.p_outlier)
    }
}

impl Forecast {
    /// Whether every number is one; anything else is no answer.
    pub(super) fn is_finite(&self) -> bool {
        let all = |values: &[f64]| values.iter().all(|value| value.is_finite());
        all(&self.in_window)
            && all(&self.mean)
            && all(&self.sd)
            && all(&self.band_low)
            && all(&self.band_high)
            && all(&self.shape_weights)
            && self
                .reaching
                .as_ref()
                .is_none_or(|chance| all(&chance.by_day))
            && self
                .leaving
                .as_ref()
                .is_none_or(|chance| all(&chance.beyond))
            && self.plateau.mean.is_finite()
            && self.plateau.sd.is_finite()
    }

    /// Whether the readings of only two days make this a rough guess.
    pub fn is_rough(&self) -> bool {
        self.sample_days <= 2
    }

    /// Readings, by their place in the input, that look off (more likely bad than not).
    pub fn doubtful_readings(&self) -> Vec<usize> {
        doubtful(&self.p_outlier)
    }

    /// Whether the value is beyond its far edge today, more likely than not.
    pub fn is_past(&self) -> bool {
        self.leaving
            .as_ref()
            .is_some_and(|chance| chance.beyond[0] > 0.5)
    }
}
