//! The ripeness forecast: on which day does a block's value reach the keeper's window?
//!
//! A few curves that ripening can follow are weighed by how well they pass the readings, allowing
//! for weather and for one bad reading; then the chance on each day is counted. No dates in words
//! and no drawing here.

mod answer;
mod curves;
mod days;
mod error;
mod fit;
mod headline;
mod linear;
mod mixture;
mod prepare;
mod quantiles;
mod start;

pub use answer::{Course, Forecast, Leaving, Reaching};
pub use curves::{SHAPES, default_shape_weights};
pub use error::ForecastError;
pub use headline::Headline;

use super::{Assumptions, Attribute, Window};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

/// The longest look ahead, in days.
pub const LONGEST_SEASON_DAYS: i64 = 400;
/// The most readings that are weighed; of more, the latest count.
pub const MOST_READINGS: usize = 12;

/// One sample day of a block: the mean of its bags and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    pub date: NaiveDate,
    pub value: f64,
    pub standard_error: f64,
}

/// Where ripening is expected to end, and how sure that is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Plateau {
    pub mean: f64,
    pub sd: f64,
}

/// What is asked about the readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Question {
    pub attribute: Attribute,
    pub window: Window,
    pub today: NaiveDate,
    pub season_end: NaiveDate,
    /// Where ripening ends, from earlier seasons; `None` derives it from the window.
    pub prior: Option<Plateau>,
    /// Weights of the curve shapes from earlier seasons, in the order of [`SHAPES`] shapes: six of
    /// the lower power by rising length, then six of the higher.
    pub shape_weights: Option<[f64; SHAPES]>,
    pub assumptions: Assumptions,
}

/// Forecasts when a block's value reaches the window.
///
/// true(t) = a(1 − G(t)) + P·G(t) + wobble, G(t) = 1 − max(0, 1 − t/D)^q, over 12 shapes (q, D),
/// 3 sizes of wobble and "no reading is bad" or "this one is". Given these, all is linear and
/// Gaussian; the answers are sums over all of them. Valid for 2 readings and more, in the unit of
/// the attribute, up to [`LONGEST_SEASON_DAYS`] days ahead. The same input gives the same bits.
/// Errors: see [`ForecastError`]. Source: this program's own method (a judgement), simulated
/// against straight lines and other curves; the size of the bag error follows the Maryland leaflet.
///
/// ```
/// use chrono::NaiveDate;
/// use endpost::science::ripeness::{forecast, Assumptions, Attribute, Question, Reading, Window};
/// let day = |d| NaiveDate::from_ymd_opt(2027, 8, d).unwrap();
/// let readings = [(20, 18.7), (27, 20.1), (31, 21.0)].map(|(d, value)| Reading {
///     date: day(d),
///     value,
///     standard_error: 0.68,
/// });
/// let question = Question {
///     attribute: Attribute::Brix,
///     window: Window { low: Some(24.0), ..Window::default() },
///     today: day(31),
///     season_end: NaiveDate::from_ymd_opt(2027, 10, 31).unwrap(),
///     prior: None,
///     shape_weights: None,
///     assumptions: Assumptions::default(),
/// };
/// let answer = forecast(&readings, &question).unwrap();
/// assert!(answer.reaching.unwrap().not_reached < 0.5);
/// ```
pub fn forecast(readings: &[Reading], question: &Question) -> Result<Forecast, ForecastError> {
    let season = prepare::season(question)?;
    let data = prepare::readings(readings, question)?;
    if let Some(late) = readings.iter().find(|one| one.date > question.today) {
        return Err(ForecastError::ReadingAfterToday(late.date));
    }
    let fit = fit::fit(&data, question)?;
    let first = question.window.first_edge(question.attribute);
    let far = question.window.far_edge(question.attribute);
    let ahead = days::Ahead {
        sign: question.attribute.sign(),
        first,
        far,
        start: (question.today - data.day_zero).num_days() as f64,
        days: season,
    };
    let mut daily = days::daily(&fit, &ahead, days::Care::Quick);
    if first.is_some() && daily.reached_at_end() < days::SELDOM_REACHED {
        daily = days::daily(&fit, &ahead, days::Care::Exact);
    }
    let at_end = daily.reached_at_end();
    let days::Daily {
        reached,
        inside,
        beyond,
        mean,
        sd,
        band_low,
        band_high,
    } = daily;
    let reaching = first.map(|_| Reaching {
        not_reached: 1.0 - at_end,
        quantiles: quantiles::all(&reached, 1.0),
        quantiles_if_reached: quantiles::all(&reached, at_end),
        by_day: reached,
    });
    let leaving = far.map(|_| Leaving {
        leaves_days: quantiles::first_day(&beyond, 0.5),
        beyond,
    });
    let answer = Forecast {
        attribute: question.attribute,
        today: question.today,
        reaching,
        leaving,
        in_window: inside,
        mean,
        sd,
        band_low,
        band_high,
        p_outlier: data.in_given_order(readings.len(), &fit.p_outlier()),
        plateau: fit.plateau(),
        shape_weights: fit.shape_weights(),
        sample_days: data.sample_days(),
    };
    if answer.is_finite() {
        Ok(answer)
    } else {
        Err(ForecastError::NoAnswer)
    }
}

/// What a season's readings say about its plateau and its shape; no look ahead is needed.
///
/// Used for seasons that are over: picking stops the record at the target, so that the fitted
/// plateau and not the last reading is what carries over. Today and season end are not looked at.
pub fn course(readings: &[Reading], question: &Question) -> Result<Course, ForecastError> {
    let data = prepare::readings(readings, question)?;
    let fit = fit::fit(&data, question)?;
    let plateau = fit.plateau();
    if !(plateau.mean.is_finite() && plateau.sd.is_finite()) {
        return Err(ForecastError::NoAnswer);
    }
    Ok(Course {
        plateau,
        shape_weights: fit.shape_weights(),
        p_outlier: data.in_given_order(readings.len(), &fit.p_outlier()),
    })
}
