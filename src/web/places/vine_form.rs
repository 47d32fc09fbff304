//! The vine census: what happened to a vine at an address. Gone vines keep their number.
//! Not here: counts (`science::places::census`).

use chrono::{Datelike, NaiveDate};

use super::address::which_is_meant;
use crate::science::places::census::history;
use crate::science::places::{Address, Reading as Address_, VineChange, VineEvent, parse_address};
use crate::science::places::{VineAddress, read_back};
use crate::store::ledger::{Fields, Happened, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader, Reading};
use crate::web::known::Known;
use crate::web::words::{self, ReadBack};

/// What happened to one vine.
pub struct VineForm;

const CHANGES: &[(&str, &str, VineChange)] = &[
    ("gone", "Gone", VineChange::Gone),
    ("weak", "Weak", VineChange::Weak),
    ("replanted", "Replanted", VineChange::Replanted),
    ("planted", "Planted", VineChange::Planted),
    ("grafted", "Grafted", VineChange::Grafted),
];

impl Form for VineForm {
    fn kind(&self) -> Kind {
        Kind::Vine
    }

    fn heading(&self) -> &'static str {
        "A vine"
    }

    fn path(&self) -> &'static str {
        "/vines"
    }

    fn blank(&self, known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        if !fields.has("date") {
            fields.set("date", &known.today.to_string());
        }
        fields
    }

    fn groups(&self, draft: &Draft, _known: &Known) -> Vec<Group> {
        let changes = CHANGES
            .iter()
            .map(|(value, label, _)| ((*value).to_owned(), (*label).to_owned()));
        vec![Group::open(vec![
            Field::text(draft, "address", "Address")
                .hint("Row, panel, vine, counted from the home end: c4 7 2"),
            Field::one(draft, "change", "What", changes).carried(),
            Field::date(draft, "date", "Day").carried(),
            Field::text(draft, "variety", "Variety, if replanted or grafted"),
            Field::whole(draft, "bearing_from", "Bearing from the year"),
        ])]
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let at = vine_at(reader, "address", known);
        let change = CHANGES
            .iter()
            .find(|(value, _, _)| *value == reader.raw("change"))
            .map(|(_, _, change)| *change);
        if change.is_none() {
            reader.wrong("change", "Choose what happened to the vine.");
        }
        let date = reader.needed_date("date", "Type the day.");
        let bearing_from = reader.whole("bearing_from", 1900, 2200).map(i32::from);
        if let (Some(at), Some(date), Some(VineChange::Gone)) = (&at, date, change) {
            ask_about_gone(reader, known, at, date);
        }
        let event = VineEvent {
            at: at?,
            date: date?,
            what: change?,
            variety: reader.text("variety"),
            bearing_from,
        };
        Some(event.into())
    }

    fn happened(&self, values: &Values) -> Happened {
        match values {
            Values::Vine(event) => Happened {
                date: Some(event.date),
                ..Happened::default()
            },
            _ => Happened::default(),
        }
    }

    fn read_back(&self, values: &Values, known: &Known) -> ReadBack {
        let Values::Vine(event) = values else {
            return ReadBack::default();
        };
        let what = CHANGES
            .iter()
            .find(|(_, _, change)| *change == event.what)
            .map_or("", |(_, label, _)| label);
        let mut read = ReadBack::titled(format!("{}: {}", event.at, what.to_lowercase()));
        let address = Address::Vine(event.at.clone());
        read.line(
            "Where",
            crate::science::places::read_back(&address, &known.all_rows()),
        );
        read.line("Day", words::day_and_year(event.date));
        read.maybe("Variety", event.variety.as_deref());
        read.maybe(
            "Bearing from",
            event.bearing_from.map(|year| year.to_string()),
        );
        read.place = Some(("/vines".to_owned(), "The vine census".to_owned()));
        read
    }

    fn next(&self, _values: Option<&Values>) -> Option<(String, String)> {
        Some(("/vines/new".to_owned(), "The next vine".to_owned()))
    }
}

/// A vine goes once: what is written down as gone already is asked about.
fn ask_about_gone(reader: &mut Reader, known: &Known, at: &VineAddress, date: NaiveDate) {
    let gone_by = |day| history(at, &known.vines, day).pop()?.gone;
    let Some(since) = gone_by(NaiveDate::MAX).or_else(|| gone_by(date)) else {
        return;
    };
    // The entry that is corrected is one of those written down.
    if reader.correcting.is_some() {
        return;
    }
    let typed = reader.raw("address").to_owned();
    reader.ask(
        "address",
        format!(
            "{at} is already written down as gone since {}.",
            since_day(since, known.today)
        ),
        &[Reading {
            label: "Write it down all the same".to_owned(),
            changes: vec![("address".to_owned(), typed)],
        }],
    );
}

/// "8 May", with the year where it is another than today's.
pub fn since_day(since: NaiveDate, today: NaiveDate) -> String {
    let day = words::short_day(since);
    match since.year() == today.year() {
        true => day,
        false => format!("{day} {}", since.year()),
    }
}

/// The vine a field names. What could be two addresses is asked about, never guessed.
pub fn vine_at(reader: &mut Reader, name: &str, known: &Known) -> Option<VineAddress> {
    let typed = reader.needed(name, "Type the address: row, panel, vine, such as c4 7 2.")?;
    let rows = known.all_rows();
    match parse_address(&typed, &rows) {
        Ok(Address_::Clear(Address::Vine(at))) => Some(at),
        Ok(Address_::Clear(other)) => {
            let said = read_back(&other, &rows);
            reader.wrong(name, format!("\"{typed}\" is {said}, not a single vine."));
            None
        }
        Ok(Address_::Ambiguous(candidates)) => {
            let readings: Vec<Reading> = candidates
                .iter()
                .map(|one| Reading {
                    label: read_back(one, &rows),
                    changes: vec![(name.to_owned(), one.to_string())],
                })
                .collect();
            reader.wrong_unless(name, which_is_meant(&typed, &candidates), &readings);
            None
        }
        Err(error) => {
            reader.wrong(name, error.to_string());
            None
        }
    }
}
