//! The farm's own settings: name, zone, units, whom to call.
//! Not here: figures of judgement (`ripeness::AssumptionsForm`).

use crate::science::places::{Farm, ForHelpers};
use crate::science::units::{LengthUnit, MassUnit, TemperatureUnit, Units};
use crate::science::zone::parse_zone;
use crate::store::ledger::{Fields, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader, Reading};
use crate::web::known::Known;
use crate::web::words::ReadBack;

/// Zones to tap, with the words people have for them; any other can be typed.
const COMMON_ZONES: &[(&str, &str)] = &[
    ("America/New_York", "Eastern, as in New York"),
    ("America/Chicago", "Central, as in Chicago"),
    ("America/Denver", "Mountain, as in Denver"),
    ("America/Los_Angeles", "Pacific, as in Los Angeles"),
    ("America/Halifax", "Atlantic, as in Halifax"),
    ("Europe/London", "British, as in London"),
    ("Europe/Berlin", "Central European, as in Berlin"),
];

/// What is set once for the whole farm.
pub struct FarmForm;

fn choices(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
    pairs
        .iter()
        .map(|(value, label)| ((*value).to_owned(), (*label).to_owned()))
        .collect()
}

impl FarmForm {
    /// Name, zone and units: what the first run asks.
    pub fn first_fields(draft: &Draft) -> Vec<Field> {
        vec![
            Field::text(draft, "name", "Name of the place"),
            Field::one(draft, "zone_common", "Time zone", choices(COMMON_ZONES))
                .hint("As the clocks on the farm run."),
            Field::text(draft, "zone", "Another time zone").hint(
                "By its name on the IANA list, such as Pacific/Auckland. What stands here counts \
                 before what is tapped.",
            ),
            Field::one(
                draft,
                "temperature",
                "Temperature in",
                choices(&[("fahrenheit", "°F"), ("celsius", "°C")]),
            ),
            Field::one(
                draft,
                "mass",
                "Weight in",
                choices(&[("pound", "lb"), ("kilogram", "kg")]),
            ),
            Field::one(
                draft,
                "length",
                "Length and rain in",
                choices(&[("foot", "ft, in."), ("metre", "m, mm")]),
            ),
        ]
    }

    /// Units and nothing else, for an empty first page.
    pub fn start(fields: &mut Fields) {
        fields.set("temperature", "fahrenheit");
        fields.set("mass", "pound");
        fields.set("length", "foot");
    }

    /// Reads the farm from what was typed.
    pub fn read(reader: &mut Reader) -> Option<Farm> {
        let name = reader.needed("name", "Type the name of the place.");
        let zone = zone(reader);
        let temperature = match reader.raw("temperature") {
            "fahrenheit" => Some(TemperatureUnit::Fahrenheit),
            "celsius" => Some(TemperatureUnit::Celsius),
            _ => None,
        };
        let mass = match reader.raw("mass") {
            "pound" => Some(MassUnit::Pound),
            "kilogram" => Some(MassUnit::Kilogram),
            _ => None,
        };
        let length = match reader.raw("length") {
            "foot" => Some(LengthUnit::Foot),
            "metre" => Some(LengthUnit::Metre),
            _ => None,
        };
        for (name, missing) in [
            ("temperature", temperature.is_none()),
            ("mass", mass.is_none()),
            ("length", length.is_none()),
        ] {
            if missing {
                reader.wrong(name, "Choose a unit.");
            }
        }
        Some(Farm {
            name: name?,
            zone: zone?,
            units: Units {
                temperature: temperature?,
                mass: mass?,
                length: length?,
            },
            address: reader.text("address"),
            keeper_phone: reader.text("keeper_phone"),
            emergency_place: reader.text("emergency_place"),
            emergency_phone: reader.text("emergency_phone"),
            emergency_address: reader.text("emergency_address"),
            poison_line: reader.text("poison_line"),
            for_helpers: ForHelpers {
                emergency_number: reader.text("emergency_number"),
                who_to_ask: reader.text("who_to_ask"),
                second_person: reader.text("second_person"),
                second_phone: reader.text("second_phone"),
                water: reader.text("water"),
                toilet: reader.text("toilet"),
                first_aid: reader.text("first_aid"),
            },
        })
    }
}

/// The common zone of this IANA name.
pub fn common_zone(name: &str) -> Option<&'static str> {
    let mut names = COMMON_ZONES.iter().map(|(zone, _)| *zone);
    names.find(|zone| *zone == name.trim())
}

