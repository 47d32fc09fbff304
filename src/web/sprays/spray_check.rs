//! Reads a typed spray: where, what was in the tank, and how it was. No interval is ever assumed.
//! Not here: the two clock times (`spray_times`), and what the intervals add up to
//! (`science::sprays`).

use chrono::NaiveDate;
use uuid::Uuid;

use super::spray_form::{MOST_PRODUCTS, product_fields};
use super::spray_times;
use crate::science::number::{Expect, parse};
use crate::science::places::{Ground, RowLayout, parse_range};
use crate::science::sprays::{self, Product, Spray};
use crate::science::units::Quantity;
use crate::store::BlockListed;
use crate::web::form::{Reader, Reading};
use crate::web::known::Known;
use crate::web::words;

pub const HOURS: &[&str] = &["h", "hr", "hrs", "hour", "hours"];
pub const DAYS: &[&str] = &["d", "day", "days"];

/// The whole spray; none when something can't be understood.
pub fn read(reader: &mut Reader, known: &Known) -> Option<Spray> {
    let date = reader.past_date("date", "Type the day of spraying.", known.today);
    let covered = covered(reader, known, date.unwrap_or(known.today));
    let products = products(reader);
    let times = spray_times::read(reader, known.zone, date);
    let volume = Quantity::Volume(known.units().volume());
    let volume = reader.measure("volume", volume, Expect::default());
    let temperature_c = temperature(reader, known);
    let text = |name: &str| reader.text(name).unwrap_or_default();
    Some(Spray {
        applicator: text("applicator"),
        wind: text("wind"),
        note: text("note"),
        label_read: reader.tick("label_read"),
        blocks: covered.blocks,
        rows: covered.rows,
        date: date?,
        start: times.start.map(|at| at.fixed_offset()),
        end: times.end.map(|at| at.fixed_offset()),
        volume_l: volume.map(|read| read.canonical),
        temperature_c,
        products,
    })
}

/// The ground sprayed: the blocks touched, and the labels of all rows covered.
struct Covered {
    blocks: Vec<Uuid>,
    rows: Vec<String>,
}

fn covered(reader: &mut Reader, known: &Known, day: NaiveDate) -> Covered {
    let before = reader.problems.len();
    let ticked = ticked(reader, known);
    let typed = typed_rows(reader, known, day);
    let mut found = Covered {
        blocks: Vec::new(),
        rows: Vec::new(),
    };
    for one in &known.blocks {
        let all = known.rows(one.id, day).into_iter().map(|row| row.label);
        let (of_these, others): (Vec<String>, Vec<String>) =
            all.partition(|label| typed.contains(label));
        if !of_these.is_empty() {
            found.rows.extend(of_these);
        } else if ticked.contains(&one.id) {
            found.rows.extend(others);
        } else {
            continue;
        }
        found.blocks.push(one.id);
    }
    // A spray covers some ground. What named none of it has said so itself.
    if found.blocks.is_empty() && reader.problems.len() == before {
        reader.wrong("block", "Tick the blocks that were sprayed, or type rows.");
    }
    found
}

fn ticked(reader: &mut Reader, known: &Known) -> Vec<Uuid> {
    let mut found = Vec::new();
    for typed in reader.fields().all("block").map(str::trim) {
        match known.blocks.iter().find(|one| names(typed, one)) {
            Some(one) => found.push(one.id),
            None if typed.is_empty() => {}
            None => reader.wrong("block", format!("There is no block \"{typed}\" here.")),
        }
    }
    found
}

/// Whether a text names a block: by its id as pages send it, or by name as cards and files do.
pub fn names(typed: &str, one: &BlockListed) -> bool {
    one.id.to_string() == typed
        || one.block.name.eq_ignore_ascii_case(typed)
        || one.block.called().eq_ignore_ascii_case(typed)
}

