//! A spray said again in words: its ground, its tank, its circumstances.
//! Not here: the words for holds (`hold_words`).

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::hold_words::{limit_words, moment, which_time};
use crate::science::sprays::{Product, Spray};
use crate::web::known::Known;
use crate::web::words::{self, ReadBack};

pub fn read_back(spray: &Spray, known: &Known) -> ReadBack {
    let mut read = ReadBack::titled(format!(
        "Spray of {}, {}",
        words::list(&block_names(spray, known)),
        words::day_and_year(spray.date)
    ));
    let limits = spray.limits();
    read.line("Entry", limit_words(&limits.entry, known));
    read.line("Picking", limit_words(&limits.picking, known));
    for ground in grounds(spray, known) {
        let rows = ground.rows.unwrap_or("rows not written down".to_owned());
        read.line(ground.block, rows);
    }
    for (place, product) in spray.products.iter().enumerate() {
        read.line(format!("Product {}", place + 1), product_words(product));
    }
    read.line("Day of spraying", words::day_and_year(spray.date));
    read.maybe("Start", spray.start.map(|at| moment(&at, known)));
    let ended = spray.end.map(|at| moment(&at, known));
    read.line("End", ended.unwrap_or("not written down".to_owned()));
    read.maybe("Volume sprayed", volume(spray, known));
    read.maybe("Applicator", Some(spray.applicator.as_str()));
    read.maybe("Wind", Some(spray.wind.as_str()));
    read.maybe("Temperature", temperature(spray, known));
    let label_read = if spray.label_read {
        "yes"
    } else {
        "not ticked"
    };
    read.line("Label read", label_read);
    read.maybe("Note", Some(spray.note.as_str()));
    read.place = Some(("/sprays".to_owned(), "What is closed now".to_owned()));
    read
}

fn product_words(product: &Product) -> String {
    let mut parts = vec![product.name.clone()];
    for (label, text) in [
        ("reg. no. ", &product.registration),
        ("", &product.active),
        ("", &product.rate),
    ] {
        if !text.is_empty() {
            parts.push(format!("{label}{text}"));
        }
    }
    parts.push(match hours(product) {
        Some(hours) => format!("entry after {hours}"),
        None => "entry hours not typed".to_owned(),
    });
    parts.push(match days(product) {
        Some(days) => format!("picking after {days}"),
        None => "days to harvest not typed".to_owned(),
    });
    parts.join(", ")
}

/// "48 hours", as typed from the label.
pub fn hours(product: &Product) -> Option<String> {
    let hours = product.entry_hours?;
    let unit = if hours == 1.0 { "hour" } else { "hours" };
    Some(format!("{hours} {unit}"))
}

/// "14 days", as typed from the label.
pub fn days(product: &Product) -> Option<String> {
    let days = product.harvest_days?;
    let unit = if days == 1.0 { "day" } else { "days" };
    Some(format!("{days} {unit}"))
}

/// "45 gal"
pub fn volume(spray: &Spray, known: &Known) -> Option<String> {
    let unit = known.units().volume();
    let shown = words::number(unit.from_litres(spray.volume_l?), 1);
    let shown = shown.trim_end_matches(".0");
    Some(format!("{shown} {}", unit.symbol()))
}

/// "64 °F"
pub fn temperature(spray: &Spray, known: &Known) -> Option<String> {
    let unit = known.units().temperature;
    let shown = words::number(unit.from_celsius(spray.temperature_c?), 0);
    Some(format!("{shown} {}", unit.symbol()))
}

/// "light, west; 64 °F"
pub fn wind_and_temperature(spray: &Spray, known: &Known) -> Option<String> {
    let wind = Some(spray.wind.clone()).filter(|wind| !wind.is_empty());
    let parts: Vec<String> = [wind, temperature(spray, known)]
        .into_iter()
        .flatten()
        .collect();
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// "22:10" on the day of spraying, "Sun 5 Sept 00:40" after it.
pub fn clock_that_day(at: DateTime<FixedOffset>, day: NaiveDate, known: &Known) -> String {
    let wall = at.with_timezone(&known.zone);
    if wall.date_naive() == day {
        format!("{}{}", words::clock(wall.time()), which_time(&wall))
    } else {
        moment(&at, known)
    }
}

/// One block of a spray with the rows covered in it.
pub struct GroundWords {
    pub block: String,
    /// None where the block's rows were not written down.
    pub rows: Option<String>,
}

pub fn block_names(spray: &Spray, known: &Known) -> Vec<String> {
    grounds(spray, known)
        .into_iter()
        .map(|ground| ground.block)
        .collect()
}

/// The blocks of a spray with their rows, as they were on its day; then rows of no such block.
pub fn grounds(spray: &Spray, known: &Known) -> Vec<GroundWords> {
    let mut left: Vec<&String> = spray.rows.iter().collect();
    let mut found = Vec::new();
    for id in &spray.blocks {
        let all = known.rows(*id, spray.date);
        let covered: Vec<String> = all
            .iter()
            .map(|row| row.label.clone())
            .filter(|label| spray.rows.contains(label))
            .collect();
        left.retain(|label| !covered.contains(label));
        let only = if covered.len() < all.len() {
            " only"
        } else {
            ""
        };
        let rows = (!covered.is_empty()).then(|| format!("{}{only}", row_words(&covered)));
        found.push(GroundWords {
            block: known.block_called(*id),
            rows,
        });
    }
    if !left.is_empty() {
        let labels: Vec<String> = left.into_iter().cloned().collect();
        found.push(GroundWords {
            block: "Rows".to_owned(),
            rows: Some(row_words(&labels)),
        });
    }
    found
}

/// "C1 to C5", "C1, C3": runs of three and more are drawn together.
fn row_words(labels: &[String]) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut rest = labels;
    while let Some(first) = rest.first() {
        let run = 1 + rest.windows(2).take_while(|pair| follows(pair)).count();
        if run > 2 {
            parts.push(format!("{first} to {}", rest[run - 1]));
        } else {
            parts.extend(rest[..run].iter().cloned());
        }
        rest = &rest[run..];
    }
    parts.join(", ")
}

fn follows(pair: &[String]) -> bool {
    let split = |label: &String| {
        let at = label.find(|sign: char| sign.is_ascii_digit())?;
        let number: u32 = label[at..].parse().ok()?;
        Some((label[..at].to_owned(), number))
    };
    match (split(&pair[0]), split(&pair[1])) {
        (Some((one, number)), Some((other, next))) => one == other && number + 1 == next,
        _ => false,
    }
}
