//! Reads single vines or clusters, one line each: the place, then the reading. A line raises the
//! same questions as a bag, and each question names its line.
//! Not here: bags (`sample_check`), what is unusual (`science::ripeness::doubt`).

use super::sample_check::Context;
use super::sample_values::{corrected, suggested, temperature};
use crate::science::number::Expect;
use crate::science::places::census::history;
use crate::science::places::{Address, Reading as AddressRead, VineAddress, parse_address};
use crate::science::places::{RowLayout, read_back};
use crate::science::ripeness::doubt;
use crate::science::ripeness::{Attribute, BrixReading, Stop};
use crate::science::units::{self, Quantity};
use crate::web::form::{Reader, Reading, bound_words};
use crate::web::places::since_day;

const LINES: &str = "stops";
/// One juice temperature stands for all lines.
pub const TEMPERATURE: &str = "stops_temp";

/// One line with all the others, so that an answer can mend it alone.
struct Line<'a> {
    all: &'a str,
    place: usize,
    text: &'a str,
}

impl Line<'_> {
    fn says(&self, text: impl std::fmt::Display) -> String {
        format!("\"{}\": {text}", self.text)
    }

    /// An answer that puts another text in place of this line.
    fn reading(&self, label: impl Into<String>, text: &str) -> Reading {
        let mended: Vec<&str> = self
            .all
            .lines()
            .enumerate()
            .map(|(place, line)| if place == self.place { text } else { line })
            .collect();
        Reading {
            label: label.into(),
            changes: vec![(LINES.to_owned(), mended.join("\n"))],
        }
    }

    fn stands(&self, label: impl Into<String>) -> Reading {
        self.reading(label, self.text)
    }
}

/// All lines; those with something wrong are left out, and said.
pub fn stops(reader: &mut Reader, context: &Context) -> Vec<Stop> {
    let all = reader.raw(LINES).to_owned();
    if all.trim().is_empty() {
        return Vec::new();
    }
    let temperature = temperature(reader, context, TEMPERATURE);
    let mut stops = Vec::new();
    for (place, text) in all.lines().map(str::trim).enumerate() {
        if !text.is_empty() {
            let all = all.as_str();
            let line = Line { all, place, text };
            stops.extend(stop(reader, context, &line, temperature));
        }
    }
    // While a line is asked about, their mean says nothing.
    let settled = !reader.problems.iter().any(|one| one.field == LINES);
    if settled && !stops.is_empty() {
        ask_about_mean(reader, context, &stops, LINES, "lines");
    }
    stops
}

/// What single vines raise together, called `these` on their page: a mean far from the block's
/// last value, and a day whose bags stand for it already. It is asked at `field`.
pub fn ask_about_mean(
    reader: &mut Reader,
    context: &Context,
    stops: &[Stop],
    field: &str,
    these: &str,
) {
    let typed = reader.raw(field).to_owned();
    let kept = |label: &str| Reading {
        label: label.to_owned(),
        changes: vec![(field.to_owned(), typed.clone())],
    };
    let sum: f64 = stops.iter().map(|stop| stop.brix.corrected).sum();
    let mean = sum / stops.len() as f64;
    let last = context.last(Attribute::Brix);
    if let Some(doubt) = last.and_then(|last| doubt::of_mean(mean, context.day(), last)) {
        let mean = crate::web::words::number(mean, 1);
        let words = format!("The mean of all {these} is {mean} °Brix. {doubt}");
        reader.ask(field, words, &[kept("They read so")]);
    }
    let bag = context.block.and_then(|block| {
        let bags = context.known.recent().bags_of(block, context.day());
        bags.filter(|bag| bag.brix.is_some())
            .min_by_key(|bag| bag.bag)
    });
    if let Some(bag) = bag {
        let words = format!(
            "Bag {} of this day is written down: bags stand for the day, and these {these} are kept \
             beside them without counting.",
            bag.bag
        );
        reader.ask(field, words, &[kept("Keep them beside")]);
    }
}

fn stop(
    reader: &mut Reader,
    context: &Context,
    line: &Line,
    temperature: Option<f64>,
) -> Option<Stop> {
    let (place, reading) = place_and_reading(line.text);
    let at = match place.trim_end_matches([':', ',', ';']) {
        "" => Some(None),
        named => vine(reader, context, line, named, reading).map(Some),
    };
    let brix = brix(reader, context, line, place, reading, temperature);
    Some(Stop {
        at: at?,
        brix: brix?,
    })
}

