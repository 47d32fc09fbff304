//! What a typed number would be with its decimal mark elsewhere or two digits swapped.
//!
//! Worked on the digits themselves, so that 2.15 gives 21.5 and not a hair beside it.

use crate::science::number::Number;

/// The digits of the number as a whole number, and how many of them are decimals.
fn digits(number: &Number) -> Option<(u64, u32)> {
    let decimals = u32::from(number.decimals);
    let whole = (number.value.abs() * power(decimals)?).round();
    (decimals <= 9 && whole < 1e15).then_some((whole as u64, decimals))
}

fn power(decimals: u32) -> Option<f64> {
    (decimals <= 11).then(|| 10_u64.pow(decimals) as f64)
}

/// The value divided by 10, multiplied by 10, and divided by 100.
pub(super) fn decimal_marks(number: &Number) -> Vec<f64> {
    [1, -1, 2]
        .into_iter()
        .filter_map(|places| shifted(number, places))
        .collect()
}

/// The value multiplied by ten; NaN, which equals nothing, where it has too many digits.
pub(super) fn tenfold(number: &Number) -> f64 {
    shifted(number, -1).unwrap_or(f64::NAN)
}

fn shifted(number: &Number, places_left: i32) -> Option<f64> {
    let (whole, decimals) = digits(number).filter(|_| number.value > 0.0)?;
    let decimals = i32::try_from(decimals).ok()? + places_left;
    if decimals >= 0 {
        Some(whole as f64 / power(decimals.unsigned_abs())?)
    } else {
        Some(whole as f64 * power(decimals.unsigned_abs())?)
    }
}

/// The values with two neighbouring digits swapped, the decimal mark staying in its place.
pub(super) fn swapped_digits(number: &Number) -> Vec<f64> {
    let Some((whole, decimals)) = digits(number).filter(|_| number.value > 0.0) else {
        return Vec::new();
    };
    let Some(power) = power(decimals) else {
        return Vec::new();
    };
    let typed: Vec<char> = whole.to_string().chars().collect();
    (1..typed.len())
        .filter(|at| typed[*at] != typed[*at - 1])
        .filter_map(|at| {
            let mut swapped = typed.clone();
            swapped.swap(at - 1, at);
            let whole: u64 = swapped.iter().collect::<String>().parse().ok()?;
            Some(whole as f64 / power)
        })
        .collect()
}
