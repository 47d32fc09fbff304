//! Titratable acidity: from the burette, and between its units. No pH sums here.

use serde::{Deserialize, Serialize};

/// Where the titration stopped. A pH 8.2 result is higher than a pH 7 result of the same juice, so
/// that readings of different end points make no series.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EndPoint {
    /// OIV and European practice.
    Ph7,
    /// North American practice.
    Ph8_2,
    ColourChange,
}

/// A titration as it was done.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Titration {
    pub sample_ml: f64,
    /// Sodium hydroxide used.
    pub naoh_ml: f64,
    /// Its normality.
    pub naoh_n: f64,
    /// Kept with the result; it does not enter the sum.
    pub end_point: Option<EndPoint>,
}

/// Titratable acidity in its three units.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Acidity {
    pub meq_per_l: f64,
    pub tartaric_g_per_l: f64,
    pub sulfuric_g_per_l: f64,
    pub end_point: Option<EndPoint>,
}

/// A titration that gives no result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TitrationError {
    #[error("The sample volume sample_ml must be above zero.")]
    Sample,
    #[error("The volume naoh_ml must be a number, not below zero.")]
    Volume,
    #[error("The normality naoh_n must be above zero.")]
    Normality,
    #[error("The result of sample_ml, naoh_ml and naoh_n is too large to be a titration.")]
    TooLarge,
}

/// Titratable acidity from a titration.
///
/// meq/L = 1000·V·N/S, g/L as tartaric acid = 75·V·N/S, as sulfuric acid = 49·V·N/S; V mL of sodium
/// hydroxide of normality N for S mL of juice. Errors: volumes or normality that are no titration.
/// Source: laboratory sheets; OIV-MA-AS313-01 for the end point.
///
/// ```
/// use endpost::science::ripeness::acid::{titrate, Titration};
/// let done = Titration { sample_ml: 15.0, naoh_ml: 12.0, naoh_n: 0.1, end_point: None };
/// assert!((titrate(&done).unwrap().tartaric_g_per_l - 6.0).abs() < 1e-12);
/// ```
pub fn titrate(done: &Titration) -> Result<Acidity, TitrationError> {
    let above_zero = |value: f64| value.is_finite() && value > 0.0;
    if !above_zero(done.sample_ml) {
        return Err(TitrationError::Sample);
    }
    if !above_zero(done.naoh_n) {
        return Err(TitrationError::Normality);
    }
    if !(done.naoh_ml.is_finite() && done.naoh_ml >= 0.0) {
        return Err(TitrationError::Volume);
    }
    let per_ml = done.naoh_ml * done.naoh_n / done.sample_ml;
    let meq_per_l = 1000.0 * per_ml;
    if !meq_per_l.is_finite() {
        return Err(TitrationError::TooLarge);
    }
    Ok(Acidity {
        meq_per_l,
        tartaric_g_per_l: 75.0 * per_ml,
        sulfuric_g_per_l: 49.0 * per_ml,
        end_point: done.end_point,
    })
}

/// g/L from per cent (g in 100 mL): times 10.
pub fn g_per_l_from_percent(percent: f64) -> f64 {
    10.0 * percent
}

/// g/L as tartaric acid from g/L as sulfuric acid: times 75/49.
///
/// ```
/// use endpost::science::ripeness::acid::{sulfuric_from_tartaric, tartaric_from_sulfuric};
/// assert!((tartaric_from_sulfuric(sulfuric_from_tartaric(7.0)) - 7.0).abs() < 1e-12);
/// ```
pub fn tartaric_from_sulfuric(sulfuric_g_per_l: f64) -> f64 {
    sulfuric_g_per_l * 75.0 / 49.0
}

/// g/L as sulfuric acid from g/L as tartaric acid: times 49/75.
pub fn sulfuric_from_tartaric(tartaric_g_per_l: f64) -> f64 {
    tartaric_g_per_l * 49.0 / 75.0
}
