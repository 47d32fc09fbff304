//! The cluster card: vines counted, clusters weighed, in the order of the paper card.
//! Not here: what they say of the crop.

use crate::science::cards::Card;
use crate::science::crop::{ClusterCard, ClusterCount};
use crate::science::number::Expect;
use crate::science::units::Quantity;
use crate::store::ledger::{Fields, Happened, Kind, Values};
use crate::web::form::{Column, Draft, Field, Form, Group, Reader, Reading};
use crate::web::harvest::Vineyard;
use crate::web::known::Known;
use crate::web::places::{block_named, vine_at};
use crate::web::words::{self, ReadBack};

/// Clusters counted and weighed in one block on one day.
pub struct ClustersForm;

/// The most lines one card holds; more go on a second card.
const MOST_LINES: u16 = 40;
/// Lines on a page that is opened on a phone, and on a printed card.
const LINES_ON_A_PAGE: u16 = 4;
const LINES_ON_A_CARD: u16 = 12;
/// Heavier than this is no single cluster of wine grapes, in g (judgement).
const HEAVIEST_G: f64 = 1000.0;

fn lines_shown(fields: &Fields) -> u16 {
    let asked = fields
        .first("lines")
        .trim()
        .parse()
        .unwrap_or(LINES_ON_A_PAGE);
    let on_page = (1..=MOST_LINES)
        .rev()
        .find(|line| fields.all(&format!("clusters_{line}")).next().is_some())
        .unwrap_or(1);
    asked.max(on_page).clamp(1, MOST_LINES)
}

fn columns(lines: u16) -> [Column<'static>; 2] {
    let names = |part: &str| (1..=lines).map(|line| format!("{part}_{line}")).collect();
    [
        Column {
            sum: "sum_clusters",
            of: "clusters",
            names: names("clusters"),
        },
        Column {
            sum: "sum_weights",
            of: "weights",
            names: names("weight"),
        },
    ]
}

impl Form for ClustersForm {
    fn kind(&self) -> Kind {
        Kind::Clusters
    }

    fn heading(&self) -> &'static str {
        "Clusters counted and weighed"
    }

    fn intro(&self, known: &Known, vineyard: &Vineyard, typed: &Fields) -> Vec<String> {
        let mut lines =
            vec!["Counting clusters is work in the row: look at the spray board first.".to_owned()];
        lines.extend(vineyard.closed_words(known, typed.first("block")));
        lines
    }

    fn path(&self) -> &'static str {
        "/clusters"
    }

    fn blank(&self, known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        fields.set("date", &known.today.to_string());
        fields
    }

    fn blank_of_card(&self, _card: &Card, fields: &mut Fields) {
        fields.set("lines", &LINES_ON_A_CARD.to_string());
        for column in columns(LINES_ON_A_CARD) {
            fields.set(column.sum, "");
        }
    }

    fn groups(&self, draft: &Draft, known: &Known) -> Vec<Group> {
        let lines = lines_shown(draft.fields);
        let name = |part: &str, line: u16| format!("{part}_{line}");
        let mut groups = vec![Group::open(vec![
            Field::one(draft, "block", "Block", known.block_choices()),
            Field::date(draft, "date", "Day it was counted"),
            Field::time(draft, "time", "Time"),
        ])];
        groups.extend((1..=lines).map(|line| {
            let legend = format!("Stop {line}");
            let fields = vec![
                Field::text(draft, &name("at", line), "Address"),
                Field::whole(draft, &name("clusters", line), "Clusters").adds_to("sum_clusters"),
                Field::text(draft, &name("remark", line), "Remark"),
            ];
            Group::named(legend, fields).beside()
        }));
        let weights = (1..=lines).map(|line| {
            Field::decimal(draft, &name("weight", line), format!("Cluster {line}"))
                .unit(known.units().small_mass().symbol())
                .adds_to("sum_weights")
        });
        groups.push(Group::named("Weights of single clusters", weights.collect()).beside());
        let sums: Vec<Field> = columns(lines)
            .iter()
            .filter(|column| draft.fields.all(column.sum).next().is_some())
            .map(|column| column.field(draft))
            .collect();
        if !sums.is_empty() {
            groups.push(Group::open(sums));
        }
        groups.push(Group::open(vec![Field::area(draft, "note", "Note")]));
        groups
    }

    fn more(&self) -> Option<&'static str> {
        Some("More lines")
    }

    fn add_more(&self, fields: &mut Fields) {
        let more = (lines_shown(fields) + 4).min(MOST_LINES);
        fields.set("lines", &more.to_string());
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let block = block_named(reader, known);
        let date = reader.past_date("date", "Type the day on which it was counted.", known.today);
        let time = reader.time("time");
        let lines = lines_shown(reader.fields());
        let counts: Vec<ClusterCount> = (1..=lines)
            .filter_map(|line| count(reader, known, line))
            .collect();
        let weights_g: Vec<f64> = (1..=lines)
            .filter_map(|line| weight(reader, known, line))
            .collect();
        for column in columns(lines) {
            column.compare(reader);
        }
        if counts.is_empty() && weights_g.is_empty() && reader.problems.is_empty() {
            reader.wrong("clusters_1", "Type at least one count or one weight.");
        }
        let card = ClusterCard {
            block: block?,
            date: date?,
            time,
            counts,
            weights_g,
            note: reader.text("note"),
        };
        Some(card.into())
    }

    fn happened(&self, values: &Values) -> Happened {
        match values {
            Values::Clusters(card) => Happened {
                date: Some(card.date),
                time: card.time,
                offset: None,
            },
            _ => Happened::default(),
        }
    }

    fn read_back(&self, values: &Values, known: &Known) -> ReadBack {
        match values {
            Values::Clusters(card) => read_back(card, known),
            _ => ReadBack::default(),
        }
    }

    fn next(&self, _values: Option<&Values>) -> Option<(String, String)> {
        Some(("/clusters/new".to_owned(), "The next card".to_owned()))
    }
}

