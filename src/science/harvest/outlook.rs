//! The outlook of each value of a block: its last reading, its window and its forecast, with
//! earlier seasons as the start.
//! Not here: the state word that follows (`readiness`).

use std::collections::BTreeSet;

use chrono::{Datelike, NaiveDate};

use crate::science::ripeness::day::{DayValue, SampleDay, of_season, readings, running_series};
use crate::science::ripeness::forecast::{self, Forecast, ForecastError, Question, Reading};
use crate::science::ripeness::{Assumptions, Attribute, Target, Window, seasons};

/// One value of one block, as far as it can be told today.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    pub attribute: Attribute,
    pub window: Window,
    pub last: Option<(NaiveDate, DayValue)>,
    pub forecast: Result<Forecast, ForecastError>,
    /// The last reading looks off beside the others: more likely bad than not.
    pub last_looks_off: bool,
    /// How many earlier seasons the forecast starts from.
    pub earlier_seasons: usize,
}

impl Outlook {
    /// Whether the last reading lies inside the window.
    pub fn inside(&self) -> bool {
        self.last
            .as_ref()
            .is_some_and(|(_, found)| self.window.contains(found.value))
    }

    /// Whether the keeper set an edge for this value.
    pub fn has_target(&self) -> bool {
        !self.window.is_open()
    }

    /// Whether the last reading lies beyond the edge at which the window is left.
    pub fn beyond_far_edge(&self) -> bool {
        let (Some((_, found)), Some(edge)) = (&self.last, self.window.far_edge(self.attribute))
        else {
            return false;
        };
        self.attribute.sign() * (found.value - edge) > 0.0
    }

    /// Days from today to the early date (a chance of one in ten), if it gets there at all.
    pub fn early_days(&self) -> Option<f64> {
        self.days_if_reached(0)
    }

    /// Days from today to the middle date, if it gets there at all.
    pub fn middle_days(&self) -> Option<f64> {
        self.days_if_reached(1)
    }

    fn days_if_reached(&self, which: usize) -> Option<f64> {
        if self.inside() {
            return Some(0.0);
        }
        let reaching = self.forecast.as_ref().ok()?.reaching.as_ref()?;
        let likely_enough = reaching.not_reached <= 0.8;
        reaching.quantiles_if_reached[which].filter(|_| likely_enough)
    }

    /// What the value is expected to gain in the coming week.
    pub fn week_ahead(&self) -> Option<f64> {
        let mean = &self.forecast.as_ref().ok()?.mean;
        Some(mean.get(7)? - mean.first()?)
    }
}

/// The outlooks of °Brix, pH and acid, from all sample days of a block, oldest first.
pub fn outlooks(
    days: &[SampleDay],
    target: Option<&Target>,
    today: NaiveDate,
    season_end: NaiveDate,
    assumptions: &Assumptions,
) -> [Outlook; 3] {
    Attribute::ALL.map(|attribute| {
        let window = target
            .map(|target| target.window(attribute))
            .unwrap_or_default();
        let series = running_series(days, today);
        let last = series
            .iter()
            .rev()
            .find_map(|day| Some((day.date, day.value(attribute)?.clone())));
        let question = Question {
            attribute,
            window,
            today,
            season_end,
            prior: None,
            shape_weights: None,
            assumptions: assumptions.clone(),
        };
        let earlier = earlier_seasons(days, attribute, today);
        let now = readings(series, attribute);
        let (question, earlier_seasons) = with_earlier(&now, question, &earlier);
        let forecast = forecast::forecast(&now, &question);
        let last_looks_off = last_looks_off(&forecast, &now, &question);
        Outlook {
            attribute,
            window,
            last,
            forecast,
            last_looks_off,
            earlier_seasons,
        }
    })
}

/// Also once the season is over, when there is nothing more to look ahead to.
fn last_looks_off(
    forecast: &Result<Forecast, ForecastError>,
    now: &[Reading],
    question: &Question,
) -> bool {
    let off = match forecast {
        Ok(forecast) => forecast.doubtful_readings(),
        Err(ForecastError::SeasonOver { .. }) => forecast::course(now, question)
            .map(|course| course.doubtful_readings())
            .unwrap_or_default(),
        Err(_) => Vec::new(),
    };
    now.len()
        .checked_sub(1)
        .is_some_and(|last| off.contains(&last))
}

/// The question with a start from earlier seasons where they give one, and how many they are.
fn with_earlier(
    now: &[Reading],
    mut question: Question,
    earlier: &[Vec<Reading>],
) -> (Question, usize) {
    let mut used = 0;
    // Without a usable start from earlier seasons the plain one stands.
    if now.len() >= 2
        && let Ok(Some((plateau, shapes))) = seasons::start_from(earlier, &question)
    {
        question.prior = Some(plateau);
        question.shape_weights = Some(shapes);
        used = earlier.len();
    }
    (question, used)
}

/// The readings of each earlier season that says something of its plateau: three days or more.
fn earlier_seasons(
    days: &[SampleDay],
    attribute: Attribute,
    today: NaiveDate,
) -> Vec<Vec<Reading>> {
    let years: BTreeSet<i32> = days
        .iter()
        .map(|day| day.date.year())
        .filter(|year| *year < today.year())
        .collect();
    years
        .into_iter()
        .filter_map(|year| {
            let season = of_season(days, year);
            let last = season.last()?.date;
            Some(readings(running_series(days, last), attribute))
        })
        .filter(|season| season.len() >= 3)
        .collect()
}
