//! The spray form: the columns of the spray and entry board, in the board's order.
//! Not here: how the fields are read (`spray_check`) and said again (`spray_words`).

use super::hold_words::THE_LABEL;
use super::{spray_check, spray_words};
use crate::science::sprays::Spray;
use crate::store::ledger::{Fields, Happened, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader};
use crate::web::harvest::Vineyard;
use crate::web::known::Known;
use crate::web::words::ReadBack;

/// What was sprayed, where and when.
pub struct SprayForm;

/// The most products one form holds; a tank rarely carries more than four.
pub const MOST_PRODUCTS: u16 = 6;

/// The names of a product's fields, in the board's order.
pub fn product_fields(product: u16) -> [String; 6] {
    ["name", "reg", "active", "rate", "entry", "harvest"]
        .map(|part| format!("product_{product}_{part}"))
}

/// How many products were asked for with the button; two at first.
fn products_asked(fields: &Fields) -> u16 {
    fields.first("products").trim().parse().unwrap_or(2)
}

/// How many products the page shows: those asked for, and those that stood on the page sent.
fn products_shown(fields: &Fields) -> u16 {
    let on_page = (1..=MOST_PRODUCTS)
        .rev()
        .find(|product| {
            product_fields(*product)
                .iter()
                .any(|name| fields.all(name).next().is_some())
        })
        .unwrap_or(1);
    products_asked(fields).max(on_page).clamp(1, MOST_PRODUCTS)
}

impl Form for SprayForm {
    fn kind(&self) -> Kind {
        Kind::Spray
    }

    fn heading(&self) -> &'static str {
        "A spray"
    }

    fn intro(&self, _known: &Known, _vineyard: &Vineyard, _typed: &Fields) -> Vec<String> {
        vec![
            THE_LABEL.to_owned(),
            "Wind, bees, neighbours, open nets, open water: check the label before filling."
                .to_owned(),
            "Whatever is put on or near vines, fruit or the soil under them is a spray.".to_owned(),
        ]
    }

    fn path(&self) -> &'static str {
        "/sprays"
    }

    fn blank(&self, known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        if !fields.has("date") {
            fields.set("date", &known.today.to_string());
        }
        if let [only] = known.blocks.as_slice() {
            fields.set("block", &only.id.to_string());
        }
        fields
    }

    fn groups(&self, draft: &Draft, known: &Known) -> Vec<Group> {
        let units = known.units();
        let mut groups = vec![Group::open(vec![
            Field::several(draft, "block", "Blocks", block_choices(draft, known)),
            Field::text(draft, "rows", "Rows, where not the whole block").hint(
                "Labels, such as C4 C5 or C1-C3. Of a block with rows typed here only these \
                 count; a block ticked without any counts as a whole.",
            ),
        ])];
        let asked = products_asked(draft.fields);
        groups.extend(
            (1..=products_shown(draft.fields))
                .map(|product| product_group(draft, product, product == 1 || 2 < asked)),
        );
        groups.push(Group::named(
            "When",
            vec![
                Field::date(draft, "date", "Day of spraying"),
                Field::time(draft, "started", "Start"),
                Field::time(draft, "ended", "End of spraying").hint(
                    "All hours and days count from here. Empty means closed until you type it.",
                ),
            ],
        ));
        groups.push(Group::named(
            "Who, and how it was",
            vec![
                Field::decimal(draft, "volume", "Volume sprayed").unit(units.volume().symbol()),
                Field::text(draft, "applicator", "Applicator"),
                Field::text(draft, "wind", "Wind").hint("Strength and direction, in words."),
                Field::decimal(draft, "temp", "Temperature").unit(units.temperature.symbol()),
                Field::tick(draft, "label_read", "Label read"),
                Field::area(draft, "note", "Note"),
            ],
        ));
        groups
    }

    fn more(&self) -> Option<&'static str> {
        Some("Another product")
    }

    fn add_more(&self, fields: &mut Fields) {
        let shown = products_shown(fields);
        fields.set("products", &(shown + 1).min(MOST_PRODUCTS).to_string());
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        spray_check::read(reader, known).map(Values::from)
    }

    fn happened(&self, values: &Values) -> Happened {
        match values {
            Values::Spray(spray) => happened(spray),
            _ => Happened::default(),
        }
    }

    fn read_back(&self, values: &Values, known: &Known) -> ReadBack {
        match values {
            Values::Spray(spray) => spray_words::read_back(spray, known),
            _ => ReadBack::default(),
        }
    }

    fn next(&self, _values: Option<&Values>) -> Option<(String, String)> {
        Some(("/sprays/new".to_owned(), "Write another spray".to_owned()))
    }
}

/// The end of spraying, or its start where it ran past midnight: date and time go together.
fn happened(spray: &Spray) -> Happened {
    let that_day = |at: &chrono::DateTime<chrono::FixedOffset>| at.date_naive() == spray.date;
    let moment = spray.end.filter(that_day).or(spray.start.filter(that_day));
    Happened {
        date: Some(spray.date),
        time: moment.map(|at| at.time()),
        offset: moment.map(|at| at.offset().local_minus_utc() / 60),
    }
}

/// The blocks to tick. One that was named in words stays ticked under the words typed.
fn block_choices(draft: &Draft, known: &Known) -> Vec<(String, String)> {
    known
        .blocks
        .iter()
        .map(|one| {
            let mut typed = draft.fields.all("block");
            let value = match typed.find(|typed| spray_check::names(typed.trim(), one)) {
                Some(typed) => typed.to_owned(),
                None => one.id.to_string(),
            };
            (value, one.block.called())
        })
        .collect()
}

fn product_group(draft: &Draft, product: u16, open: bool) -> Group {
    let [name, reg, active, rate, entry, harvest] = product_fields(product);
    let of = |what: &str| format!("Product {product}: {what}");
    let from_label = "From the label in your hand. Empty means closed until you type it; 0 only where the label says 0.";
    let fields = vec![
        Field::text(draft, &name, of("name")),
        Field::text(draft, &reg, of("registration number")),
        Field::text(draft, &active, of("active ingredients")),
        Field::text(draft, &rate, of("rate")).hint("As on the label."),
        Field::decimal(draft, &entry, of("entry after"))
            .unit("hours")
            .hint(from_label),
        Field::decimal(draft, &harvest, of("picking after"))
            .unit("days")
            .hint(from_label),
    ];
    let legend = format!("Product {product}");
    if open {
        Group::named(legend, fields)
    } else {
        Group::folded(legend, fields)
    }
}
