//! A block's own spread: between vines and between the samples of one vine.
//! No plans here.

/// Spread found in a pilot walk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    pub sd_between: f64,
    pub sd_within: f64,
    pub ms_between: f64,
    pub ms_within: f64,
    /// Samples per vine, as far as they count.
    pub n0: f64,
    /// Vines in the pilot; with fewer than five the starting values are kept.
    pub vines: usize,
}

impl Spread {
    /// Whether the pilot has enough vines for its own spread to be used.
    pub fn is_enough(&self) -> bool {
        self.vines >= 5
    }
}

/// A pilot that shows no spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum SpreadError {
    #[error("groups must hold at least two vines.")]
    FewVines,
    #[error("groups[{0}] holds no sample.")]
    EmptyVine(usize),
    #[error("groups[{0}] holds something that is not a number that can be used.")]
    Unusable(usize),
    #[error("groups must hold two samples or more from at least one vine.")]
    NoRepeats,
}

/// Variance components by moments from a pilot: samples by vine.
///
/// n0 = (N − Σn_i²/N)/(k−1), σ_w² = MS within, σ_v² = max(0, (MS between − MS within)/n0). Needs two
/// vines and one repeated sample. In the unit of the samples. Errors: see [`SpreadError`]. Source:
/// one-way analysis of variance; equals REML where balanced and positive.
///
/// ```
/// use endpost::science::ripeness::spread::components;
/// let pilot = [vec![20.0, 22.0], vec![21.0, 21.0], vec![22.0, 20.0]];
/// assert_eq!(components(&pilot).unwrap().sd_between, 0.0);
/// ```
pub fn components(groups: &[Vec<f64>]) -> Result<Spread, SpreadError> {
    if groups.len() < 2 {
        return Err(SpreadError::FewVines);
    }
    for (at, group) in groups.iter().enumerate() {
        if group.is_empty() {
            return Err(SpreadError::EmptyVine(at));
        }
        if group
            .iter()
            .any(|value| !value.is_finite() || value.abs() > 1e100)
        {
            return Err(SpreadError::Unusable(at));
        }
    }
    let vines = groups.len() as f64;
    let samples: f64 = groups.iter().map(|group| group.len() as f64).sum();
    if samples <= vines {
        return Err(SpreadError::NoRepeats);
    }
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let grand = groups.iter().flatten().sum::<f64>() / samples;
    let (mut between, mut within, mut squares) = (0.0, 0.0, 0.0);
    for group in groups {
        let count = group.len() as f64;
        let middle = mean(group);
        between += count * (middle - grand).powi(2);
        within += group
            .iter()
            .map(|value| (value - middle).powi(2))
            .sum::<f64>();
        squares += count * count;
    }
    let ms_between = between / (vines - 1.0);
    let ms_within = within / (samples - vines);
    let n0 = (samples - squares / samples) / (vines - 1.0);
    Ok(Spread {
        sd_between: ((ms_between - ms_within) / n0).max(0.0).sqrt(),
        sd_within: ms_within.sqrt(),
        ms_between,
        ms_within,
        n0,
        vines: groups.len(),
    })
}
