//! Reads the stops of a walk: a reading or a reason under each vine's address, with the questions
//! that any single vine raises.
//! Not here: stops typed in lines (`stops_check`), the page of the walk (`walk_page`).

use super::sample_check::Context;
use super::sample_values::{corrected, of_one_vine, temperature};
use super::stops_check::{TEMPERATURE, ask_about_mean, place_doubts, rows};
use super::walk_fields::{NOTE, READ, WHY, WHYS, addresses};
use crate::science::places::{Address, Reading as AddressRead, VineAddress, parse_address};
use crate::science::ripeness::{BrixReading, Skipped, Stop};
use crate::web::form::{Reader, Reading};

/// What a walk brought.
#[derive(Default)]
pub struct Walked {
    pub stops: Vec<Stop>,
    pub skipped: Vec<Skipped>,
    /// The field of its first stop; none when the page is of no walk.
    pub first: Option<String>,
    /// A reading was typed, right or wrong.
    pub has_readings: bool,
}

/// All stops; those with something wrong are left out, and said.
pub fn walked(reader: &mut Reader, context: &Context) -> Walked {
    let vines = addresses(reader.fields(), context.known);
    let Some(first) = vines.first() else {
        return Walked::default();
    };
    let mut walked = Walked {
        first: Some(format!("{READ}{first}")),
        has_readings: vines
            .iter()
            .any(|at| reader.fields().has(&format!("{READ}{at}"))),
        ..Walked::default()
    };
    let warmth = temperature(reader, context, TEMPERATURE);
    let problems_before = reader.problems.len();
    for named in &vines {
        let Some(at) = vine(reader, context, named) else {
            continue;
        };
        let reading = reading(reader, context, named, warmth);
        let skipped = skipped(reader, &at, named);
        if let (Some(_), Some(_)) = (&reading, &skipped) {
            ask_which(reader, named);
        }
        walked.skipped.extend(skipped);
        walked
            .stops
            .extend(reading.map(|brix| Stop { at: Some(at), brix }));
    }
    // While a stop is asked about, their mean says nothing.
    if let Some(first) = &walked.first
        && reader.problems.len() == problems_before
        && !walked.stops.is_empty()
    {
        ask_about_mean(reader, context, &walked.stops, first, "stops");
    }
    walked
}

/// The vine as its end post says, if there is one on the farm.
fn vine(reader: &mut Reader, context: &Context, named: &VineAddress) -> Option<VineAddress> {
    let field = format!("{READ}{named}");
    let is_typed = [READ, WHY]
        .iter()
        .any(|part| reader.fields().has(&format!("{part}{named}")));
    if !is_typed {
        return Some(named.clone());
    }
    match parse_address(&named.to_string(), &rows(context)) {
        Ok(AddressRead::Clear(Address::Vine(at))) => {
            if reader.fields().has(&field) {
                for (words, answer) in place_doubts(context, &at) {
                    let typed = reader.raw(&field).to_owned();
                    let stands = Reading {
                        label: answer.to_owned(),
                        changes: vec![(field.clone(), typed)],
                    };
                    reader.ask(&field, words, &[stands]);
                }
            }
            Some(at)
        }
        Ok(_) => {
            reader.wrong(&field, format!("{named} is no single vine here."));
            None
        }
        Err(error) => {
            reader.wrong(&field, error.to_string());
            None
        }
    }
}

fn reading(
    reader: &mut Reader,
    context: &Context,
    at: &VineAddress,
    warmth: Option<f64>,
) -> Option<BrixReading> {
    let field = format!("{READ}{at}");
    let raw = of_one_vine(reader, context, &field)?.canonical;
    Some(BrixReading {
        raw,
        corrected: corrected(reader, context, TEMPERATURE, raw, warmth),
    })
}

fn skipped(reader: &Reader, at: &VineAddress, named: &VineAddress) -> Option<Skipped> {
    let typed = reader.raw(&format!("{WHY}{named}"));
    let (_, _, why) = WHYS.iter().find(|(value, _, _)| *value == typed)?;
    Some(Skipped {
        at: at.clone(),
        why: *why,
        note: reader.text(&format!("{NOTE}{named}")),
    })
}

/// A vine that was read and passed over as well: nobody but the typist knows which.
fn ask_which(reader: &mut Reader, at: &VineAddress) {
    let (read, why) = (format!("{READ}{at}"), format!("{WHY}{at}"));
    let typed = reader.raw(&read).to_owned();
    let reason = reader.raw(&why).to_owned();
    reader.ask(
        &read,
        format!("{at} has a reading and is passed over as well. Does the reading count?"),
        &[
            Reading {
                label: format!("Yes, {} counts", typed.trim()),
                changes: vec![(read.clone(), typed), (why.clone(), String::new())],
            },
            Reading {
                label: "No, it is passed over".to_owned(),
                changes: vec![(read.clone(), String::new()), (why.clone(), reason)],
            },
        ],
    );
}