/// The zone typed, or else the one tapped.
fn zone(reader: &mut Reader) -> Option<String> {
    let typed = match reader.text("zone") {
        Some(typed) => typed,
        None => {
            let tapped = common_zone(reader.raw("zone_common"));
            if tapped.is_none() {
                reader.wrong(
                    "zone_common",
                    "Tap the time zone, or type it below. Dates and spray intervals hang on it.",
                );
            }
            return tapped.map(str::to_owned);
        }
    };
    if let Some((zone, called)) = everyday(&typed) {
        reader.wrong_unless(
            "zone",
            format!("\"{typed}\": is {called} meant?"),
            &[Reading::yes("zone", zone)],
        );
        return None;
    }
    if let Some(zone) = without_summer_time(&typed) {
        let words = format!("\"{typed}\" has no summer time the year round. Is {zone} meant?");
        reader.ask(
            "zone",
            words,
            &[Reading::yes("zone", zone), Reading::stands("zone", &typed)],
        );
    }
    match parse_zone(&typed) {
        Ok(zone) => Some(zone.name().to_owned()),
        Err(error) => {
            let tapped = common_zone(reader.raw("zone_common"));
            let instead: Vec<Reading> = tapped
                .map(|zone| Reading::yes("zone", zone))
                .into_iter()
                .collect();
            reader.wrong_unless("zone", error.to_string(), &instead);
            None
        }
    }
}

/// The zone whose clocks are set twice a year, for an abbreviation that the list of zones has as a
/// fixed offset.
fn without_summer_time(typed: &str) -> Option<&'static str> {
    match typed.trim().to_uppercase().as_str() {
        "EST" => Some("America/New_York"),
        "MST" => Some("America/Denver"),
        _ => None,
    }
}

/// The common zone that people mean by "Eastern" or "eastern time".
fn everyday(typed: &str) -> Option<(&'static str, &'static str)> {
    let typed = typed.to_lowercase();
    let words: Vec<&str> = typed
        .split(|sign: char| !sign.is_alphabetic())
        .filter(|word| !matches!(*word, "" | "time" | "zone" | "standard" | "daylight" | "us"))
        .collect();
    let typed = words.join(" ");
    let called = |words: &str| {
        let (short, _) = words.split_once(',').unwrap_or((words, ""));
        short.to_lowercase() == typed || words.to_lowercase().replace(',', "") == typed
    };
    COMMON_ZONES
        .iter()
        .copied()
        .find(|(_, words)| called(words))
}

impl Form for FarmForm {
    fn kind(&self) -> Kind {
        Kind::Farm
    }

    fn heading(&self) -> &'static str {
        "The farm"
    }

    fn path(&self) -> &'static str {
        "/farm"
    }

    fn groups(&self, draft: &Draft, _known: &Known) -> Vec<Group> {
        vec![
            Group::open(Self::first_fields(draft))
                .hint("Another unit changes what pages show. Stored values stay as they are."),
            Group::named(
                "Where, and whom to call",
                vec![
                    Field::area(draft, "address", "Address and how to find the gate"),
                    Field::text(draft, "keeper_phone", "Keeper's phone"),
                    Field::text(draft, "emergency_place", "Nearest emergency medical place"),
                    Field::text(draft, "emergency_phone", "Its phone"),
                    Field::text(draft, "emergency_address", "Its address"),
                    Field::text(draft, "poison_line", "Poison line"),
                ],
            )
            .hint("These stand on the spray and entry board and on the helpers' sheet."),
            Group::folded(
                "For helpers",
                vec![
                    Field::text(draft, "emergency_number", "Number to dial in an emergency")
                        .hint("112 or 911, whichever your country has."),
                    Field::text(draft, "who_to_ask", "Who to ask")
                        .hint("A name. The keeper's phone stands beside it."),
                    Field::text(draft, "second_person", "A second person to ask"),
                    Field::text(draft, "second_phone", "Phone of the second person"),
                    Field::text(draft, "water", "Where drinking water is"),
                    Field::text(draft, "toilet", "Where the toilet is"),
                    Field::text(draft, "first_aid", "Where first aid is"),
                ],
            )
            .hint("For somebody who is here for the first time. What stays empty prints as dots."),
        ]
    }

    fn check(&self, reader: &mut Reader, _known: &Known) -> Option<Values> {
        Self::read(reader).map(Values::from)
    }

    fn read_back(&self, values: &Values, _known: &Known) -> ReadBack {
        let Values::Farm(farm) = values else {
            return ReadBack::default();
        };
        let mut read = ReadBack::titled(&farm.name);
        read.line("Time zone", &farm.zone);
        read.line("Temperature in", farm.units.temperature.symbol());
        read.line("Weight in", farm.units.mass.symbol());
        read.line("Length in", farm.units.length.symbol());
        read.line("Rain in", farm.units.rain().symbol());
        read.maybe("Address", farm.address.as_deref());
        read.maybe("Keeper's phone", farm.keeper_phone.as_deref());
        read.maybe("Emergency place", farm.emergency_place.as_deref());
        read.maybe("Emergency phone", farm.emergency_phone.as_deref());
        read.maybe("Emergency address", farm.emergency_address.as_deref());
        read.maybe("Poison line", farm.poison_line.as_deref());
        let helpers = &farm.for_helpers;
        for (label, text) in [
            ("Number to dial in an emergency", &helpers.emergency_number),
            ("Who to ask", &helpers.who_to_ask),
            ("A second person to ask", &helpers.second_person),
            ("Phone of the second person", &helpers.second_phone),
            ("Drinking water", &helpers.water),
            ("Toilet", &helpers.toilet),
            ("First aid", &helpers.first_aid),
        ] {
            read.maybe(label, text.as_deref());
        }
        read.place = Some(("/house".to_owned(), "To the house".to_owned()));
        read
    }
}
