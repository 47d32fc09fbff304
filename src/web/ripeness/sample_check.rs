//! Reads a typed sample. Unusual values are asked about once; nothing is changed silently.
//! Not here: which values are unusual (`science::ripeness::doubt`).

use chrono::NaiveDate;
use uuid::Uuid;

use super::sample_form::{MOST_BAGS, bag_fields};
use crate::science::number::Expect;
use crate::science::places::{Address, Reading as AddressRead, VineAddress, parse_address};
use crate::science::ripeness::acid::{EndPoint, Titration, titrate};
use crate::science::ripeness::doubt::{self, Doubt, LastValue};
use crate::science::ripeness::juice::{RawReading, RefractometerError, correct};
use crate::science::ripeness::{
    AcidReading, Attribute, Bag, BrixReading, InstrumentUsed, Sample, Stop, Taken,
};
use crate::science::units::{Quantity, SmallMassUnit};
use crate::web::form::{Number, Reader, Reading};
use crate::web::known::Known;
use crate::web::places::block_named;
use crate::web::weather;

/// A value further back than this says little about the next.
const LAST_VALUE_DAYS: i64 = 45;

/// What the checks of one sample share.
struct Context<'a> {
    known: &'a Known,
    block: Option<Uuid>,
    date: Option<NaiveDate>,
    instrument: Option<InstrumentUsed>,
}

impl Context<'_> {
    fn last(&self, attribute: Attribute) -> Option<LastValue> {
        let (block, date) = (self.block?, self.date?);
        self.known
            .latest
            .iter()
            .find(|one| one.block == block && one.attribute == attribute)
            .filter(|one| (date - one.date).num_days().abs() <= LAST_VALUE_DAYS)
            .map(|one| LastValue {
                value: one.value,
                date: one.date,
            })
    }

    fn day(&self) -> NaiveDate {
        self.date.unwrap_or(self.known.today)
    }
}