fn count(reader: &mut Reader, known: &Known, line: u16) -> Option<ClusterCount> {
    let [at, clusters, remark] = ["at", "clusters", "remark"].map(|part| format!("{part}_{line}"));
    let typed = reader.text(&at);
    let place = typed.map(|_| vine_at(reader, &at, known));
    let count = reader.count(&clusters, 0, 400);
    if reader.text(&clusters).is_none() && (place.is_some() || reader.fields().has(&remark)) {
        reader.wrong(
            &clusters,
            "How many clusters? Type 0 for none, ? where the card can't be read.",
        );
    }
    let place = match place {
        Some(found) => Some(found?),
        None => None,
    };
    Some(ClusterCount {
        at: place,
        clusters: count?,
        remark: reader.text(&remark),
    })
}

fn weight(reader: &mut Reader, known: &Known, line: u16) -> Option<f64> {
    let name = format!("weight_{line}");
    let quantity = Quantity::SmallMass(known.units().small_mass());
    let grams = reader
        .measure(&name, quantity, Expect::default())?
        .canonical;
    if !(1.0..=HEAVIEST_G).contains(&grams) {
        let typed = reader.raw(&name).to_owned();
        let said = words::number(grams, 0);
        reader.ask(
            &name,
            format!("{typed} is {said} g. Is that one cluster?"),
            &[Reading::stands(&name, &typed)],
        );
    }
    Some(grams)
}

fn read_back(card: &ClusterCard, known: &Known) -> ReadBack {
    let called = known.block_called(card.block);
    let mut read = ReadBack::titled(format!(
        "Clusters of {called}, {}",
        words::day_and_year(card.date)
    ));
    if let Some(mean) = card.mean_clusters() {
        let vines = words::counted(card.counts.len(), "vine", "vines");
        let (sum, mean) = (card.clusters(), words::number(mean, 1));
        read.line("Clusters", format!("{sum} on {vines}, {mean} a vine"));
    }
    let small = known.units().small_mass();
    if let Some(mean) = card.mean_weight_g() {
        let weighed = words::counted(card.weights_g.len(), "cluster", "clusters");
        let mean = words::number(small.from_grams(mean), 1);
        read.line(
            "Weight",
            format!("{mean} {} a cluster, {weighed} weighed", small.symbol()),
        );
    }
    for (place, one) in card.counts.iter().enumerate() {
        let at = one
            .at
            .as_ref()
            .map_or_else(|| format!("Stop {}", place + 1), ToString::to_string);
        let remark = one
            .remark
            .as_deref()
            .map_or_else(String::new, |text| format!("; {text}"));
        read.line(at, format!("{}{remark}", one.clusters));
    }
    let weights: Vec<String> = card
        .weights_g
        .iter()
        .map(|grams| words::number(small.from_grams(*grams), 1))
        .collect();
    read.maybe("Weights", Some(weights.join(", ")));
    read.maybe("Time", card.time.map(words::clock));
    read.maybe("Note", card.note.as_deref());
    read.place = Some(("/clusters".to_owned(), "All cluster cards".to_owned()));
    read
}
