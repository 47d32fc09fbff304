//! The look ahead: for each day, the branches' Gaussians of the true value and what they add up to.
//! No weighing of readings here.

use super::fit::{Branch, Fit};
use super::linear::{Row, dot, times};
use super::mixture::{FIRST_REACH, Mixture, Part};
use super::{MOST_READINGS, SHAPES};

/// Below this chance at the season end the quantiles "if reached" hang on rare branches.
pub(super) const SELDOM_REACHED: f64 = 0.3;

/// Branches that together weigh no more than this are left out of the quick sum.
const SPARED_WEIGHT: f64 = 1e-7;

/// How much of the smallest chances is kept.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Care {
    /// Leaves out branches that weigh next to nothing; chances move by less than 1e-6.
    Quick,
    /// Keeps all.
    Exact,
}

/// What to look for, and how far ahead.
pub(super) struct Ahead {
    /// +1 for a rising value, −1 for a falling one.
    pub sign: f64,
    pub first: Option<f64>,
    pub far: Option<f64>,
    /// Day of the curves that is today.
    pub start: f64,
    pub days: usize,
}

/// One number a day, from today to the season end.
#[derive(Default)]
pub(super) struct Daily {
    /// Running maximum: once reached stays reached.
    pub reached: Vec<f64>,
    pub inside: Vec<f64>,
    pub beyond: Vec<f64>,
    pub mean: Vec<f64>,
    pub sd: Vec<f64>,
    pub band_low: Vec<f64>,
    pub band_high: Vec<f64>,
}

impl Daily {
    pub fn reached_at_end(&self) -> f64 {
        self.reached.last().copied().unwrap_or(0.0)
    }
}

pub(super) fn daily(fit: &Fit, ahead: &Ahead, care: Care) -> Daily {
    let branches = kept(fit, care);
    let mut daily = Daily::default();
    let mut mixture = Mixture::new(care == Care::Quick);
    let mut reach = FIRST_REACH;
    for day in 0..ahead.days {
        gather(fit, &branches, ahead.start + day as f64, &mut mixture);
        let first = ahead
            .first
            .map(|edge| mixture.chance_past(edge, ahead.sign));
        let far = ahead.far.map(|edge| mixture.chance_past(edge, ahead.sign));
        if let Some(first) = first {
            daily.reached.push(first.max(daily.reached_at_end()));
        }
        // An edge that is not set keeps nothing out.
        let inside = first.unwrap_or(1.0) - far.unwrap_or(0.0);
        daily.inside.push(inside.max(0.0));
        daily.beyond.extend(far);
        let (mean, sd) = mixture.moments();
        daily.mean.push(mean);
        daily.sd.push(sd);
        let (low, high) = mixture.band(mean, sd, &mut reach);
        daily.band_low.push(low);
        daily.band_high.push(high);
    }
    daily
}

/// The branches worth a look, in their order (so that those of one setting stay together), with
/// weights that add up to 1 again.
fn kept(fit: &Fit, care: Care) -> Vec<(&Branch, f64)> {
    let mut least = 0.0;
    if care == Care::Quick {
        let mut weights: Vec<f64> = fit.branches.iter().map(|branch| branch.weight).collect();
        weights.sort_by(f64::total_cmp);
        let mut spared = 0.0;
        for weight in weights {
            spared += weight;
            least = weight;
            if spared > SPARED_WEIGHT {
                break;
            }
        }
    }
    let kept = fit
        .branches
        .iter()
        .filter(|branch| branch.weight >= least && branch.weight > 0.0);
    let total: f64 = kept.clone().map(|branch| branch.weight).sum();
    kept.map(|branch| (branch, branch.weight / total)).collect()
}

/// Collects the Gaussians of the true value on one day of the curves.
fn gather(fit: &Fit, branches: &[(&Branch, f64)], day: f64, mixture: &mut Mixture) {
    let count = fit.count;
    let mut alike = [0.0; MOST_READINGS];
    for (place, at) in alike[..count].iter_mut().zip(&fit.days) {
        *place = (-(day - at).abs() / fit.memory_days).exp();
    }
    let done: [f64; SHAPES] = fit.curves.map(|curve| curve.share(day));
    mixture.clear();
    let mut at_setting = None;
    let mut pulls = Pulls::default();
    for &(branch, weight) in branches {
        if at_setting != Some(branch.setting) {
            at_setting = Some(branch.setting);
            pulls = pulls_of(fit, branch.setting, &alike);
        }
        let done_by_readings = dot(&pulls.each, &fit.shares[branch.shape], count);
        let plateau_share = done[branch.shape] - done_by_readings;
        let level_share = 1.0 - done[branch.shape] - (pulls.sum - done_by_readings);
        let [level, both, plateau] = branch.covariance;
        let variance = pulls.variance
            + level_share * level_share * level
            + 2.0 * level_share * plateau_share * both
            + plateau_share * plateau_share * plateau;
        mixture.push(Part {
            weight,
            mean: pulls.value + level_share * branch.level + plateau_share * branch.plateau,
            sd: variance.max(f64::MIN_POSITIVE).sqrt(),
        });
    }
}

/// How the readings' own deviations pull at the value of a day, in one setting.
#[derive(Default)]
struct Pulls {
    each: Row,
    sum: f64,
    value: f64,
    /// What is left of the wobble's variance.
    variance: f64,
}

fn pulls_of(fit: &Fit, setting: usize, alike: &Row) -> Pulls {
    let setting = &fit.settings[setting];
    let shared = alike.map(|alike| setting.wobble_variance * alike);
    let each = times(&setting.inverse, &shared, fit.count);
    Pulls {
        sum: each[..fit.count].iter().sum(),
        value: dot(&each, &fit.values, fit.count),
        variance: setting.wobble_variance - dot(&shared, &each, fit.count),
        each,
    }
}