/// The whole sample; none when something can't be understood.
pub fn read(reader: &mut Reader, known: &Known) -> Option<Sample> {
    let block = block_named(reader, known);
    let date = reader.needed_date("date", "Type the day on which the fruit was picked.");
    if let Some(doubt) = date.and_then(|date| doubt::of_date(date, known.today, None)) {
        let typed = reader.raw("date").to_owned();
        reader.ask(
            "date",
            doubt.to_string(),
            &[Reading::stands("date", &typed)],
        );
    }
    let context = Context {
        known,
        block,
        date,
        instrument: instrument(reader, known),
    };
    let bags = bags(reader, &context);
    let stops = stops(reader, &context);
    let taken = match (bags.is_empty(), stops.is_empty()) {
        (false, true) => Some(Taken::Bags(bags)),
        (true, false) => Some(Taken::Stops(stops)),
        (true, true) => {
            if reader.problems.is_empty() {
                reader.wrong("brix_1_1", "Type at least one reading.");
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
    })
}

fn instrument(reader: &mut Reader, known: &Known) -> Option<InstrumentUsed> {
    let typed = reader.text("instrument")?;
    let found = known.instruments.iter().find(|one| {
        one.id.to_string() == typed || one.instrument.name.eq_ignore_ascii_case(&typed)
    });
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
    for shown in 1..=MOST_BAGS {
        if !bag_fields(shown)
            .iter()
            .skip(1)
            .any(|name| reader.fields().has(name))
        {
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
    if let Some(doubt) = doubt::of_bags(&means) {
        let field = "brix_1_1";
        let typed = reader.raw(field).to_owned();
        reader.ask(field, doubt.to_string(), &[kept(field, &typed)]);
    }
    bags
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
        Some(_) => reader.whole(&name("berries"), 1, 5000),
        None => Some(100),
    };
    let weight = reader.measure(
        &name("weight"),
        Quantity::SmallMass(SmallMassUnit::Gram),
        Expect::default(),
    );
    let temperature = temperature(reader, context, &name("temp"));
    let brix = brix(reader, context, shown, temperature);
    let (ph, ta) = ph_and_ta(reader, context, shown);
    Some(Bag {
        number: number?,
        berries: berries?,
        weight_g: weight.map(|read| read.canonical),
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
    let (Some(block), Some(date), false) = (context.block, context.date, reader.correcting) else {
        return;
    };
    let of_day = || {
        context
            .known
            .recent_bags
            .iter()
            .filter(|one| one.block == block && one.date == date)
    };
    let Some(before) = of_day().find(|one| one.bag == bag.number) else {
        return;
    };
    let field = format!("bag_{shown}");
    let free = (1..=99u16).find(|number| {
        !of_day().any(|one| one.bag == *number) && !here.iter().any(|one| one.number == *number)
    });
    let value = before.brix.map_or_else(String::new, |brix| {
        format!(": {}", crate::web::words::number(brix, 1))
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
    reader.ask(
        &field,
        format!(
            "{} bag {} of {} was entered before{value}. Is yours another look at the same bag, or another bag?",
            context.known.block_called(block),
            bag.number,
            crate::web::words::day(date),
        ),
        &readings,
    );
}

fn temperature(reader: &mut Reader, context: &Context, name: &str) -> Option<f64> {
    let unit = context.known.units().temperature;
    let expect = Expect {
        biggest_plausible: Some(130.0),
        negative_ok: true,
    };
    let read = reader.measure(name, Quantity::Temperature(unit), expect)?;
    if !(-5.0..=60.0).contains(&read.canonical) {
        reader.wrong(name, "That is no temperature of juice. What was it?");
        return None;
    }
    if !(10.0..=30.0).contains(&read.canonical) {
        let typed = reader.raw(name).to_owned();
        reader.ask(
            name,
            "This is outside 10 to 30 °C (50 to 86 °F), where corrections and automatic \
             compensation are good. Let juice and instrument come to room temperature together.",
            &[kept(name, &typed)],
        );
    }
    Some(read.canonical)
}

fn brix(
    reader: &mut Reader,
    context: &Context,
    shown: u16,
    temperature: Option<f64>,
) -> Vec<BrixReading> {
    let mut found = Vec::new();
    for reading in 1..=3 {
        let name = format!("brix_{shown}_{reading}");
        let Some(typed) = value(reader, context, &name, Attribute::Brix) else {
            continue;
        };
        let raw = typed.number.value;
        found.push(BrixReading {
            raw,
            corrected: corrected(reader, context, shown, raw, temperature),
        });
    }
    let raws: Vec<f64> = found.iter().map(|one| one.raw).collect();
    if let Some(doubt) = doubt::of_same_juice(&raws) {
        let field = format!("brix_{shown}_1");
        let typed = reader.raw(&field).to_owned();
        reader.ask(&field, doubt.to_string(), &[kept(&field, &typed)]);
    }
    found
}

/// The reading at 20 °C with the instrument's zero taken off. Where it can't be corrected, the
/// reading stands as the instrument showed it, and the page has said so.
fn corrected(
    reader: &mut Reader,
    context: &Context,
    shown: u16,
    reading: f64,
    temperature_c: Option<f64>,
) -> f64 {
    let Some(used) = &context.instrument else {
        return reading;
    };
    let raw = RawReading {
        reading,
        temperature_c,
        compensated: used.compensated,
        zero_offset: used.zero_offset,
    };
    match correct(&raw) {
        Ok(done) => done.corrected_brix,
        Err(error) => {
            let field = format!("temp_{shown}");
            let typed = reader.raw(&field).to_owned();
            let words = match error {
                RefractometerError::TemperatureMissing => format!(
                    "{} does not compensate for temperature. How warm was the juice? Without it \
                     the reading stands as it was read.",
                    used.name
                ),
                other => format!("{other} The reading then stands as it was read."),
            };
            reader.ask(
                &field,
                words,
                &[Reading {
                    label: "Take it as it was read".to_owned(),
                    changes: vec![(field.clone(), typed)],
                }],
            );
            reading - used.zero_offset
        }
    }
}

fn ph_and_ta(
    reader: &mut Reader,
    context: &Context,
    shown: u16,
) -> (Vec<f64>, Option<AcidReading>) {
    let first_ph = format!("ph_{shown}_1");
    let ta_name = format!("ta_{shown}");
    if ask_about_swapped(reader, &first_ph, &ta_name) {
        return (Vec::new(), None);
    }
    let mut ph = Vec::new();
    for reading in 1..=2 {
        let name = format!("ph_{shown}_{reading}");
        ph.extend(value(reader, context, &name, Attribute::Ph).map(|read| read.canonical));
    }
    let end_point = match reader.raw(&format!("ta_end_{shown}")) {
        "ph8_2" => Some(EndPoint::Ph8_2),
        "ph7" => Some(EndPoint::Ph7),
        "colour_change" => Some(EndPoint::ColourChange),
        _ => None,
    };
    let typed = value(reader, context, &ta_name, Attribute::Ta).map(|read| read.canonical);
    let titrated = titration(reader, shown, end_point);
    if typed.is_some() && titrated.is_some() {
        reader.wrong(
            &ta_name,
            "Acid is typed in g/L and as a titration. Leave one of them empty.",
        );
    }
    let ta = typed
        .or(titrated)
        .map(|g_per_l| AcidReading { g_per_l, end_point });
    (ph, ta)
}

/// Asks when pH and acid look like each in the other's field; until that is answered nothing
/// else is asked about them.
fn ask_about_swapped(reader: &mut Reader, ph_name: &str, ta_name: &str) -> bool {
    let plain = |text: Option<String>| {
        crate::science::number::parse(&text?, &Expect::default())
            .ok()
            .map(|read| read.value)
    };
    let (ph, ta) = (plain(reader.text(ph_name)), plain(reader.text(ta_name)));
    let Some(doubt) = ph.zip(ta).and_then(|(ph, ta)| doubt::of_ph_and_ta(ph, ta)) else {
        return false;
    };
    let before = reader.problems.len();
    let (ph, ta) = (
        reader.raw(ph_name).to_owned(),
        reader.raw(ta_name).to_owned(),
    );
    reader.ask(
        ph_name,
        doubt.to_string(),
        &[
            Reading {
                label: format!("Yes, pH {ta} and TA {ph}"),
                changes: vec![
                    (ph_name.to_owned(), ta.clone()),
                    (ta_name.to_owned(), ph.clone()),
                ],
            },
            Reading {
                label: "No, they stand as typed".to_owned(),
                changes: vec![(ph_name.to_owned(), ph), (ta_name.to_owned(), ta)],
            },
        ],
    );
    reader.problems.len() > before
}

fn titration(reader: &mut Reader, shown: u16, end_point: Option<EndPoint>) -> Option<f64> {
    let names = ["ta_juice", "ta_base", "ta_used"].map(|part| format!("{part}_{shown}"));
    if !names.iter().any(|name| reader.fields().has(name)) {
        return None;
    }
    let [juice, base, used] = names
        .each_ref()
        .map(|name| reader.number(name, Expect::up_to(1000.0)));
    let (Some(sample_ml), Some(naoh_n), Some(naoh_ml)) = (juice, base, used) else {
        if reader.problems.is_empty() {
            reader.wrong(
                &names[0],
                "A titration needs the juice, the base's normality and the base used.",
            );
        }
        return None;
    };
    let done = Titration {
        sample_ml,
        naoh_ml,
        naoh_n,
        end_point,
    };
    match titrate(&done) {
        Ok(acidity) if acidity.tartaric_g_per_l <= 60.0 => Some(acidity.tartaric_g_per_l),
        Ok(acidity) => {
            reader.wrong(
                &names[2],
                format!(
                    "That comes to {:.1} g/L, which is no juice. Look at the three numbers again.",
                    acidity.tartaric_g_per_l
                ),
            );
            None
        }
        Err(_) => {
            reader.wrong(
                &names[0],
                "Juice, normality and base used must be above zero.",
            );
            None
        }
    }
}

/// One typed value, with its question if it raises one.
fn value(
    reader: &mut Reader,
    context: &Context,
    name: &str,
    attribute: Attribute,
) -> Option<Number> {
    let (quantity, biggest) = match attribute {
        Attribute::Brix => (Quantity::Sugar, 60.0),
        Attribute::Ph => (Quantity::Ph, 9.0),
        Attribute::Ta => (Quantity::Acid, 60.0),
    };
    let read = reader.measure(name, quantity, Expect::up_to(biggest))?;
    if read.number.value != read.canonical {
        // A typed unit such as % was meant: the value is asked about as it is stored.
        return Some(read).filter(|read| {
            let fits = (0.0..=biggest).contains(&read.canonical);
            if !fits {
                reader.wrong(name, "That is more than juice can have. What was it?");
            }
            fits
        });
    }
    if let Some(doubt) = doubt::of_value(
        attribute,
        &read.number,
        context.day(),
        context.last(attribute),
    ) {
        ask_about(reader, name, attribute, &doubt);
    }
    Some(read)
}

fn ask_about(reader: &mut Reader, name: &str, attribute: Attribute, doubt: &Doubt) {
    let typed = reader.raw(name).to_owned();
    let mut readings = Vec::new();
    if let Some(meant) = doubt.suggestion {
        let decimals = attribute.decimals();
        let shown = format!("{meant:.decimals$}");
        let exact = if shown.parse() == Ok(meant) {
            shown
        } else {
            meant.to_string()
        };
        readings.push(Reading::yes(name, exact));
    }
    if doubt.impossible {
        reader.wrong_unless(name, doubt.to_string(), &readings);
    } else {
        readings.push(Reading::stands(name, &typed));
        reader.ask(name, doubt.to_string(), &readings);
    }
}

fn kept(field: &str, typed: &str) -> Reading {
    Reading {
        label: "Keep it as typed".to_owned(),
        changes: vec![(field.to_owned(), typed.to_owned())],
    }
}

fn stops(reader: &mut Reader, context: &Context) -> Vec<Stop> {
    let Some(lines) = reader.text("stops") else {
        return Vec::new();
    };
    let mut stops = Vec::new();
    for line in lines.lines().map(str::trim).filter(|line| !line.is_empty()) {
        match stop(line, context) {
            Ok(stop) => stops.push(stop),
            Err(why) => reader.wrong("stops", format!("\"{line}\": {why}")),
        }
    }
    stops
}

/// One line: the reading is its last word, the place all before it.
fn stop(line: &str, context: &Context) -> Result<Stop, String> {
    let (place, reading) = line.rsplit_once(char::is_whitespace).unwrap_or(("", line));
    let read = crate::science::number::parse(reading, &Expect::up_to(60.0))
        .map_err(|error| error.to_string())?;
    let last = context.last(Attribute::Brix);
    if let Some(doubt) = doubt::of_value(Attribute::Brix, &read, context.day(), last)
        && doubt.impossible
    {
        return Err(doubt.to_string());
    }
    let at = match place.trim().trim_end_matches([':', ',', ';']) {
        "" => None,
        place => Some(vine(place, context)?),
    };
    let zero = context
        .instrument
        .as_ref()
        .map_or(0.0, |used| used.zero_offset);
    Ok(Stop {
        at,
        brix: BrixReading {
            raw: read.value,
            corrected: read.value - zero,
        },
    })
}

fn vine(place: &str, context: &Context) -> Result<VineAddress, String> {
    match parse_address(place, &context.known.all_rows()) {
        Ok(AddressRead::Clear(Address::Vine(at))) => Ok(at),
        Ok(AddressRead::Clear(_)) => Err("that is not a single vine".to_owned()),
        Ok(AddressRead::Ambiguous(_)) => {
            Err("write row, panel and vine apart, such as c4 7 2".to_owned())
        }
        Err(error) => Err(error.to_string()),
    }
}
