//! The course chart: sample days with their ±, the window hatched, the middle course dashed, the
//! band that holds the truth 8 times in 10, and a bracket for the day the window opens.
//! Not here: the sentence beside it (`harvest::sentences`).

use std::fmt::Write;

use askama::Template;
use chrono::{Datelike, Days, NaiveDate};

use crate::science::harvest::Outlook;
use crate::science::ripeness::day::SampleDay;
use crate::science::ripeness::forecast::{Forecast, Headline};
use crate::web::words;

const LEFT: f64 = 46.0;
const RIGHT: f64 = 8.0;
/// Between the axis and the first reading.
const AIR: f64 = 10.0;
const TOP: f64 = 12.0;
/// Below the lowest tick: room for the bracket.
const BRACKET: f64 = 34.0;

/// Between ticks: a line of text and some air.
const TICK: f64 = 20.0;

/// A drawn course.
#[derive(Template)]
#[template(path = "ripeness/course.html")]
pub struct Course {
    id: String,
    width: f64,
    height: f64,
    label: String,
    y_ticks: Vec<(f64, String)>,
    x_ticks: Vec<(f64, String)>,
    window: Option<(f64, f64, bool, bool)>,
    points: Vec<Point>,
    band: String,
    middle: String,
    bracket: Option<Bracket>,
    axis: (f64, f64, f64),
}

struct Point {
    x: f64,
    y: f64,
    from: f64,
    to: f64,
}

struct Bracket {
    from: f64,
    at: f64,
    to: f64,
    y: f64,
}

/// Where days and values lie on the paper.
struct Plane {
    first: NaiveDate,
    days: f64,
    low: f64,
    high: f64,
    size: Size,
}

/// The size of a chart, in the units of its page: text is 17 high.
#[derive(Clone, Copy)]
pub struct Size {
    pub width: f64,
    /// Down to the lowest value; below it come the bracket and the days.
    pub height: f64,
}

/// For a phone.
pub const SMALL: Size = Size {
    width: 320.0,
    height: 230.0,
};
/// For a third of a sheet laid across: its text is 10 pt high there at the least.
pub const THIRD: Size = Size {
    width: 380.0,
    height: 130.0,
};

impl Plane {
    fn x(&self, date: NaiveDate) -> f64 {
        let day = (date - self.first).num_days() as f64;
        round(LEFT + AIR + day / self.days * (self.size.width - LEFT - AIR - RIGHT))
    }

    fn y(&self, value: f64) -> f64 {
        let share = (value - self.low) / (self.high - self.low);
        round(TOP + (1.0 - share.clamp(0.0, 1.0)) * (self.size.height - TOP))
    }
}

