//! What the keeper wants of a block, from a day on. An edge left empty is open.
//! Not here: whether it is reached (`harvest`).

use chrono::Datelike;
use uuid::Uuid;

use crate::science::number::Expect;
use crate::science::ripeness::{Attribute, DayOfYear, Target, Window};
use crate::science::units::Quantity;
use crate::store::ledger::{Fields, Happened, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader, Reading};
use crate::web::known::Known;
use crate::web::places::block_named;
use crate::web::words::{self, ReadBack};

/// The target box of a block.
pub struct TargetForm;

const EDGES: [(&str, &str); 3] = [("low", "at least"), ("aim", "aim"), ("high", "at most")];

/// The word an attribute's fields begin with.
fn word(attribute: Attribute) -> &'static str {
    match attribute {
        Attribute::Brix => "brix",
        Attribute::Ph => "ph",
        Attribute::Ta => "ta",
    }
}

impl Form for TargetForm {
    fn kind(&self) -> Kind {
        Kind::Target
    }

    fn heading(&self) -> &'static str {
        "What you want of a block"
    }

    fn path(&self) -> &'static str {
        "/targets"
    }

    fn blank(&self, known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        fields.set("from", &known.today.to_string());
        fields.set("season_end", &format!("{}-10-31", known.today.year()));
        let block = known.block_named(asked.first("block"));
        if let Some(stands) = block.and_then(|block| standing(known, block)) {
            for attribute in Attribute::ALL {
                let Window { low, aim, high } = stands.window(attribute);
                for ((edge, _), value) in EDGES.into_iter().zip([low, aim, high]) {
                    if let Some(value) = value {
                        let name = format!("{}_{edge}", word(attribute));
                        fields.set(&name, &format!("{value:.*}", attribute.decimals()));
                    }
                }
            }
            let end = stands.season_end_for(known.today);
            fields.set("season_end", &end.to_string());
        }
        fields
    }

    fn groups(&self, draft: &Draft, known: &Known) -> Vec<Group> {
        let mut groups = vec![
            Group::open(vec![
                Field::one(draft, "block", "Block", known.block_choices()),
                Field::date(draft, "from", "From")
                    .hint("Sheets of earlier days keep the target they had."),
            ])
            .hint("An edge left empty is open. A value without any edge counts for nothing."),
        ];
        for attribute in Attribute::ALL {
            let fields = EDGES
                .iter()
                .map(|(edge, label)| {
                    let name = format!("{}_{edge}", word(attribute));
                    let label = format!("{} {label}", attribute.name());
                    Field::decimal(draft, &name, label).unit(attribute.unit())
                })
                .collect();
            groups.push(Group::named(attribute.name(), fields));
        }
        groups.push(Group::open(vec![
            Field::date(draft, "season_end", "Season end")
                .hint("After this day nothing is waited for. The year does not matter."),
        ]));
        groups
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let block = block_named(reader, known);
        let from = reader.needed_date("from", "Type from which day this is wanted.");
        let [brix, ph, ta] = Attribute::ALL.map(|attribute| window(reader, attribute));
        let season_end = match reader.text("season_end") {
            None => Some(DayOfYear::SEASON_END),
            Some(_) => reader.date("season_end").map(|date| DayOfYear {
                month: date.month(),
                day: date.day(),
            }),
        };
        if !edge_fields().any(|name| reader.text(&name).is_some()) {
            reader.wrong("brix_low", "Type at least one edge.");
        }
        if let Some(block) = block {
            ask_about_less(reader, known, block, [brix, ph, ta]);
        }
        Some(
            Target {
                block: block?,
                from: from?,
                brix,
                ph,
                ta,
                season_end: season_end?,
            }
            .into(),
        )
    }

    fn happened(&self, values: &Values) -> Happened {
        match values {
            Values::Target(target) => Happened {
                date: Some(target.from),
                ..Happened::default()
            },
            _ => Happened::default(),
        }
    }

    fn read_back(&self, values: &Values, known: &Known) -> ReadBack {
        let Values::Target(target) = values else {
            return ReadBack::default();
        };
        let called = known.block_called(target.block);
        let mut read = ReadBack::titled(format!("Wanted of {called}"));
        read.line("From", words::day_and_year(target.from));
        for attribute in Attribute::ALL {
            let window = target.window(attribute);
            read.maybe(attribute.name(), window_words(window, attribute));
        }
        let end = target.season_end_for(known.today);
        read.line("Season end", words::short_day(end));
        read.place = Some((
            format!("/blocks/{}", target.block),
            format!("Block {called}"),
        ));
        read
    }
}

