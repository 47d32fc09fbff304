//! Looks over the readings and the question before anything is reckoned.
//! No curves and no chances here.

use super::{ForecastError, LONGEST_SEASON_DAYS, MOST_READINGS, Question, Reading};
use chrono::NaiveDate;

/// Values this large are slips of the pen and would only break the arithmetic.
const LARGEST_VALUE: f64 = 1e4;

/// The readings that count, in order of date.
pub(super) struct Data {
    /// The season's first reading; the curves start here.
    pub day_zero: NaiveDate,
    pub days: Vec<f64>,
    pub values: Vec<f64>,
    pub errors: Vec<f64>,
    /// Place of each in the list as given.
    places: Vec<usize>,
    dates: usize,
}

/// How many days lie between today and the season end, both counted.
pub(super) fn season(question: &Question) -> Result<usize, ForecastError> {
    let (today, season_end) = (question.today, question.season_end);
    let ahead = (season_end - today).num_days();
    if ahead < 0 {
        return Err(ForecastError::SeasonOver { today, season_end });
    }
    if ahead > LONGEST_SEASON_DAYS {
        return Err(ForecastError::SeasonTooLong(season_end));
    }
    Ok(ahead as usize + 1)
}

/// Checks the readings and what the curves start from; sorts, and keeps the latest.
pub(super) fn readings(given: &[Reading], question: &Question) -> Result<Data, ForecastError> {
    check(question)?;
    let Some(day_zero) = given.iter().map(|one| one.date).min() else {
        return Err(ForecastError::NoReading);
    };
    for one in given {
        if !usable(one.value) {
            return Err(ForecastError::UnusableValue(one.date));
        }
        if !usable(one.standard_error) || one.standard_error <= 0.0 {
            return Err(ForecastError::UnusableStandardError(one.date));
        }
    }
    if given.len() < 2 {
        return Err(ForecastError::NeedsSecondReading);
    }
    let mut places: Vec<usize> = (0..given.len()).collect();
    places.sort_by_key(|&at| given[at].date);
    let mut dates: Vec<NaiveDate> = places.iter().map(|&at| given[at].date).collect();
    dates.dedup();
    let places = places.split_off(places.len().saturating_sub(MOST_READINGS));
    let kept = || places.iter().map(|&at| &given[at]);
    Ok(Data {
        day_zero,
        days: kept()
            .map(|one| (one.date - day_zero).num_days() as f64)
            .collect(),
        values: kept().map(|one| one.value).collect(),
        errors: kept().map(|one| one.standard_error).collect(),
        dates: dates.len(),
        places,
    })
}

fn usable(value: f64) -> bool {
    value.is_finite() && value.abs() <= LARGEST_VALUE
}

fn check(question: &Question) -> Result<(), ForecastError> {
    question.assumptions.check()?;
    let window = &question.window;
    if [window.low, window.aim, window.high]
        .into_iter()
        .flatten()
        .any(|edge| !usable(edge))
    {
        return Err(ForecastError::UnusableWindow);
    }
    if let (Some(low), Some(high)) = (window.low, window.high)
        && low >= high
    {
        return Err(ForecastError::WindowReversed);
    }
    if let Some(prior) = question.prior
        && !(usable(prior.mean) && usable(prior.sd) && prior.sd > 0.0)
    {
        return Err(ForecastError::UnusablePrior);
    }
    if let Some(weights) = question.shape_weights {
        let total: f64 = weights.iter().sum();
        if !total.is_finite() || total <= 0.0 || weights.iter().any(|&weight| weight < 0.0) {
            return Err(ForecastError::UnusableShapeWeights);
        }
    }
    Ok(())
}

impl Data {
    pub fn len(&self) -> usize {
        self.days.len()
    }

    /// Different days among all the readings given.
    pub fn sample_days(&self) -> usize {
        self.dates
    }

    /// Puts what was found for the readings that count back in the order they were given.
    pub fn in_given_order(&self, given: usize, found: &[f64]) -> Vec<Option<f64>> {
        let mut ordered = vec![None; given];
        for (&place, &value) in self.places.iter().zip(found) {
            ordered[place] = Some(value);
        }
        ordered
    }
}
