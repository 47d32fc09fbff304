//! The chance that all values with a target are inside their windows on the same day.
//! Not here: each value's own chance (`ripeness::forecast`).

use super::Outlook;

/// The chance of one day. The values ripen together, so that their product is a first answer and
/// the smallest of them the most it can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Together {
    /// Days from today.
    pub day: usize,
    /// Product of the single chances: as if they had nothing to do with each other.
    pub about: f64,
    /// The smallest single chance.
    pub at_most: f64,
}

impl Together {
    /// Joins the chances of one day.
    ///
    /// About = ∏ P(inside), at most = min P(inside). Range 0 to 1. Source: the product and its
    /// bound are elementary; that the errors move together is judgement, hence "about".
    ///
    /// ```
    /// use endpost::science::harvest::Together;
    /// let both = Together::of(0, [0.5, 0.9].into_iter());
    /// assert_eq!((both.about, both.at_most), (0.45, 0.5));
    /// ```
    pub fn of(day: usize, chances: impl Iterator<Item = f64> + Clone) -> Self {
        Self {
            day,
            about: chances.clone().product(),
            at_most: chances.fold(1.0, f64::min),
        }
    }
}

/// The chance for each day from today to the season end, over the values with a target.
///
/// Empty when one of them has no forecast: what was not measured, or read once, has no chance to
/// be multiplied.
pub fn together(outlooks: &[Outlook; 3]) -> Vec<Together> {
    let wanted: Option<Vec<&[f64]>> = outlooks
        .iter()
        .filter(|one| one.has_target())
        .map(|one| Some(one.forecast.as_ref().ok()?.in_window.as_slice()))
        .collect();
    let wanted = wanted.unwrap_or_default();
    let days = wanted.iter().map(|one| one.len()).min().unwrap_or(0);
    (0..days)
        .map(|day| Together::of(day, wanted.iter().map(|one| one[day])))
        .collect()
}

/// The first day with the best chance.
pub fn best(days: &[Together]) -> Option<Together> {
    days.iter()
        .copied()
        .reduce(|best, one| match one.about > best.about {
            true => one,
            false => best,
        })
}
