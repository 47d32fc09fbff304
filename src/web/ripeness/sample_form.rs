//! The sample form: the fields of the berry tally card, in the card's order.
//! Not here: how they are read (`sample_check`) and said again (`sample_words`).

use super::{sample_check, sample_words, stops_check, walk_fields};
use crate::science::cards::Card;
use crate::science::ripeness::{Skipped, SkippedFor};
use crate::store::ledger::{Fields, Happened, Kind, Values};
use crate::web::form::{Column, Draft, Field, Form, Group, Reader};
use crate::web::harvest::Vineyard;
use crate::web::known::Known;
use crate::web::words::ReadBack;

/// A sample of one block on one day.
pub struct SampleForm;

/// The most bags one form holds; more go into a second entry.
pub const MOST_BAGS: u16 = 9;

/// The field for the sum of all readings, as pencilled at the foot of the card.
pub const SUM_OF_BRIX: &str = "sum_brix";

/// All °Brix readings of the page, which the card's sum adds up.
pub fn brix_column(fields: &Fields) -> Column<'static> {
    let bags = 1..=bags_shown(fields);
    Column {
        sum: SUM_OF_BRIX,
        of: "°Brix",
        names: bags
            .flat_map(|bag| (1..=3).map(move |reading| format!("brix_{bag}_{reading}")))
            .collect(),
    }
}

/// How many bags the page shows: as many as it showed before or was asked for, two at first.
pub fn bags_shown(fields: &Fields) -> u16 {
    let asked: u16 = fields.first("bags").trim().parse().unwrap_or(2);
    let names = fields.iter().filter_map(|(name, _)| bag_field(name));
    let on_page = names.map(|(bag, _)| bag).max().unwrap_or(1);
    asked.max(on_page).clamp(1, MOST_BAGS)
}

/// The bag that a field's name belongs to, and what it is of it: "brix_2_1" is a "brix" of bag 2.
pub fn bag_field(name: &str) -> Option<(u16, &str)> {
    const ONCE: [&str; 9] = [
        "bag", "berries", "weight", "temp", "ta", "ta_end", "ta_juice", "ta_base", "ta_used",
    ];
    const READINGS: [&str; 5] = ["brix_1", "brix_2", "brix_3", "ph_1", "ph_2"];
    let (before, last) = name.rsplit_once('_')?;
    let (part, bag) = match ONCE.contains(&before) {
        true => (before, last),
        false => {
            let (part, bag) = before.rsplit_once('_')?;
            let is_one = READINGS
                .map(|one| one.split_once('_'))
                .contains(&Some((part, last)));
            is_one.then_some((part, bag))?
        }
    };
    let number = bag.parse().ok().filter(|_| bag.len() == 1)?;
    (1..=MOST_BAGS).contains(&number).then_some((number, part))
}

impl Form for SampleForm {
    fn kind(&self) -> Kind {
        Kind::Sample
    }

