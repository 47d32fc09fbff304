//! The ripeness rail: one line a block, the window hatched, the last sample a filled dot with its
//! ±, the coming week a hollow dot on a dashed line. The same marks as on the course chart.
//! Not here: the words beside it (`harvest::sentences`).

use askama::Template;

use crate::science::harvest::Outlook;
use crate::web::words;

const WIDTH: f64 = 320.0;
const MARGIN: f64 = 14.0;

/// A drawn rail.
#[derive(Template)]
#[template(path = "ripeness/rail.html")]
pub struct Rail {
    id: String,
    label: String,
    ticks: Vec<(f64, String)>,
    window: Option<(f64, f64, bool, bool)>,
    bar: Option<(f64, f64)>,
    dot: f64,
    ring: Option<f64>,
}

impl Rail {
    /// Draws the last value of an outlook; none when it was never measured.
    pub fn of(outlook: &Outlook, id: impl Into<String>) -> Option<Self> {
        let (_, found) = outlook.last.as_ref()?;
        let decimals = outlook.attribute.decimals();
        let value = found.value;
        let about = found.about.unwrap_or(0.0);
        let week = outlook.week_ahead().map(|pace| value + pace);
        let window = outlook.window;
        let marks = [
            Some(value - about),
            Some(value + about),
            week,
            window.low,
            window.high,
        ];
        let marks: Vec<f64> = marks.into_iter().flatten().collect();
        let scale = Scale::around(&marks);
        let edges = (!window.is_open()).then(|| {
            let low = window.low.map_or(MARGIN, |low| scale.place(low));
            let high = window.high.map_or(WIDTH - MARGIN, |high| scale.place(high));
            (low, high - low, window.low.is_some(), window.high.is_some())
        });
        Some(Self {
            id: id.into(),
            label: format!(
                "{} {}{} on a scale from {} to {}{}",
                outlook.attribute.name(),
                words::number(value, decimals),
                found.about.map_or_else(String::new, |about| format!(
                    " about plus or minus {}",
                    words::number(about, decimals)
                )),
                words::plain(scale.low),
                words::plain(scale.high),
                super::target_words(window, outlook.attribute)
                    .map_or_else(String::new, |words| format!("; window {words}")),
            ),
            ticks: scale.ticks(),
            window: edges,
            bar: found
                .about
                .map(|about| (scale.place(value - about), scale.place(value + about))),
            dot: scale.place(value),
            ring: week.map(|week| scale.place(week)),
        })
    }
}

/// A scale of round steps that holds all marks.
struct Scale {
    low: f64,
    high: f64,
    step: f64,
}

impl Scale {
    fn around(marks: &[f64]) -> Self {
        let least = marks.iter().copied().fold(f64::INFINITY, f64::min);
        let most = marks.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let step = [0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0]
            .into_iter()
            .find(|step| (most - least) / step <= 5.0)
            .unwrap_or(50.0);
        let low = (least / step - 0.25).floor() * step;
        let high = ((most / step + 0.25).ceil() * step).max(low + 3.0 * step);
        Self { low, high, step }
    }

    fn place(&self, value: f64) -> f64 {
        let share = (value - self.low) / (self.high - self.low);
        let x = MARGIN + share * (WIDTH - 2.0 * MARGIN);
        (x.clamp(2.0, WIDTH - 2.0) * 10.0).round() / 10.0
    }

    fn ticks(&self) -> Vec<(f64, String)> {
        let count = ((self.high - self.low) / self.step).round() as usize;
        let decimals = if self.step < 0.1 {
            2
        } else if self.step < 1.0 {
            1
        } else {
            0
        };
        let every = if count > 6 { 2 } else { 1 };
        (0..=count)
            .step_by(every)
            .map(|tick| {
                let value = self.low + tick as f64 * self.step;
                (self.place(value), words::number(value, decimals))
            })
            .collect()
    }
}
