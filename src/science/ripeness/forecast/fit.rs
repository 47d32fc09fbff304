//! Weighs every curve, size of wobble and bad reading by how well it passes the readings.
//! No look ahead here.

use super::curves::{Curve, SHAPES, curves, default_shape_weights};
use super::linear::{Row, Square, dot, inverse, times};
use super::prepare::Data;
use super::start::{Start, start};
use super::{ForecastError, MOST_READINGS, Plateau, Question};

/// One size of wobble together with one choice of the bad reading.
pub(super) struct Setting {
    pub wobble_variance: f64,
    /// The reading that is taken to be bad, if any.
    bad: Option<usize>,
    /// Inverse of the readings' covariance.
    pub inverse: Square,
}

/// One setting with one curve: level and plateau are then Gaussian.
pub(super) struct Branch {
    pub setting: usize,
    pub shape: usize,
    pub weight: f64,
    pub level: f64,
    pub plateau: f64,
    /// Covariance of level and plateau: level, both, plateau.
    pub covariance: [f64; 3],
}

/// All that the readings say.
pub(super) struct Fit {
    pub count: usize,
    pub days: Row,
    pub values: Row,
    pub memory_days: f64,
    pub curves: [Curve; SHAPES],
    /// Share of the way done at each reading, by curve.
    pub shares: [Row; SHAPES],
    pub settings: Vec<Setting>,
    pub branches: Vec<Branch>,
}

pub(super) fn fit(data: &Data, question: &Question) -> Result<Fit, ForecastError> {
    let count = data.len();
    let curves = curves(question.attribute);
    let days = row(&data.days);
    let mut fit = Fit {
        count,
        days,
        values: row(&data.values),
        memory_days: question.assumptions.wobble_memory_days,
        shares: curves.map(|curve| {
            let mut shares = [0.0; MOST_READINGS];
            for (share, day) in shares[..count].iter_mut().zip(&days) {
                *share = curve.share(*day);
            }
            shares
        }),
        curves,
        settings: Vec::new(),
        branches: Vec::new(),
    };
    let start = start(question);
    let shape_weights = question
        .shape_weights
        .unwrap_or_else(default_shape_weights)
        .map(f64::ln);
    let alike = alike(&days, count, fit.memory_days);
    let assumptions = &question.assumptions;
    let wobbles = assumptions.of(question.attribute).wobble;
    let mut log_weights = Vec::new();
    for (wobble, wobble_weight) in wobbles.into_iter().zip(assumptions.wobble_weights) {
        for (bad, bad_weight) in bad_readings(count, assumptions.bad_share) {
            let mut errors = row(&data.errors);
            if let Some(at) = bad {
                errors[at] *= assumptions.bad_factor;
            }
            let variance = wobble * wobble;
            let covariance = covariance(&alike, &errors, variance, count);
            let inverse = inverse(&covariance, count).ok_or(ForecastError::NoAnswer)?;
            let known = wobble_weight.ln() + bad_weight.ln() - 0.5 * inverse.log_determinant;
            fit.settings.push(Setting {
                wobble_variance: variance,
                bad,
                inverse: inverse.rows,
            });
            for (shape, shape_weight) in shape_weights.into_iter().enumerate() {
                let (branch, closeness) = fit.branch(&start, shape);
                log_weights.push(known + shape_weight + closeness);
                fit.branches.push(branch);
            }
        }
    }
    fit.weigh(&log_weights)?;
    Ok(fit)
}

/// "No reading is bad" and "this one is", with their chances. Two readings cannot tell.
fn bad_readings(count: usize, share: f64) -> Vec<(Option<usize>, f64)> {
    if count < 3 {
        return vec![(None, 1.0)];
    }
    let none = (None, 1.0 - share * count as f64);
    std::iter::once(none)
        .chain((0..count).map(|at| (Some(at), share)))
        .collect()
}

/// Copies a list into a row of fixed length.
fn row(values: &[f64]) -> Row {
    let mut row = [0.0; MOST_READINGS];
    row[..values.len()].copy_from_slice(values);
    row
}

