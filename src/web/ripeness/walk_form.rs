//! What a walk is to be like, as it is typed, and the walk drawn from it.
//! Not here: which vines are drawn (`science::ripeness::walk`), the card it belongs to (`cards`).

use chrono::NaiveDate;
use uuid::Uuid;

use crate::science::cards::CardCode;
use crate::science::number::Expect;
use crate::science::places::census::count_on;
use crate::science::ripeness::Walk;
use crate::science::ripeness::walk::how_many::{
    BERRIES_FOR_A_BAG, BERRIES_FOR_A_READING, HowMany, LEAST_STOPS, MOST_STOPS, STOPS_FOR_A_BAG,
    how_many,
};
use crate::science::ripeness::walk::{ReadAt, Wishes, draw_up};
use crate::web::form::{Draft, Field, Reader};
use crate::web::known::Known;

const READ: [(&str, &str, ReadAt); 2] = [
    ("vines", "At each vine", ReadAt::Vines),
    ("bags", "Berries into a bag", ReadAt::Bags),
];

/// Wider than this nobody wants it.
const WIDEST: f64 = 20.0;

/// What the keeper chooses.
pub fn fields(draft: &Draft) -> Vec<Field> {
    let read = READ.map(|(value, label, _)| (value.to_owned(), label.to_owned()));
    vec![
        Field::one(draft, "read", "Where the juice is read", read),
        Field::decimal(draft, "wanted", "Wanted ±")
            .unit("°Brix")
            .hint("Where each vine is read, the number of stops follows from it."),
        Field::whole(draft, "stops", "Stops").hint(format!(
            "Empty: as many as the wanted ± takes, from {LEAST_STOPS} to {MOST_STOPS}; \
             {STOPS_FOR_A_BAG} for a bag."
        )),
        Field::whole(draft, "berries", "Berries from each vine").hint(format!(
            "Empty: {BERRIES_FOR_A_READING} for a reading, {BERRIES_FOR_A_BAG} for a bag."
        )),
    ]
}

/// The spread that the number of stops is reckoned with: it stays with what was typed, so that the
/// same entry gives the same walk.
pub fn spread_fields(draft: &Draft) -> Vec<Field> {
    vec![
        Field::decimal(draft, "spread_between", "Between vines").unit("°Brix"),
        Field::decimal(draft, "spread_within", "Within a vine").unit("°Brix"),
    ]
}

/// The walk of a card; none when it can't be understood.
pub fn read(
    reader: &mut Reader,
    known: &Known,
    block: Uuid,
    day: NaiveDate,
    code: CardCode,
) -> Option<Walk> {
    let typed = reader.raw("read").to_owned();
    let read_at = READ.iter().find(|(value, _, _)| *value == typed);
    if read_at.is_none() {
        reader.wrong("read", "Tap where the juice is read.");
    }
    let wanted = wanted(reader);
    let most = u16::try_from(MOST_STOPS).unwrap_or(u16::MAX);
    let typed_stops = reader.whole("stops", 1, most).map(u32::from);
    let typed_berries = reader.whole("berries", 1, 200);
    let rows = known.rows(block, day);
    if rows.is_empty() {
        reader.wrong(
            "block",
            "Write down the block's rows first, so that its vines are known.",
        );
        return None;
    }
    let (_, _, read_at) = *read_at?;
    let berries = match read_at {
        ReadAt::Vines => BERRIES_FOR_A_READING,
        ReadAt::Bags => BERRIES_FOR_A_BAG,
    };
    let vines = count_on(&rows, &known.vines, day).standing;
    let sum = match (typed_stops, read_at) {
        (Some(_), _) | (None, ReadAt::Bags) => None,
        (None, ReadAt::Vines) => Some(stops_for(reader, known, wanted, vines)?),
    };
    if !reader.problems.is_empty() {
        return None;
    }
    let asked = Wishes {
        read: read_at,
        wanted,
        how_many: sum,
        stops: typed_stops
            .or(sum.map(|sum| sum.stops))
            .unwrap_or(STOPS_FOR_A_BAG),
        berries: typed_berries.unwrap_or(berries),
    };
    let walk = draw_up(&asked, &rows, &known.vines, day, code.number());
    if walk.stops.is_empty() {
        reader.wrong("block", "No bearing vine stands in this block.");
        return None;
    }
    Some(walk)
}

fn wanted(reader: &mut Reader) -> Option<f64> {
    let wanted = reader.number("wanted", Expect::up_to(WIDEST))?;
    let in_bounds = wanted > 0.0 && wanted <= WIDEST;
    if !in_bounds {
        reader.wrong(
            "wanted",
            format!("Type a number above 0, up to {WIDEST:.0}."),
        );
    }
    in_bounds.then_some(wanted)
}

fn stops_for(
    reader: &mut Reader,
    known: &Known,
    wanted: Option<f64>,
    vines: u32,
) -> Option<HowMany> {
    let Some(wanted) = wanted else {
        if reader.text("wanted").is_none() && reader.text("stops").is_none() {
            reader.wrong(
                "wanted",
                "Type the ± that is wanted, or the number of stops.",
            );
        }
        return None;
    };
    let start = &known.assumptions.brix;
    let mut spread = |name: &str, start: f64| match reader.text(name) {
        Some(_) => reader.number(name, Expect::up_to(WIDEST)),
        None => Some(start),
    };
    let between = spread("spread_between", start.between_vines_sd)?;
    let within = spread("spread_within", start.within_vine_sd)?;
    match how_many(wanted, between, within, vines) {
        Ok(found) => Some(found),
        Err(error) => {
            reader.wrong("wanted", error.to_string());
            None
        }
    }
}