    fn heading(&self) -> &'static str {
        "New sample"
    }

    fn intro(&self, known: &Known, vineyard: &Vineyard, typed: &Fields) -> Vec<String> {
        let mut lines = vec![
            "Picking berries for a sample is work in the row: look at the spray board first."
                .to_owned(),
        ];
        lines.extend(vineyard.closed_words(known, typed.first("block")));
        lines
    }

    fn path(&self) -> &'static str {
        "/ripeness"
    }

    fn blank(&self, known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        fields.set("date", &known.today.to_string());
        if let [only] = known.blocks.as_slice() {
            fields.set("block", &only.id.to_string());
        }
        if let Some(first) = known.instruments.first() {
            fields.set("instrument", &first.id.to_string());
        }
        fields
    }

    fn blank_of_card(&self, _card: &Card, fields: &mut Fields) {
        fields.set(SUM_OF_BRIX, "");
    }

    fn groups(&self, draft: &Draft, known: &Known) -> Vec<Group> {
        let units = known.units();
        let mut groups = vec![
            Group::open(vec![
                Field::one(draft, "block", "Block", known.block_choices()).carried(),
                Field::date(draft, "date", "Day it was picked").carried(),
            ]),
            Group::folded(
                instrument_legend(draft, known),
                time_and_instrument(draft, known),
            )
            .quiet(),
        ];
        groups.extend(walk_fields::groups(draft, known));
        let bags = match walk_fields::are_read(draft.fields) {
            true => 0,
            false => bags_shown(draft.fields),
        };
        for bag in 1..=bags {
            groups.extend(bag_groups(draft, bag, units.temperature.symbol()));
        }
        if draft.fields.all(SUM_OF_BRIX).next().is_some() {
            groups.push(Group::open(vec![brix_column(draft.fields).field(draft)]));
        }
        groups.extend([
            Group::folded(
                "Single vines or clusters instead of bags",
                vec![
                    Field::area(draft, "stops", "One line for each: the place, the reading").hint(
                        "A3-7-2 21.4. The place may be left out. Readings as the instrument shows \
                         them.",
                    ),
                    Field::decimal(
                        draft,
                        stops_check::TEMPERATURE,
                        "Juice temperature of all of them",
                    )
                    .unit(units.temperature.symbol()),
                ],
            )
            .on_screen_only(),
            fruit(draft, units.rain().symbol()),
            Group::folded(
                "What was special",
                vec![
                    Field::tick(draft, "frozen", "The juice had been frozen"),
                    Field::tick(
                        draft,
                        "edge_rows",
                        "Edge rows are among those sampled, for want of others",
                    ),
                    Field::tick(
                        draft,
                        "two_crops",
                        "Two crops hang: first and second together",
                    ),
                    Field::text(draft, "new_series", "Begin a new line here, because").hint(
                        "Rows changed, another sampler, ripest picked … Earlier samples of the \
                         season then no longer enter the forecast.",
                    ),
                ],
            )
            .on_screen_only(),
            Group::folded(
                "Rows, note",
                vec![
                    Field::text(draft, "rows", "Rows, if not all")
                        .hint("Labels, such as A2 A3 A4."),
                    Field::area(draft, "note", "Note"),
                ],
            ),
        ]);
        groups
    }

    fn more(&self) -> Option<&'static str> {
        Some("Another bag")
    }

    fn add_more(&self, fields: &mut Fields) {
        let shown = bags_shown(fields);
        fields.set("bags", &(shown + 1).min(MOST_BAGS).to_string());
    }

    fn leans_on_samples(&self) -> bool {
        true
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        sample_check::read(reader, known).map(Values::from)
    }

    fn happened(&self, values: &Values) -> Happened {
        match values {
            Values::Sample(sample) => Happened {
                date: Some(sample.date),
                time: sample.time,
                offset: None,
            },
            _ => Happened::default(),
        }
    }

    fn read_back(&self, values: &Values, known: &Known) -> ReadBack {
        match values {
            Values::Sample(sample) => sample_words::read_back(sample, known),
            _ => ReadBack::default(),
        }
    }

    /// A vine found gone on a walk is written down as gone by whoever says so, never silently.
    fn also(&self, values: &Values) -> Vec<(String, String)> {
        let Values::Sample(sample) = values else {
            return Vec::new();
        };
        let found_gone = |one: &&Skipped| one.why == SkippedFor::Gone;
        sample
            .skipped
            .iter()
            .filter(found_gone)
            .map(|one| {
                let (at, date) = (&one.at, sample.date);
                (
                    format!("/vines/new?address={at}&change=gone&date={date}"),
                    format!("Write {at} down as gone"),
                )
            })
            .collect()
    }

    fn next(&self, values: Option<&Values>) -> Option<(String, String)> {
        let block = match values {
            Some(Values::Sample(sample)) => format!("?block={}", sample.block),
            _ => String::new(),
        };
        Some((
            format!("/ripeness/new{block}"),
            "Enter the next one".to_owned(),
        ))
    }
}

