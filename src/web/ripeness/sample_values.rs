//! The values of one bag as typed: juice temperature, °Brix, pH and acid, with their questions.
//! Not here: bags and the sample as a whole (`sample_check`).

use super::sample_check::Context;
use crate::science::number::{Expect, Number as PlainNumber};
use crate::science::ripeness::acid::{EndPoint, Titration, titrate};
use crate::science::ripeness::doubt::{self, Doubt, LastValue};
use crate::science::ripeness::juice::{RELIABLE_C, RawReading, RefractometerError, correct};
use crate::science::ripeness::{AcidReading, Attribute, BrixReading};
use crate::science::units::Quantity;
use crate::web::form::{Number, Reader, Reading};

pub fn temperature(reader: &mut Reader, context: &Context, name: &str) -> Option<f64> {
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
    // Further off a reading can't be relied on at all, which `corrected` says.
    let says_more = context.instrument.is_some() && !RELIABLE_C.contains(&read.canonical);
    if !(10.0..=30.0).contains(&read.canonical) && !says_more {
        let typed = reader.raw(name).to_owned();
        reader.ask(
            name,
            "This is outside 10 to 30 °C (50 to 86 °F), where corrections and automatic \
             compensation are good. Let juice and instrument come to room temperature together.",
            &[Reading::kept(name, &typed)],
        );
    }
    Some(read.canonical)
}

pub fn brix(
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
            corrected: corrected(reader, context, &format!("temp_{shown}"), raw, temperature),
        });
    }
    let raws: Vec<f64> = found.iter().map(|one| one.raw).collect();
    let of_this_bag = format!("brix_{shown}_");
    let settled = !reader
        .problems
        .iter()
        .any(|one| one.field.starts_with(&of_this_bag));
    // While a reading is asked about, how far it lies from others says nothing.
    if let Some(doubt) = doubt::of_same_juice(&raws).filter(|_| settled) {
        let field = format!("brix_{shown}_1");
        let typed = reader.raw(&field).to_owned();
        reader.ask(&field, doubt.to_string(), &[Reading::kept(&field, &typed)]);
    }
    found
}

/// The reading at 20 °C with the instrument's zero taken off. Where it can't be corrected, the
/// reading stands as the instrument showed it, and the page has said so. `field` is where the
/// temperature is typed.
pub fn corrected(
    reader: &mut Reader,
    context: &Context,
    field: &str,
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
            let typed = reader.raw(field).to_owned();
            let words = match error {
                RefractometerError::TemperatureMissing => format!(
                    "{} does not compensate for temperature. How warm was the juice? Without it \
                     the reading stands as it was read.",
                    used.name
                ),
                RefractometerError::Temperature(_) => "That is outside 5 to 40 °C (41 to 104 °F): \
                     neither a correction nor an instrument that compensates can be relied on. The \
                     reading then stands as it was read, with only the zero offset taken off."
                    .to_owned(),
                other => format!(
                    "{other} The reading then stands as it was read, with only the zero offset taken off."
                ),
            };
            reader.ask(
                field,
                words,
                &[Reading {
                    label: "Take it as it was read".to_owned(),
                    changes: vec![(field.to_owned(), typed)],
                }],
            );
            reading - used.zero_offset
        }
    }
}

pub fn ph_and_ta(
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

/// Above this no juice is; the swap is then offered until it is mended.
const HIGHEST_PH: f64 = 9.0;

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
    let cannot_be = ph.is_some_and(|ph| ph > HIGHEST_PH);
    let (ph, ta) = (
        reader.raw(ph_name).to_owned(),
        reader.raw(ta_name).to_owned(),
    );
    let swapped = Reading {
        label: format!("Yes, pH {ta} and TA {ph}"),
        changes: vec![
            (ph_name.to_owned(), ta.clone()),
            (ta_name.to_owned(), ph.clone()),
        ],
    };
    if cannot_be {
        reader.wrong_unless(ph_name, doubt.to_string(), &[swapped]);
    } else {
        let stands = Reading {
            label: "No, they stand as typed".to_owned(),
            changes: vec![(ph_name.to_owned(), ph), (ta_name.to_owned(), ta)],
        };
        reader.ask(ph_name, doubt.to_string(), &[swapped, stands]);
    }
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
        // What was typed and is no number has said so itself.
        if let Some(blank) = names.iter().find(|name| reader.text(name).is_none()) {
            reader.wrong(
                blank,
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
    doubted(reader, context, name, attribute, |number, last| {
        doubt::of_value(attribute, number, context.day(), last)
    })
}

/// The reading of one vine, which may lie further from the block's last value than a bag may.
pub fn of_one_vine(reader: &mut Reader, context: &Context, name: &str) -> Option<Number> {
    doubted(reader, context, name, Attribute::Brix, |number, last| {
        doubt::of_one_vine(number, context.day(), last)
    })
}

fn doubted(
    reader: &mut Reader,
    context: &Context,
    name: &str,
    attribute: Attribute,
    doubt: impl Fn(&PlainNumber, Option<LastValue>) -> Option<Doubt>,
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
    if let Some(doubt) = doubt(&read.number, context.last(attribute)) {
        ask_about(reader, name, attribute, &doubt);
        if doubt.impossible {
            return None;
        }
    }
    Some(read)
}

fn ask_about(reader: &mut Reader, name: &str, attribute: Attribute, doubt: &Doubt) {
    let typed = reader.raw(name).to_owned();
    let mut readings = Vec::new();
    if let Some(meant) = doubt.suggestion {
        readings.push(Reading::yes(name, suggested(attribute, meant)));
    }
    if doubt.impossible {
        reader.wrong_unless(name, doubt.to_string(), &readings);
    } else {
        let stands = Reading::stands(name, &typed);
        readings.push(match reader.fields().first(name) == typed {
            true => stands,
            false => Reading {
                label: format!("{} is right", typed.trim()),
                ..stands
            },
        });
        reader.ask(name, doubt.to_string(), &readings);
    }
}

/// A value that may have been meant, with the decimals usual for it where they are enough.
pub fn suggested(attribute: Attribute, meant: f64) -> String {
    let decimals = attribute.decimals();
    let shown = format!("{meant:.decimals$}");
    match shown.parse() == Ok(meant) {
        true => shown,
        false => meant.to_string(),
    }
}
