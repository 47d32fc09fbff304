//! The weather the keeper wrote down, and the rain since a sample.
//!
//! Forecasts are the keeper's own; nothing is fetched.

use chrono::{NaiveDate, NaiveTime};
use serde::{Deserialize, Serialize};

/// One note of the weather; blank is not measured, and zero is none.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WeatherDay {
    pub date: NaiveDate,
    /// When the rain fell or was read, if known.
    #[serde(default)]
    pub time: Option<NaiveTime>,
    #[serde(default)]
    pub rain_mm: Option<f64>,
    #[serde(default)]
    pub low_c: Option<f64>,
    #[serde(default)]
    pub high_c: Option<f64>,
    #[serde(default)]
    pub hard_frost: bool,
    #[serde(default)]
    pub note: String,
}

/// Rain from which a sample is stale, in millimetres (rule R5: 0.4 in., about 10 mm).
const STALE_RAIN_MM: f64 = 10.0;

/// Sums the rain since a sample, in millimetres; none when no note since then has a figure.
///
/// Rain of later days counts, and rain of the same day too, unless both have a time and the
/// rain's is earlier. Notes that are not a number from 0 up are left out. What a sample itself
/// tells of rain fell before it, and does not count.
pub fn rain_since(days: &[WeatherDay], date: NaiveDate, time: Option<NaiveTime>) -> Option<f64> {
    figures_since(days, date, time)
        .map(|(_, rain)| rain)
        .reduce(|sum, rain| sum + rain)
}

/// Rain below this is dew to a vine: it starts no new wait, in millimetres. Judgement.
const A_RAIN_MM: f64 = 1.0;

/// The day of the last rain of 1 mm or more since a sample, by the same rule; where all were less,
/// the last of them.
pub fn last_rain_since(
    days: &[WeatherDay],
    date: NaiveDate,
    time: Option<NaiveTime>,
) -> Option<NaiveDate> {
    let last_from = |least: f64| {
        figures_since(days, date, time)
            .filter(|(_, rain)| *rain > 0.0 && *rain >= least)
            .map(|(day, _)| day)
            .max()
    };
    last_from(A_RAIN_MM).or_else(|| last_from(0.0))
}

fn figures_since(
    days: &[WeatherDay],
    date: NaiveDate,
    time: Option<NaiveTime>,
) -> impl Iterator<Item = (NaiveDate, f64)> {
    days.iter()
        .filter(move |day| day.date > date || (day.date == date && !earlier(day.time, time)))
        .filter_map(|day| Some((day.date, day.rain_mm?)))
        .filter(|(_, rain)| rain.is_finite() && *rain >= 0.0)
}

fn earlier(rain: Option<NaiveTime>, sample: Option<NaiveTime>) -> bool {
    matches!((rain, sample), (Some(rain), Some(sample)) if rain < sample)
}

/// Whether rain since a sample, in millimetres, makes its forecast stale: 10 or more (rule R5).
///
/// Source: a UK viticulture trade article (cluster weight +5 to 15 % in 24 to 48 h, resample
/// several days later); the 10 mm are judgement.
pub fn makes_stale(rain_mm: f64) -> bool {
    // A sum of tenths may fall short of 10 by the noise of the doubles.
    rain_mm >= STALE_RAIN_MM - 1e-9
}