/// The reading is the last word with a digit, with the sign before it and the unit after it; the
/// place is all before it.
fn place_and_reading(line: &str) -> (&str, &str) {
    let last_digit = line.rfind(char::is_numeric).unwrap_or(0);
    let start = line[..last_digit]
        .rfind(char::is_whitespace)
        .unwrap_or_default();
    let place = line[..start].trim_end();
    let place = place
        .trim_end_matches(['<', '>', '~', '\u{2248}'])
        .trim_end();
    (place, line[place.len()..].trim())
}

fn brix(
    reader: &mut Reader,
    context: &Context,
    line: &Line,
    place: &str,
    typed: &str,
    temperature: Option<f64>,
) -> Option<BrixReading> {
    let read = match units::read(typed, Quantity::Sugar, &Expect::up_to(60.0)) {
        Ok(read) => read,
        Err(error) => {
            reader.wrong(LINES, line.says(error));
            return None;
        }
    };
    let meant = |value: &str| line.reading(format!("Yes, {value}"), &format!("{place} {value}"));
    if let Some((words, bare)) = bound_words(typed, &read.number) {
        reader.ask(LINES, line.says(words), &[meant(&bare)]);
    }
    let last = context.last(Attribute::Brix);
    if let Some(doubt) = doubt::of_one_vine(&read.number, context.day(), last) {
        let suggestion = doubt.suggestion;
        let mut readings: Vec<Reading> = suggestion
            .map(|value| meant(&suggested(Attribute::Brix, value)))
            .into_iter()
            .collect();
        if doubt.impossible {
            reader.wrong_unless(LINES, line.says(doubt), &readings);
            return None;
        }
        readings.push(line.stands(format!("It is {typed} as typed")));
        reader.ask(LINES, line.says(doubt), &readings);
    }
    let raw = read.canonical;
    Some(BrixReading {
        raw,
        corrected: corrected(reader, context, TEMPERATURE, raw, temperature),
    })
}

fn vine(
    reader: &mut Reader,
    context: &Context,
    line: &Line,
    place: &str,
    reading: &str,
) -> Option<VineAddress> {
    let rows = rows(context);
    match parse_address(place, &rows) {
        Ok(AddressRead::Clear(Address::Vine(at))) => {
            ask_about_place(reader, context, line, &at);
            Some(at)
        }
        Ok(AddressRead::Clear(_)) => {
            reader.wrong(
                LINES,
                line.says(
                    "That is not a single vine. Write row, panel and vine, then the reading.",
                ),
            );
            None
        }
        Ok(AddressRead::Ambiguous(candidates)) => {
            let readings: Vec<Reading> = candidates
                .iter()
                .map(|one| line.reading(read_back(one, &rows), &format!("{one} {reading}")))
                .collect();
            reader.wrong_unless(
                LINES,
                line.says("Write row, panel and vine apart, such as c4 7 2."),
                &readings,
            );
            None
        }
        Err(error) => {
            reader.wrong(LINES, line.says(error));
            None
        }
    }
}

/// The rows of the day of the sample, and those of today that were not written down for it.
pub fn rows(context: &Context) -> Vec<RowLayout> {
    let known = context.known;
    let mut rows: Vec<RowLayout> = known
        .blocks
        .iter()
        .flat_map(|one| known.rows(one.id, context.day()))
        .collect();
    for row in known.all_rows() {
        if !rows.iter().any(|other| other.label == row.label) {
            rows.push(row);
        }
    }
    rows
}

fn ask_about_place(reader: &mut Reader, context: &Context, line: &Line, at: &VineAddress) {
    for (words, answer) in place_doubts(context, at) {
        reader.ask(LINES, line.says(words), &[line.stands(answer)]);
    }
}

/// What is asked about a vine that is gone and about a row of another block, since the address may
/// be a slip; each with the answer that lets it stand.
pub fn place_doubts(context: &Context, at: &VineAddress) -> Vec<(String, &'static str)> {
    let (known, day) = (context.known, context.day());
    let mut doubts = Vec::new();
    let gone = history(at, &known.vines, day)
        .pop()
        .and_then(|vine| vine.gone);
    if let Some(since) = gone {
        let since = since_day(since, known.today);
        doubts.push((
            format!("{at} is written down as gone since {since}."),
            "It was read there",
        ));
    }
    let has_row = |block| known.rows(block, day).iter().any(|row| row.label == at.row);
    if let Some(block) = context.block.filter(|block| !has_row(*block)) {
        let named = |id| known.block(id).map_or("", |block| block.name.as_str());
        let owner = known.blocks.iter().find(|one| has_row(one.id));
        let belongs = match owner {
            Some(owner) => format!("Row {} belongs to {}", at.row, owner.block.name),
            None => format!("Row {} belonged to no block on that day", at.row),
        };
        doubts.push((
            format!("{belongs}, the sample is of {}.", named(block)),
            "It belongs to this sample",
        ));
    }
    doubts
}
