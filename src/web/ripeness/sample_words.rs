//! A sample said again in words. Not here: the block's forecast (`harvest`).

use crate::science::ripeness::day::{DayValue, RestsOn, sample_days};
use crate::science::ripeness::{Attribute, Bag, EndPoint, Sample, Skipped, SkippedFor, Taken};
use crate::web::known::Known;
use crate::web::weather::rain_words;
use crate::web::words::{self, ReadBack};

/// "two bags, 0.6 apart, about ±1.0"
pub fn rests_on(found: &DayValue, attribute: Attribute) -> String {
    let decimals = attribute.decimals();
    let mut parts = Vec::new();
    match &found.rests_on {
        RestsOn::Bags {
            count,
            worth,
            apart,
            ..
        } => {
            parts.push(words::counted(*count, "bag", "bags"));
            if (worth - *count as f64).abs() > 0.05 {
                parts.push(format!("worth {} of 100 berries", words::plain(*worth)));
            }
            if let Some(apart) = apart {
                parts.push(format!("{} apart", words::number(*apart, decimals)));
            }
        }
        RestsOn::Stops { count } => {
            parts.push(words::counted(
                *count,
                "vine or cluster",
                "vines or clusters",
            ));
        }
    }
    if let Some(about) = found.about {
        parts.push(format!("about ±{}", words::number(about, decimals)));
    }
    parts.join(", ")
}

pub fn read_back(sample: &Sample, known: &Known) -> ReadBack {
    let called = known.block_called(sample.block);
    let mut read = ReadBack::titled(format!(
        "Sample of {called}, {}",
        words::day_and_year(sample.date)
    ));
    let days = sample_days(&[sample], None, &known.assumptions);
    if let Some(day) = days.first() {
        for attribute in Attribute::ALL {
            if let Some(found) = day.value(attribute) {
                let value = words::number(found.value, attribute.decimals());
                let unit = attribute.unit();
                let text = format!("{value} {unit}").trim().to_owned();
                let text = format!("{text} ({})", rests_on(found, attribute));
                read.line(label(attribute), text);
            }
        }
        let sugar = day.sugar_per_berry_g();
        read.maybe(
            "Sugar in a berry",
            sugar.map(|grams| format!("about {} g", words::number(grams, 2))),
        );
    }
    match &sample.taken {
        Taken::Bags(bags) => {
            for bag in bags {
                read.line(format!("Bag {}", bag.number), bag_words(bag, known));
            }
        }
        Taken::Stops(stops) => {
            for (place, stop) in stops.iter().enumerate() {
                let at = match &stop.at {
                    Some(at) => at.to_string(),
                    None => format!("Stop {}", place + 1),
                };
                read.line(at, words::number(stop.brix.corrected, 1));
            }
        }
    }
    for skipped in &sample.skipped {
        read.line(skipped.at.to_string(), skipped_words(skipped));
    }
    read.maybe(
        "Read with",
        sample.instrument.as_ref().map(|used| used.name.as_str()),
    );
    read.maybe("Rows", Some(sample.rows.join(", ")));
    if sample.edge_rows {
        read.line("Edge rows", "included, for want of other vines");
    }
    read.maybe("Time", sample.time.map(words::clock));
    read.maybe("Taste", sample.taste.as_deref());
    read.maybe("Seeds", sample.seeds.as_deref());
    read.maybe("Skins", sample.skins.as_deref());
    let percent = |value: f64| format!("{} %", words::plain(value));
    read.maybe("Rot", sample.rot_percent.map(percent));
    read.maybe("Taken by animals", sample.animal_percent.map(percent));
    let unit = known.units().rain();
    read.maybe(
        "Rain since the last sample",
        sample.rain_since_mm.map(|mm| rain_words(mm, unit)),
    );
    if sample.frozen {
        read.line(
            "Frozen",
            "the juice had been frozen, which shifts pH and acid",
        );
    }
    if sample.two_crops {
        read.line("Two crops", "first and second crop hang together");
    }
    read.maybe("A new line begins", sample.new_series.as_deref());
    read.maybe("Note", sample.note.as_deref());
    read.place = Some((
        format!("/blocks/{}", sample.block),
        format!("Block {called}"),
    ));
    read
}

/// "passed over, gone: stump only"
fn skipped_words(skipped: &Skipped) -> String {
    let why = match skipped.why {
        SkippedFor::Skip => "passed over",
        SkippedFor::Gone => "passed over, gone",
        SkippedFor::Odd => "passed over, odd",
    };
    match &skipped.note {
        Some(note) => format!("{why}: {note}"),
        None => why.to_owned(),
    }
}

pub fn label(attribute: Attribute) -> &'static str {
    match attribute {
        Attribute::Brix => "Sugar",
        Attribute::Ph => "pH",
        Attribute::Ta => "Acid (TA)",
    }
}

/// A reading with the decimals it has, one at least: "24.1", "24.0", "24.05".
fn as_read(reading: f64) -> String {
    let plain = words::plain(reading);
    match plain.contains('.') {
        true => plain,
        false => format!("{plain}.0"),
    }
}

fn bag_words(bag: &Bag, known: &Known) -> String {
    let mut parts = Vec::new();
    if !bag.brix.is_empty() {
        let corrected: Vec<f64> = bag.brix.iter().map(|one| one.corrected).collect();
        let mean = corrected.iter().sum::<f64>() / corrected.len() as f64;
        let raws: Vec<String> = bag.brix.iter().map(|one| as_read(one.raw)).collect();
        let shifted = bag
            .brix
            .iter()
            .any(|one| (one.corrected - one.raw).abs() > 1e-9);
        let read = if shifted { "read" } else { "looks" };
        parts.push(format!(
            "{} °Brix ({read} {})",
            words::number(mean, 1),
            raws.join(", ")
        ));
    }
    if !bag.ph.is_empty() {
        let values: Vec<String> = bag.ph.iter().map(|one| words::number(*one, 2)).collect();
        parts.push(format!("pH {}", values.join(", ")));
    }
    if let Some(ta) = &bag.ta {
        let to = match ta.end_point {
            Some(EndPoint::Ph8_2) => " to pH 8.2",
            Some(EndPoint::Ph7) => " to pH 7.0",
            Some(EndPoint::ColourChange) => " to a change of colour",
            None => "",
        };
        parts.push(format!("TA {} g/L{to}", words::number(ta.g_per_l, 1)));
    }
    if bag.berries != 100 {
        parts.push(format!("{} berries", bag.berries));
    }
    if let Some(grams) = bag.weight_g {
        parts.push(format!("{} g", words::plain(grams)));
    }
    if let Some(celsius) = bag.juice_temperature_c {
        let unit = known.units().temperature;
        let shown = words::number(unit.from_celsius(celsius), 0);
        parts.push(format!("juice at {shown} {}", unit.symbol()));
    }
    parts.join("; ")
}