/// The labels of the rows typed, one by one or from one to another.
fn typed_rows(reader: &mut Reader, known: &Known, day: NaiveDate) -> Vec<String> {
    let Some(typed) = reader.text("rows") else {
        return Vec::new();
    };
    let mut all: Vec<RowLayout> = Vec::new();
    let mut blocks = Vec::new();
    for one in &known.blocks {
        let rows = known.rows(one.id, day);
        let labels = rows.iter().map(|row| row.label.clone()).collect();
        blocks.push((one.block.name.clone(), labels));
        all.extend(rows);
    }
    let ground = Ground {
        rows: &all,
        blocks: &blocks,
    };
    let joined = typed.to_uppercase().replace('\u{2013}', "-");
    let joined = joined.replace(" TO ", "-").replace(" - ", "-");
    let mut found = Vec::new();
    for part in joined
        .split([' ', ',', ';', '\n', '\r'])
        .filter(|part| !matches!(*part, "" | "AND" | "ROW" | "ROWS"))
    {
        match parse_range(part, &ground) {
            Ok(stretches) => found.extend(stretches.into_iter().map(|one| one.row)),
            Err(error) => reader.wrong("rows", error.to_string()),
        }
    }
    found
}

fn products(reader: &mut Reader) -> Vec<Product> {
    let mut found = Vec::new();
    for number in 1..=MOST_PRODUCTS {
        let names = product_fields(number);
        if names.iter().any(|name| reader.fields().has(name)) {
            found.push(product(reader, &names));
        }
    }
    if found.is_empty() {
        let [name, ..] = product_fields(1);
        reader.wrong(&name, "Type what was in the tank, at least one product.");
    }
    found
}

fn product(
    reader: &mut Reader,
    [name, reg, active, rate, entry, harvest]: &[String; 6],
) -> Product {
    let called = reader.needed(name, "Type the product's name as it stands on the label.");
    let text = |name: &str| reader.text(name).unwrap_or_default();
    let mut product = Product {
        name: called.unwrap_or_default(),
        registration: text(reg),
        active: text(active),
        rate: text(rate),
        ..Product::default()
    };
    product.entry_hours = interval(reader, entry, HOURS);
    if let Err(error) = sprays::check(&product) {
        reader.wrong(entry, error.to_string());
        product.entry_hours = None;
    }
    product.harvest_days = interval(reader, harvest, DAYS);
    if let Err(error) = sprays::check(&product) {
        reader.wrong(harvest, error.to_string());
        product.harvest_days = None;
    }
    product
}

/// An interval exactly as the label gives it; blank stays blank.
pub fn interval(reader: &mut Reader, name: &str, units: &[&str]) -> Option<f64> {
    let text = reader.text(name)?;
    let read = match parse(&text, &Expect::up_to(9999.0)) {
        Ok(read) => read,
        Err(error) => {
            reader.wrong(name, error.to_string());
            return None;
        }
    };
    if let Some(bound) = read.bound {
        reader.wrong(
            name,
            format!(
                "Type the label's figure itself, without \"{}\"; or leave it empty.",
                bound.sign()
            ),
        );
        return None;
    }
    let unit = read.suffix.as_deref().map(|unit| {
        let plain = unit.trim().trim_end_matches('.');
        plain.to_lowercase()
    });
    match unit.as_deref() {
        None => Some(read.value),
        Some(unit) if units.contains(&unit) => Some(read.value),
        Some(unit) if units == HOURS && DAYS.contains(&unit) => {
            let hours = words::plain(24.0 * read.value);
            reader.wrong_unless(
                name,
                format!("This field takes hours. {text} would be {hours} hours."),
                &[Reading::yes(name, hours)],
            );
            None
        }
        Some(_) => {
            let takes = if units == HOURS { "hours" } else { "days" };
            reader.wrong(name, format!("This field takes the label's {takes} alone."));
            None
        }
    }
}

fn temperature(reader: &mut Reader, known: &Known) -> Option<f64> {
    let expect = Expect {
        biggest_plausible: Some(130.0),
        negative_ok: true,
    };
    let quantity = Quantity::Temperature(known.units().temperature);
    let read = reader.measure("temp", quantity, expect)?;
    if !(-60.0..=60.0).contains(&read.canonical) {
        reader.wrong("temp", "That is no temperature of a day. What was it?");
        return None;
    }
    Some(read.canonical)
}