/// How alike the weather's mark is on each pair of days: exp(−|Δt| / memory).
fn alike(days: &Row, count: usize, memory: f64) -> Square {
    let mut alike = [[0.0; MOST_READINGS]; MOST_READINGS];
    for (row, from) in alike[..count].iter_mut().zip(days) {
        for (place, to) in row[..count].iter_mut().zip(days) {
            *place = (-(from - to).abs() / memory).exp();
        }
    }
    alike
}

fn covariance(alike: &Square, errors: &Row, wobble_variance: f64, count: usize) -> Square {
    let mut matrix = [[0.0; MOST_READINGS]; MOST_READINGS];
    for at in 0..count {
        for (place, alike) in matrix[at][..count].iter_mut().zip(&alike[at]) {
            *place = wobble_variance * alike;
        }
        matrix[at][at] += errors[at] * errors[at];
    }
    matrix
}

impl Fit {
    /// Level and plateau for the latest setting and one curve, and the part of the log weight that
    /// depends on both.
    fn branch(&self, start: &Start, shape: usize) -> (Branch, f64) {
        let count = self.count;
        let setting = self.settings.len() - 1;
        let inverse = &self.settings[setting].inverse;
        let done = &self.shares[shape];
        let mut left = [0.0; MOST_READINGS];
        let mut rest = [0.0; MOST_READINGS];
        for at in 0..count {
            left[at] = 1.0 - done[at];
            rest[at] = self.values[at] - start.level * left[at] - start.plateau * done[at];
        }
        let inverse_left = times(inverse, &left, count);
        let inverse_done = times(inverse, done, count);
        let inverse_rest = times(inverse, &rest, count);
        let level = dot(&inverse_left, &left, count) + start.level_precision;
        let both = dot(&inverse_left, done, count);
        let plateau = dot(&inverse_done, done, count) + start.plateau_precision;
        let determinant = level * plateau - both * both;
        let covariance = [
            plateau / determinant,
            -both / determinant,
            level / determinant,
        ];
        let pull = [
            dot(&left, &inverse_rest, count),
            dot(done, &inverse_rest, count),
        ];
        let shift = [
            covariance[0] * pull[0] + covariance[1] * pull[1],
            covariance[1] * pull[0] + covariance[2] * pull[1],
        ];
        let misfit = dot(&rest, &inverse_rest, count) - pull[0] * shift[0] - pull[1] * shift[1];
        let branch = Branch {
            setting,
            shape,
            weight: 0.0,
            level: start.level + shift[0],
            plateau: start.plateau + shift[1],
            covariance,
        };
        (branch, -0.5 * (misfit + determinant.ln()))
    }

    /// Turns log weights into weights that add up to 1.
    fn weigh(&mut self, log_weights: &[f64]) -> Result<(), ForecastError> {
        let most = log_weights
            .iter()
            .copied()
            .fold(f64::NEG_INFINITY, f64::max);
        if !most.is_finite() {
            return Err(ForecastError::NoAnswer);
        }
        let mut total = 0.0;
        for (branch, log_weight) in self.branches.iter_mut().zip(log_weights) {
            branch.weight = (log_weight - most).exp();
            total += branch.weight;
        }
        for branch in &mut self.branches {
            branch.weight /= total;
        }
        Ok(())
    }

    /// Mean and standard deviation of the plateau over all branches.
    pub fn plateau(&self) -> Plateau {
        let mean: f64 = self
            .branches
            .iter()
            .map(|one| one.weight * one.plateau)
            .sum();
        let variance: f64 = self
            .branches
            .iter()
            .map(|one| one.weight * (one.covariance[2] + (one.plateau - mean).powi(2)))
            .sum();
        Plateau {
            mean,
            sd: variance.sqrt(),
        }
    }

    /// Weight of each curve after the readings.
    pub fn shape_weights(&self) -> [f64; SHAPES] {
        let mut weights = [0.0; SHAPES];
        for branch in &self.branches {
            weights[branch.shape] += branch.weight;
        }
        weights
    }

    /// Chance that each reading is a bad one.
    pub fn p_outlier(&self) -> Vec<f64> {
        let mut chances = vec![0.0; self.count];
        for branch in &self.branches {
            if let Some(at) = self.settings[branch.setting].bad {
                chances[at] += branch.weight;
            }
        }
        // The weights' last bits may add up to a little more than 1.
        chances.iter().map(|chance| chance.min(1.0)).collect()
    }
}
