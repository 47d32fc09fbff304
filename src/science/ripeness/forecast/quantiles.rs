//! Days on which a chance is first reached. No curves here.

/// Days by which 0.1, 0.5 and 0.9 of `whole` are first reached; `None` where never.
pub(super) fn all(chances: &[f64], whole: f64) -> [Option<f64>; 3] {
    if whole <= 0.0 {
        return [None; 3];
    }
    [0.1, 0.5, 0.9].map(|share| first_day(chances, share * whole))
}

/// Days to the first day on which the chance is at least `wanted`, interpolated from the day before;
/// 0 if it holds on the first day already, `None` if it never does.
pub(super) fn first_day(chances: &[f64], wanted: f64) -> Option<f64> {
    let day = chances.iter().position(|&chance| chance >= wanted)?;
    if day == 0 {
        return Some(0.0);
    }
    let (before, after) = (chances[day - 1], chances[day]);
    Some((day - 1) as f64 + (wanted - before) / (after - before))
}
