//! Why there is no forecast, in sentences for a person. No checks here.

use crate::science::ripeness::assumptions::AssumptionError;
use chrono::NaiveDate;

/// Why the readings give no forecast.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ForecastError {
    #[error("There is no reading yet.")]
    NoReading,
    #[error("One reading gives no course; it needs a second reading.")]
    NeedsSecondReading,
    #[error("The season ends on {season_end}, so from {today} there is nothing left to forecast.")]
    SeasonOver {
        today: NaiveDate,
        season_end: NaiveDate,
    },
    #[error("The season end {0} is more than 400 days away.")]
    SeasonTooLong(NaiveDate),
    #[error("The reading of {0} lies after today.")]
    ReadingAfterToday(NaiveDate),
    #[error("The reading of {0} is not a number that can be used.")]
    UnusableValue(NaiveDate),
    #[error("The standard error of the reading of {0} must be above zero.")]
    UnusableStandardError(NaiveDate),
    #[error("The low edge of the window must lie below the high edge.")]
    WindowReversed,
    #[error("The edges of the window must be numbers that can be used.")]
    UnusableWindow,
    #[error("The plateau of earlier seasons needs a mean and a spread above zero.")]
    UnusablePrior,
    #[error("The shape weights must be twelve numbers, none below zero and not all zero.")]
    UnusableShapeWeights,
    #[error(transparent)]
    Assumption(#[from] AssumptionError),
    #[error("These readings fit no ripening curve well enough to reckon with.")]
    NoAnswer,
}
