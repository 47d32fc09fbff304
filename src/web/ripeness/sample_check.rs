//! Reads a typed sample. Unusual values are asked about once; nothing is changed silently.
//! Not here: the values of a bag (`sample_values`), single vines (`stops_check`), what is unusual
//! (`science::ripeness::doubt`).

use std::collections::BTreeMap;

use chrono::NaiveDate;
use uuid::Uuid;

use super::sample_form::{SUM_OF_BRIX, bag_field, brix_column};
use super::sample_values::{brix, ph_and_ta, temperature};
use super::stops_check::stops;
use super::walk_check::walked;
use crate::science::number::Expect;
use crate::science::ripeness::doubt::{self, LastValue};
use crate::science::ripeness::{Attribute, Bag, InstrumentUsed, Sample, Taken};
use crate::science::units::{Quantity, SmallMassUnit};
use crate::store::RecentBag;
use crate::store::ledger::Fields;
use crate::web::form::{Reader, Reading};
use crate::web::known::Known;
use crate::web::places::block_named;
use crate::web::{weather, words};

/// A value further back than this says little about the next.
const LAST_VALUE_DAYS: i64 = 45;

/// What the checks of one sample share.
pub struct Context<'a> {
    pub known: &'a Known,
    pub block: Option<Uuid>,
    date: Option<NaiveDate>,
    pub instrument: Option<InstrumentUsed>,
}

impl Context<'_> {
    pub fn last(&self, attribute: Attribute) -> Option<LastValue> {
        let (block, date) = (self.block?, self.date?);
        let (last, value) = self.known.recent().latest(block, attribute)?;
        let near = (date - last).num_days().abs() <= LAST_VALUE_DAYS;
        near.then_some(LastValue { value, date: last })
    }

    pub fn day(&self) -> NaiveDate {
        self.date.unwrap_or(self.known.today)
    }
}

/// The whole sample; none when something can't be understood.
pub fn read(reader: &mut Reader, known: &Known) -> Option<Sample> {
    let block = block_named(reader, known);
    let date = reader.past_date(
        "date",
        "Type the day on which the fruit was picked.",
        known.today,
    );
    let context = Context {
        known,
        block,
        date,
        instrument: instrument(reader, known),
    };
    let bags = bags(reader, &context);
    let walked = walked(reader, &context);
    let mut stops = stops(reader, &context);
    stops.extend(walked.stops);
    let taken = match (bags.is_empty(), stops.is_empty()) {
        (false, true) => Some(Taken::Bags(bags)),
        (true, false) => Some(Taken::Stops(stops)),
        (true, true) => {
            // What was typed and is wrong has said so itself.
            let typed = reader.fields().has("stops")
                || walked.has_readings
                || !typed_bags(reader.fields()).is_empty();
            if !typed {
                let first = walked.first.as_deref().unwrap_or("brix_1_1");
                reader.wrong(first, "Type at least one reading.");
            }
            None
        }
        (false, false) => {
            reader.wrong(
                "stops",
                "Bags and single vines are two samples. Save them one by one.",
            );
            None
        }
    };
    if reader.fields().has(SUM_OF_BRIX) {
        brix_column(reader.fields()).compare(reader);
    }
    let units = known.units();
    let rot_percent = reader.percent("rot");
    let animal_percent = reader.percent("animals");
    let rain_since_mm = weather::rain(reader, "rain", units);
    let time = reader.time("time");
    Some(Sample {
        block: block?,
        date: date?,
        time,
        taken: taken?,
        rows: rows(reader),
        instrument: context.instrument,
        taste: reader.text("taste"),
        seeds: reader.text("seeds"),
        skins: reader.text("skins"),
        rot_percent,
        animal_percent,
        rain_since_mm,
        frozen: reader.tick("frozen"),
        two_crops: reader.tick("two_crops"),
        new_series: reader.text("new_series"),
        note: reader.text("note"),
        edge_rows: reader.tick("edge_rows"),
        skipped: walked.skipped,
    })
}

fn instrument(reader: &mut Reader, known: &Known) -> Option<InstrumentUsed> {
    let typed = reader.text("instrument")?;
    let found = known.instrument_named(&typed);
    if found.is_none() {
        reader.wrong("instrument", "There is no such instrument here.");
    }
    found.map(|one| InstrumentUsed {
        id: one.id,
        name: one.instrument.name.clone(),
        compensated: one.instrument.compensated,
        zero_offset: one.instrument.zero_offset,
    })
}

fn rows(reader: &Reader) -> Vec<String> {
    let typed = reader.text("rows").unwrap_or_default();
    typed
        .split([' ', ',', ';'])
        .filter(|part| !part.is_empty())
        .map(str::to_uppercase)
        .collect()
}

