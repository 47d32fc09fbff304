//! A weighed sum of Gaussians: its moments, its tails and its quantiles. No ripening here.

use crate::science::normal::chance_below;
use std::sync::LazyLock;

/// One Gaussian of the sum.
#[derive(Clone, Copy)]
pub(super) struct Part {
    pub weight: f64,
    pub mean: f64,
    pub sd: f64,
}

/// Gaussians whose weights add up to 1.
pub(super) struct Mixture {
    parts: Vec<Part>,
    /// Tails further out than six standard deviations count as nothing.
    cut_tails: bool,
}

impl Mixture {
    pub fn new(cut_tails: bool) -> Self {
        Mixture {
            parts: Vec::new(),
            cut_tails,
        }
    }

    pub fn clear(&mut self) {
        self.parts.clear();
    }

    pub fn push(&mut self, part: Part) {
        self.parts.push(part);
    }

    /// Chance of lying above `edge` (sign +1) or below it (sign −1).
    pub fn chance_past(&self, edge: f64, sign: f64) -> f64 {
        let mut chance = 0.0;
        for part in &self.parts {
            let z = sign * (part.mean - edge) / part.sd;
            chance += part.weight
                * if self.cut_tails && z.abs() > TABLE_END {
                    f64::from(z > 0.0)
                } else {
                    chance_below(z)
                };
        }
        chance.min(1.0)
    }

    /// Mean and standard deviation.
    pub fn moments(&self) -> (f64, f64) {
        let mean: f64 = self.parts.iter().map(|one| one.weight * one.mean).sum();
        let variance: f64 = self
            .parts
            .iter()
            .map(|one| one.weight * (one.sd * one.sd + (one.mean - mean).powi(2)))
            .sum();
        (mean, variance.sqrt())
    }

    /// The values the sum lies below with chance 0.1 and 0.9, given its moments. The band of the day
    /// before, in standard deviations from the mean, is where the search starts and what it leaves.
    pub fn band(&self, mean: f64, sd: f64, reach: &mut [f64; 2]) -> (f64, f64) {
        let [low, high] = [(0, 0.1), (1, 0.9)].map(|(end, wanted)| {
            let found = self.quantile(wanted, mean + reach[end] * sd, sd);
            reach[end] = ((found - mean) / sd).clamp(-MOST_REACH, MOST_REACH);
            found
        });
        (low, high)
    }

    /// Newton's steps, held between what is known to be too low and too high.
    fn quantile(&self, wanted: f64, guess: f64, sd: f64) -> f64 {
        let (mut low, mut high) = (guess - 10.0 * sd, guess + 10.0 * sd);
        let mut value = guess;
        for _ in 0..40 {
            let (chance, density) = self.below(value);
            let miss = chance - wanted;
            let step = miss / density;
            let next = value - step;
            // So close, this step leaves an error of its square.
            if miss.abs() < CLOSE && step.abs() < 0.1 * sd {
                return next;
            }
            if miss > 0.0 {
                high = value;
            } else {
                low = value;
            }
            value = if next > low && next < high {
                next
            } else {
                0.5 * (low + high)
            };
        }
        value
    }

    /// Chance of lying below a value, and the density there, good to 1e-5.
    fn below(&self, value: f64) -> (f64, f64) {
        let table = &*TABLE;
        let (mut chance, mut density) = (0.0, 0.0);
        for part in &self.parts {
            let z = (value - part.mean) / part.sd;
            if z >= TABLE_END {
                chance += part.weight;
            } else if z > -TABLE_END {
                let place = (z + TABLE_END) * STEPS_PER_SD;
                let at = place as usize;
                let share = place - at as f64;
                let (from, to) = (&table[at], &table[at + 1]);
                chance += part.weight * (from.0 + share * (to.0 - from.0));
                density += part.weight / part.sd * (from.1 + share * (to.1 - from.1));
            }
        }
        (chance, density)
    }
}

/// Where a band's search starts, in standard deviations from the mean.
pub(super) const FIRST_REACH: [f64; 2] = [-1.2816, 1.2816];
/// The furthest it starts on a later day.
const MOST_REACH: f64 = 3.0;
const CLOSE: f64 = 2e-3;

const TABLE_END: f64 = 6.0;
const STEPS_PER_SD: f64 = 64.0;

/// Φ and its density at steps of 1/64: a line between two steps is within 1e-5, enough to draw a
/// band. The chances of a forecast are never read from it.
static TABLE: LazyLock<Vec<(f64, f64)>> = LazyLock::new(|| {
    let last = (2.0 * TABLE_END * STEPS_PER_SD) as usize + 1;
    (0..=last)
        .map(|at| {
            let z = at as f64 / STEPS_PER_SD - TABLE_END;
            let density = (-0.5 * z * z).exp() / std::f64::consts::TAU.sqrt();
            (chance_below(z), density)
        })
        .collect()
});