pub fn bag_groups(draft: &Draft, bag: u16, degrees: &str) -> Vec<Group> {
    let name = |part: &str| format!("{part}_{bag}");
    let nth = |what: &str, reading: u16| format!("{what}_{bag}_{reading}");
    let readings = (1..=3)
        .map(|reading| {
            Field::decimal(draft, &nth("brix", reading), format!("°Brix {reading}"))
                .adds_to(SUM_OF_BRIX)
        })
        .chain([
            Field::decimal(draft, &nth("ph", 1), "pH 1"),
            Field::decimal(draft, &nth("ph", 2), "pH 2"),
            Field::decimal(draft, &name("ta"), "TA").unit("g/L"),
        ])
        .collect();
    let card = vec![
        Field::whole(draft, &name("bag"), "Bag number").hint(format!("Empty means {bag}.")),
        Field::whole(draft, &name("berries"), "Berries")
            .hint("Empty means 100. Half as many berries count half a bag in the ±."),
        Field::decimal(draft, &name("weight"), "Berries weigh").unit("g"),
        Field::decimal(draft, &name("temp"), "Juice temperature").unit(degrees),
    ];
    let ends = [
        ("ph8_2", "pH 8.2"),
        ("ph7", "pH 7.0"),
        ("colour_change", "a change of colour"),
    ];
    let titration = vec![
        Field::decimal(draft, &name("ta_juice"), "Juice titrated").unit("mL"),
        Field::decimal(draft, &name("ta_base"), "Base, normality").unit("N"),
        Field::decimal(draft, &name("ta_used"), "Base used").unit("mL"),
        Field::one(
            draft,
            &name("ta_end"),
            "Titrated to",
            ends.map(|(value, label)| (value.to_owned(), label.to_owned())),
        ),
    ];
    vec![
        Group::folded(
            format!("Bag {bag}: number, berries, weight, temperature"),
            card,
        ),
        Group::named(
            format!("Bag {bag}: three looks at the same juice"),
            readings,
        )
        .beside(),
        Group::folded(
            format!("Bag {bag}: acid from a titration, end point"),
            titration,
        )
        .hint("75 × mL used × N ÷ mL of juice, instead of typing g/L."),
    ]
}

/// What is seen and tasted beside the juice.
pub fn fruit(draft: &Draft, rain: &str) -> Group {
    Group::folded(
        "Taste, seeds, skins, rot, animals, rain",
        vec![
            Field::text(draft, "taste", "Taste"),
            Field::text(draft, "seeds", "Seeds").hint("Green, brown, how many."),
            Field::text(draft, "skins", "Skins"),
            Field::decimal(draft, "rot", "Rot").unit("% of the fruit"),
            Field::decimal(draft, "animals", "Animals took").unit("%"),
            Field::decimal(draft, "rain", "Rain since last")
                .unit(rain)
                .hint("Since the last sample."),
        ],
    )
    .hint("0 means looked and none; empty means not looked.")
}

/// "Time picked; instrument: the blue one"; what is folded away says what stands in it.
pub fn instrument_legend(draft: &Draft, known: &Known) -> String {
    match known.instrument_named(draft.fields.first("instrument")) {
        Some(one) => format!("Time picked; instrument: {}", one.instrument.name),
        None => "Time picked; instrument".to_owned(),
    }
}

pub fn time_and_instrument(draft: &Draft, known: &Known) -> Vec<Field> {
    let time = Field::time(draft, "time", "Time picked");
    if known.instruments.is_empty() {
        return vec![
            time,
            Field::tick(draft, "no_instrument", "No instrument is written down yet: take readings as they are")
                .hint("Write it down under House, Instruments, so that temperature and zero can be corrected."),
        ];
    }
    let choices = known.instruments.iter().map(|one| {
        let kind = match one.instrument.compensated {
            true => "compensates for temperature",
            false => "does not compensate",
        };
        (
            one.id.to_string(),
            format!("{} ({kind})", one.instrument.name),
        )
    });
    vec![
        time,
        Field::one(draft, "instrument", "Read with", choices).carried(),
        Field::tick(draft, "zeroed", "Zeroed with water before this"),
    ]
}