fn bags(reader: &mut Reader, context: &Context) -> Vec<Bag> {
    let mut bags: Vec<Bag> = Vec::new();
    for (shown, is_measured) in typed_bags(reader.fields()) {
        if !is_measured {
            reader.wrong(
                &format!("brix_{shown}_1"),
                "This bag has no reading: type °Brix, pH, TA or its weight.",
            );
            continue;
        }
        if let Some(bag) = bag(reader, context, shown) {
            if bags.iter().any(|other| other.number == bag.number) {
                let number = bag.number;
                reader.wrong(
                    &format!("bag_{shown}"),
                    format!("Bag {number} stands here twice. Give one another number."),
                );
            }
            ask_about_known_bag(reader, context, shown, &bag, &bags);
            bags.push(bag);
        }
    }
    let means: Vec<f64> = bags.iter().filter_map(mean_of_bag).collect();
    let settled = !reader
        .problems
        .iter()
        .any(|one| one.field.starts_with("brix_"));
    // While a reading is asked about, how far it lies from others says nothing.
    if let Some(doubt) = doubt::of_bags(&means).filter(|_| settled) {
        let field = "brix_1_1";
        let typed = reader.raw(field).to_owned();
        reader.ask(field, doubt.to_string(), &[Reading::kept(field, &typed)]);
    }
    bags
}

/// The bags of which more than a number was typed, and whether something that was measured is
/// among it, right or wrong.
fn typed_bags(fields: &Fields) -> BTreeMap<u16, bool> {
    let mut bags = BTreeMap::new();
    for (name, text) in fields.iter() {
        let Some((bag, part)) = bag_field(name).filter(|_| !text.trim().is_empty()) else {
            continue;
        };
        match part {
            "bag" => {}
            "berries" | "temp" | "ta_end" => {
                bags.entry(bag).or_insert(false);
            }
            _ => {
                bags.insert(bag, true);
            }
        }
    }
    bags
}

fn ask_about_weight(reader: &mut Reader, name: &str, weight_g: Option<f64>, berries: Option<u16>) {
    let weighed = weight_g.zip(berries);
    if let Some(doubt) = weighed.and_then(|(grams, count)| doubt::of_berry_weight(grams, count)) {
        let typed = reader.raw(name).to_owned();
        reader.ask(name, doubt.to_string(), &[Reading::stands(name, &typed)]);
    }
}

fn mean_of_bag(bag: &Bag) -> Option<f64> {
    let sum: f64 = bag.brix.iter().map(|one| one.raw).sum();
    (!bag.brix.is_empty()).then(|| sum / bag.brix.len() as f64)
}

fn bag(reader: &mut Reader, context: &Context, shown: u16) -> Option<Bag> {
    let name = |part: &str| format!("{part}_{shown}");
    let number = match reader.text(&name("bag")) {
        Some(_) => reader.whole(&name("bag"), 1, 99),
        None => Some(shown),
    };
    let berries = match reader.text(&name("berries")) {
        Some(_) => reader.count(&name("berries"), 1, 5000),
        None => Some(100),
    };
    let weight = reader
        .measure(
            &name("weight"),
            Quantity::SmallMass(SmallMassUnit::Gram),
            Expect::default(),
        )
        .map(|read| read.canonical);
    ask_about_weight(reader, &name("weight"), weight, berries);
    let temperature = temperature(reader, context, &name("temp"));
    let brix = brix(reader, context, shown, temperature);
    let (ph, ta) = ph_and_ta(reader, context, shown);
    Some(Bag {
        number: number?,
        berries: berries?,
        weight_g: weight,
        juice_temperature_c: temperature,
        brix,
        ph,
        ta,
    })
}

/// A bag of that number of that block and day may have been entered before: a second look at the
/// same juice is no second bag, so it is asked which it is.
fn ask_about_known_bag(
    reader: &mut Reader,
    context: &Context,
    shown: u16,
    bag: &Bag,
    here: &[Bag],
) {
    let (Some(block), Some(date)) = (context.block, context.date) else {
        return;
    };
    let corrected = reader.correcting;
    let of_day = || {
        let bags = context.known.recent().bags_of(block, date);
        bags.filter(move |one| Some(one.record) != corrected)
    };
    let Some(before) = of_day().rfind(|one| one.bag == bag.number) else {
        return;
    };
    let field = format!("bag_{shown}");
    let free = (1..=99u16).find(|number| {
        !of_day().any(|one| one.bag == *number) && !here.iter().any(|one| one.number == *number)
    });
    let mut readings = vec![Reading {
        label: "Another look at the same bag".to_owned(),
        changes: vec![(field.clone(), bag.number.to_string())],
    }];
    if let Some(free) = free {
        readings.push(Reading {
            label: format!("Another bag: number {free}"),
            changes: vec![(field.clone(), free.to_string())],
        });
    }
    reader.ask_unless_mistaken(
        &field,
        format!(
            "{}. Is yours another look at the same bag, another bag, or a mistake?",
            entered_before(before, context.known)
        ),
        &readings,
    );
}

/// "LK entered C Vidal bag 1 of Mon 13 Sept at 07:40: 19.4"
fn entered_before(bag: &RecentBag, known: &Known) -> String {
    let who = match &bag.person {
        Some(person) => person.clone(),
        None if bag.device.is_none() => "Somebody".to_owned(),
        None if bag.device == known.device => "This phone".to_owned(),
        None => "Another phone".to_owned(),
    };
    let at = bag.received_at.with_timezone(&known.zone);
    let when = match at.date_naive() == bag.date {
        true => format!("at {}", words::clock(at.time())),
        false => format!("on {}", words::moment(&at, known.today)),
    };
    let value = bag
        .brix
        .map_or_else(String::new, |brix| format!(": {}", words::number(brix, 1)));
    format!(
        "{who} entered {} bag {} of {} {when}{value}",
        known.block_called(bag.block),
        bag.bag,
        words::day(bag.date),
    )
}
