//! Whether a sheet can be read from a step away and written on with a pencil: the size of its
//! letters and the height of its dotted lines. Not here: whether anything is cut off.

use serde_json::Value;

use super::pdf::Letters;
use crate::support::browser::{Browser, Paper};

/// Letters of the text, and those inside charts.
const BODY_POINTS: f64 = 12.0;
const CHART_POINTS: f64 = 10.0;
/// Dotted lines and boxes.
const WRITING_MM: f64 = 9.0;
/// A number of four figures, written with a cold hand.
const WRITING_WIDE_MM: f64 = 12.0;

const PIXELS_PER_MM: f64 = 96.0 / 25.4;

const CHART_WORDS: &str = "
    const texts = [...document.querySelectorAll('svg text')];
    return texts.flatMap(one => one.textContent.split(/\\s+/)).filter(word => word);
";

/// The places to write on: what is before them, how wide they are and how high.
const LINES: &str = "
    return [...document.querySelectorAll('.dots, .notes')]
        .filter(one => one.checkVisibility({ visibilityProperty: true }))
        .map(one => {
            const box = one.getBoundingClientRect();
            return [one.parentElement.textContent.trim().slice(-40), box.width, box.height];
        });
";

/// The words inside the charts of the open page.
pub async fn chart_words(browser: &Browser) -> Vec<String> {
    let words = browser.ask(CHART_WORDS).await;
    let words = words.as_array().expect("words");
    words
        .iter()
        .filter_map(Value::as_str)
        .map(str::to_owned)
        .collect()
}

/// Text that is too small; only what stands in a chart may be smaller than the rest.
pub fn small(letters: &[Letters], chart_words: &[String]) -> Vec<String> {
    let in_chart = |text: &str| {
        text.split_whitespace()
            .all(|word| chart_words.iter().any(|known| known == word))
    };
    letters
        .iter()
        .filter(|one| match in_chart(&one.text) {
            true => one.points < CHART_POINTS,
            false => one.points < BODY_POINTS,
        })
        .map(|one| format!("{} points: {}", one.points, one.text))
        .collect()
}

/// Places to write on that are too low or too narrow, and how many there are at all.
pub async fn low(browser: &Browser, paper_mm: f64, margin_mm: f64) -> (Vec<String>, usize) {
    let width = (paper_mm - 2.0 * margin_mm) * PIXELS_PER_MM;
    browser.width(width as u32).await;
    browser.medium("print").await;
    let lines = browser.ask(LINES).await;
    browser.medium("").await;
    let lines = lines.as_array().expect("a list").clone();
    let mm = |pixels: &Value| pixels.as_f64().expect("pixels") / PIXELS_PER_MM;
    let faults = lines
        .iter()
        .map(|line| (&line[0], mm(&line[1]), mm(&line[2])))
        // Browsers lay out in sixty-fourths of a pixel.
        .filter(|(_, wide, high)| *high < WRITING_MM - 0.01 || *wide < WRITING_WIDE_MM)
        .map(|(after, wide, high)| format!("{wide:.1} by {high:.1} mm to write on at {after}"))
        .collect();
    (faults, lines.len())
}

/// How wide a sheet lies.
pub fn across(paper: Paper, across: bool) -> f64 {
    match across {
        true => paper.height_mm,
        false => paper.width_mm,
    }
}
