//! The standard error a walk will have: vines at random, samples on each. No costs here.

/// A walk whose error cannot be reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PlanErrorError {
    #[error("sd_between must be a number, not below zero.")]
    Between,
    #[error("sd_within must be a number, not below zero.")]
    Within,
    #[error("vines must be at least one.")]
    Vines,
    #[error("per_vine must be at least one.")]
    PerVine,
    #[error("sd_between and sd_within are too large to reckon with.")]
    TooLarge,
}

/// Standard error of the mean of `vines` vines with `per_vine` samples each, in a large block.
///
/// √(σ_v²/n + σ_w²/(n·m)). In the unit of the spreads. Errors: see [`PlanErrorError`]. Source:
/// two-stage sampling; Rankine, Cellier and Boehm 1962 print 0.25 for (25, 1) and (21, 2).
///
/// ```
/// use endpost::science::ripeness::plan_error::standard_error;
/// assert!((standard_error(1.03, 0.71, 25, 1).unwrap() - 0.25).abs() < 0.001);
/// ```
pub fn standard_error(
    sd_between: f64,
    sd_within: f64,
    vines: u32,
    per_vine: u32,
) -> Result<f64, PlanErrorError> {
    let usable = |sd: f64| sd.is_finite() && sd >= 0.0;
    if !usable(sd_between) {
        return Err(PlanErrorError::Between);
    }
    if !usable(sd_within) {
        return Err(PlanErrorError::Within);
    }
    if vines == 0 {
        return Err(PlanErrorError::Vines);
    }
    if per_vine == 0 {
        return Err(PlanErrorError::PerVine);
    }
    let (vines, per_vine) = (f64::from(vines), f64::from(per_vine));
    let error =
        (sd_between * sd_between / vines + sd_within * sd_within / (vines * per_vine)).sqrt();
    if error.is_finite() {
        Ok(error)
    } else {
        Err(PlanErrorError::TooLarge)
    }
}
