//! The normal and the Student t distribution, as the other rooms need them.
//! No statistics of the vineyard here.

use statrs::distribution::{Continuous, ContinuousCDF, Normal, StudentsT};

/// Chance that a standard normal value is at most `z`.
///
/// Φ(z) = ½ erfc(−z/√2). Valid for every finite z and for ±∞. No unit. Accurate to about 1e-16.
/// Source: definition; the complementary error function is that of `libm`.
///
/// ```
/// use endpost::science::normal::chance_below;
/// assert!((chance_below(1.959963984540054) - 0.975).abs() < 1e-12);
/// ```
pub fn chance_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// The value a standard normal falls below with chance `p`.
///
/// Valid for 0 < p < 1, otherwise `None`. No unit. Source: definition (the inverse of
/// [`chance_below`]).
///
/// ```
/// use endpost::science::normal::normal_quantile;
/// assert!((normal_quantile(0.975).unwrap() - 1.959963984540054).abs() < 1e-9);
/// assert_eq!(normal_quantile(1.0), None);
/// ```
pub fn normal_quantile(p: f64) -> Option<f64> {
    if !(p > 0.0 && p < 1.0) {
        return None;
    }
    let first = Normal::standard().inverse_cdf(p);
    let density = Normal::standard().pdf(first);
    let polished = first - (chance_below(first) - p) / density;
    Some(if polished.is_finite() {
        polished
    } else {
        first
    })
}

/// With more degrees of freedom the series in 1/freedom is exact to the last digits, and the search
/// for the inverse finds no end.
const MANY_DEGREES: f64 = 1e6;

/// The value a Student t with `freedom` degrees of freedom falls below with chance `p`.
///
/// Valid for 0 < p < 1 and freedom > 0, otherwise `None`. No unit. Source: definition; beyond a
/// million degrees z + (z³ + z)/4ν + (5z⁵ + 16z³ + 3z)/96ν² with z the normal's (from memory: Abramowitz
/// and Stegun 1964, 26.7.5; it meets the search where it takes over).
///
/// ```
/// use endpost::science::normal::student_quantile;
/// assert!((student_quantile(0.975, 10.0).unwrap() - 2.2281388519649385).abs() < 1e-9);
/// assert_eq!(student_quantile(0.975, 0.0), None);
/// ```
pub fn student_quantile(p: f64, freedom: f64) -> Option<f64> {
    if !(p > 0.0 && p < 1.0) {
        return None;
    }
    if freedom > MANY_DEGREES {
        let z = normal_quantile(p)?;
        let first = (z.powi(3) + z) / 4.0;
        let second = (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / 96.0;
        return Some(z + first / freedom + second / freedom.powi(2));
    }
    let student = StudentsT::new(0.0, 1.0, freedom).ok()?;
    let mut value = student.inverse_cdf(p);
    for _ in 0..3 {
        let step = (student.cdf(value) - p) / student.pdf(value);
        if !step.is_finite() {
            break;
        }
        value -= step;
    }
    value.is_finite().then_some(value)
}