/// The names of all edges' fields.
fn edge_fields() -> impl Iterator<Item = String> {
    Attribute::ALL
        .into_iter()
        .flat_map(|attribute| EDGES.map(|(edge, _)| format!("{}_{edge}", word(attribute))))
}

fn standing(known: &Known, block: Uuid) -> Option<&Target> {
    known.targets.iter().find(|one| one.block == block)
}

/// A value that had a window and gets none is asked about: it would count for nothing.
fn ask_about_less(reader: &mut Reader, known: &Known, block: Uuid, windows: [Window; 3]) {
    let Some(stands) = standing(known, block).filter(|_| reader.correcting.is_none()) else {
        return;
    };
    for (attribute, window) in Attribute::ALL.into_iter().zip(windows) {
        let before = stands.window(attribute);
        if let (true, Some(words)) = (window.is_open(), window_words(before, attribute)) {
            let field = format!("{}_low", word(attribute));
            reader.ask(
                &field,
                format!(
                    "{} {words} would fall away. Is that meant?",
                    attribute.name()
                ),
                &[Reading {
                    label: "Yes, that is meant".to_owned(),
                    changes: vec![(field.clone(), String::new())],
                }],
            );
        }
    }
}

/// "22.0 to 24.0", "at least 24.0", "at most 11.5"; none when both edges are open.
pub fn window_words(window: Window, attribute: Attribute) -> Option<String> {
    let shown = |value| words::number(value, attribute.decimals());
    let edges = match (window.low, window.high) {
        (Some(low), Some(high)) => format!("{} to {}", shown(low), shown(high)),
        (Some(low), None) => format!("at least {}", shown(low)),
        (None, Some(high)) => format!("at most {}", shown(high)),
        (None, None) => return window.aim.map(|aim| format!("aim {}", shown(aim))),
    };
    Some(match window.aim {
        Some(aim) => format!("{edges}, aim {}", shown(aim)),
        None => edges,
    })
}

fn window(reader: &mut Reader, attribute: Attribute) -> Window {
    let (quantity, least, most) = match attribute {
        Attribute::Brix => (Quantity::Sugar, 0.0, 60.0),
        Attribute::Ph => (Quantity::Ph, 1.0, 9.0),
        Attribute::Ta => (Quantity::Acid, 0.0, 60.0),
    };
    let [low, aim, high] = EDGES.map(|(edge, _)| {
        let name = format!("{}_{edge}", word(attribute));
        let read = reader.measure(&name, quantity, Expect::up_to(most))?;
        if !(least..=most).contains(&read.canonical) {
            reader.wrong(
                &name,
                format!("{} goes from {least} to {most}.", attribute.name()),
            );
            return None;
        }
        Some(read.canonical)
    });
    let in_order: Vec<f64> = [low, aim, high].into_iter().flatten().collect();
    if in_order.windows(2).any(|pair| pair[0] > pair[1])
        || low.zip(high).is_some_and(|(low, high)| low >= high)
    {
        reader.wrong(
            &format!("{}_low", word(attribute)),
            format!(
                "{}: the lower edge must lie below the upper one, the aim between.",
                attribute.name()
            ),
        );
    }
    Window { low, aim, high }
}
