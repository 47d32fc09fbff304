//! Figures of judgement the keeper may change. A later sheet names the ones that differ.
//! Not here: where each comes from (`science::ripeness::assumptions`, shown by `how`).

use std::str::FromStr;

use crate::science::number::Expect;
use crate::science::ripeness::alcohol::Rule;
use crate::science::ripeness::{Assumptions, Attribute};
use crate::store::ledger::{Fields, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader};
use crate::web::known::Known;
use crate::web::words::{self, ReadBack};

/// The figures offered: the field, its words, and where the figure lives.
pub struct AssumptionsForm;

type Place = fn(&mut Assumptions) -> &mut f64;

/// Field name, what it is, unit, and the figure itself.
const FIGURES: &[(&str, &str, &str, Place)] = &[
    (
        "brix_bag",
        "°Brix: spread of one bag of 100 berries",
        "°Brix",
        |all| &mut all.brix.bag_sd,
    ),
    (
        "brix_instrument",
        "°Brix: error of the instrument",
        "°Brix",
        |all| &mut all.brix.instrument_sd,
    ),
    (
        "brix_margin",
        "°Brix: how far beyond the target the block can get",
        "°Brix",
        |all| &mut all.brix.plateau_margin,
    ),
    ("brix_margin_sd", "°Brix: spread of that", "°Brix", |all| {
        &mut all.brix.plateau_sd
    }),
    (
        "brix_seasons",
        "°Brix: spread from season to season",
        "°Brix",
        |all| &mut all.brix.between_seasons_sd,
    ),
    ("ph_bag", "pH: spread of one bag", "", |all| {
        &mut all.ph.bag_sd
    }),
    ("ph_instrument", "pH: error of the meter", "", |all| {
        &mut all.ph.instrument_sd
    }),
    ("ta_bag", "Acid: spread of one bag", "g/L", |all| {
        &mut all.ta.bag_sd
    }),
    (
        "ta_instrument",
        "Acid: error of the titration",
        "g/L",
        |all| &mut all.ta.instrument_sd,
    ),
    (
        "memory",
        "Days after which a rain dip has faded to a third",
        "days",
        |all| &mut all.wobble_memory_days,
    ),
    ("bad_share", "Share of readings that are off", "", |all| {
        &mut all.bad_share
    }),
    (
        "rot_limit",
        "Rot at which you decide whatever the sugar",
        "%",
        |all| &mut all.rot_limit_percent,
    ),
];

/// A rule for potential alcohol as pages say it.
pub fn rule_words(rule: Rule) -> String {
    match rule {
        Rule::Factor(hundredths) => format!("0.{hundredths} × °Brix"),
        Rule::TableFit => "the fit of the European must table".to_owned(),
    }
}

impl Form for AssumptionsForm {
    fn kind(&self) -> Kind {
        Kind::Assumptions
    }

    fn heading(&self) -> &'static str {
        "Figures of judgement"
    }

    fn path(&self) -> &'static str {
        "/assumptions"
    }

    fn blank(&self, known: &Known, _asked: &Fields) -> Fields {
        let mut all = known.assumptions.clone();
        let mut fields: Fields = FIGURES
            .iter()
            .map(|(name, _, _, place)| (*name, place(&mut all).to_string()))
            .collect();
        fields.set("alcohol_rule", &all.alcohol_rule.to_string());
        fields
    }

    fn groups(&self, draft: &Draft, _known: &Known) -> Vec<Group> {
        let mut start = Assumptions::default();
        let mut fields: Vec<Field> = FIGURES
            .iter()
            .map(|(name, what, unit, place)| {
                Field::decimal(draft, name, *what)
                    .unit(*unit)
                    .hint(format!("Endpost starts with {}.", place(&mut start)))
            })
            .collect();
        let rules = Rule::ALL.map(|rule| (rule.to_string(), rule_words(rule)));
        fields.push(Field::one(
            draft,
            "alcohol_rule",
            "Potential alcohol by",
            rules,
        ));
        vec![Group::open(fields).hint(
            "Most of these are judgement, not published figures; the page \"How we figure\" \
                 says which. A change counts from now on and is kept in the history.",
        )]
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let mut all = known.assumptions.clone();
        for (name, _, _, place) in FIGURES {
            match reader.text(name) {
                None => reader.wrong(name, "Type a number."),
                Some(_) => {
                    if let Some(value) = reader.number(name, Expect::up_to(99.0)) {
                        *place(&mut all) = value;
                    }
                }
            }
        }
        match Rule::from_str(reader.raw("alcohol_rule")) {
            Ok(rule) => all.alcohol_rule = rule,
            Err(_) => reader.wrong("alcohol_rule", "Choose a rule."),
        }
        if let Err(error) = all.check() {
            reader.wrong("brix_bag", error.to_string());
        }
        let wider = |attribute| {
            let of = all.of(attribute);
            of.between_seasons_sd >= of.plateau_sd
        };
        if Attribute::ALL.into_iter().any(wider) {
            reader.wrong(
                "brix_seasons",
                "The spread from season to season must be smaller than that of how far the \
                 block can get.",
            );
        }
        Some(all.into())
    }

    fn read_back(&self, values: &Values, _known: &Known) -> ReadBack {
        let Values::Assumptions(all) = values else {
            return ReadBack::default();
        };
        let mut all = all.clone();
        let mut start = Assumptions::default();
        let mut read = ReadBack::titled("Figures of judgement");
        for (_, what, unit, place) in FIGURES {
            let (now, first) = (*place(&mut all), *place(&mut start));
            if now != first {
                read.line(
                    *what,
                    format!(
                        "{} {unit} (at first {})",
                        words::plain(now),
                        words::plain(first)
                    ),
                );
            }
        }
        read.line("Potential alcohol by", rule_words(all.alcohol_rule));
        if read.lines.len() == 1 {
            read.line("All others", "as Endpost starts with");
        }
        read.place = Some(("/how".to_owned(), "How we figure".to_owned()));
        read
    }
}