fn round(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

impl Course {
    /// Draws one value of a block over its season; none below two readings.
    pub fn of(
        outlook: &Outlook,
        series: &[SampleDay],
        season_end: NaiveDate,
        size: Size,
        id: impl Into<String>,
    ) -> Option<Self> {
        let attribute = outlook.attribute;
        let read: Vec<(NaiveDate, f64, f64)> = series
            .iter()
            .filter_map(|day| {
                let found = day.value(attribute)?;
                let about = found.about.unwrap_or(1.96 * found.standard_error);
                Some((day.date, found.value, about))
            })
            .collect();
        let [(first, ..), _, ..] = *read.as_slice() else {
            return None;
        };
        let forecast = outlook.forecast.as_ref().ok();
        let last = season_end.max(read.last()?.0).max(first + Days::new(14));
        let plane = plane(&read, outlook, forecast, first, last, size);
        let decimals = attribute.decimals();
        let window = outlook.window;
        let edges = (!window.is_open()).then(|| {
            let top = window.high.map_or(TOP, |high| plane.y(high));
            let bottom = window.low.map_or(size.height, |low| plane.y(low));
            (
                top,
                bottom - top,
                window.high.is_some(),
                window.low.is_some(),
            )
        });
        Some(Self {
            label: format!(
                "Course of {} from {} to {}: {} sample days, last {}",
                attribute.name(),
                words::short_day(first),
                words::short_day(last),
                read.len(),
                words::number(read.last()?.1, decimals)
            ),
            y_ticks: y_ticks(&plane, decimals),
            x_ticks: x_ticks(&plane, last),
            window: edges,
            points: read
                .iter()
                .map(|(date, value, about)| Point {
                    x: plane.x(*date),
                    y: plane.y(*value),
                    from: plane.y(value + about),
                    to: plane.y(value - about),
                })
                .collect(),
            band: forecast.map_or_else(String::new, |found| band(found, &plane)),
            middle: forecast.map_or_else(String::new, |found| middle(found, &plane)),
            bracket: forecast
                .filter(|_| !outlook.inside())
                .and_then(|found| bracket(found, &plane)),
            axis: (LEFT, size.height + BRACKET, size.width - RIGHT),
            height: size.height + BRACKET + 30.0,
            width: size.width,
            id: id.into(),
        })
    }
}

fn plane(
    read: &[(NaiveDate, f64, f64)],
    outlook: &Outlook,
    forecast: Option<&Forecast>,
    first: NaiveDate,
    last: NaiveDate,
    size: Size,
) -> Plane {
    let mut marks: Vec<f64> = read
        .iter()
        .flat_map(|(_, value, about)| [value - about, value + about])
        .chain(
            [outlook.window.low, outlook.window.high]
                .into_iter()
                .flatten(),
        )
        .collect();
    if let Some(found) = forecast {
        marks.extend(found.band_low.iter().chain(&found.band_high));
    }
    let least = marks.iter().copied().fold(f64::INFINITY, f64::min);
    let most = marks.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let room = ((most - least) * 0.04).max(0.05);
    Plane {
        first,
        days: (last - first).num_days().max(1) as f64,
        low: least - room,
        high: most + room,
        size,
    }
}

fn y_ticks(plane: &Plane, decimals: usize) -> Vec<(f64, String)> {
    let most = ((plane.size.height - TOP) / TICK).min(7.0);
    let step = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .find(|step| (plane.high - plane.low) / step <= most)
        .unwrap_or(20.0);
    let decimals = if step < 1.0 { decimals.max(1) } else { 0 };
    let start = (plane.low / step).ceil() as i64;
    let end = (plane.high / step).floor() as i64;
    (start..=end)
        .map(|tick| {
            let value = tick as f64 * step;
            (plane.y(value), words::number(value, decimals))
        })
        .collect()
}

fn x_ticks(plane: &Plane, last: NaiveDate) -> Vec<(f64, String)> {
    let room = (plane.size.width - LEFT - RIGHT) / 104.0;
    let weeks = (plane.days / 7.0 / room).ceil().max(1.0) as usize;
    let day_width = (plane.size.width - LEFT - RIGHT) / plane.days;
    plane
        .first
        .iter_days()
        .step_by(7 * weeks)
        .take_while(|day| *day <= last)
        .filter(|day| (last - *day).num_days() as f64 * day_width > 24.0)
        .map(|day| {
            let month = words::short_day(day);
            (plane.x(day), month)
        })
        .collect()
}

fn days_of(found: &Forecast) -> impl Iterator<Item = NaiveDate> + '_ {
    found.today.iter_days().take(found.mean.len())
}

fn middle(found: &Forecast, plane: &Plane) -> String {
    path(days_of(found).zip(&found.mean), plane)
}

fn band(found: &Forecast, plane: &Plane) -> String {
    let upper = path(days_of(found).zip(&found.band_high), plane);
    let back: Vec<(NaiveDate, &f64)> = days_of(found).zip(&found.band_low).collect();
    let lower = path(back.into_iter().rev(), plane);
    format!("{upper}{}Z", lower.replacen('M', "L", 1))
}

fn path<'a>(points: impl Iterator<Item = (NaiveDate, &'a f64)>, plane: &Plane) -> String {
    let mut drawn = String::new();
    for (place, (day, value)) in points.enumerate() {
        let letter = if place == 0 { 'M' } else { 'L' };
        // Writing into a String can't fail.
        let _ = write!(drawn, "{letter}{} {}", plane.x(day), plane.y(*value));
    }
    drawn
}

fn bracket(found: &Forecast, plane: &Plane) -> Option<Bracket> {
    match found.headline() {
        Headline::Dates {
            about, from, to, ..
        } if to.year() == from.year() => Some(Bracket {
            from: plane.x(from),
            at: plane.x(about),
            to: plane.x(to),
            y: plane.size.height + BRACKET / 2.0,
        }),
        _ => None,
    }
}
