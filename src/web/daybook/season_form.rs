//! "Close a season": its year, and a note. Nothing is refused afterwards.
//! Not here: the mark on what comes later (`daybook`).

use chrono::Datelike;

use crate::science::daybook::SeasonClosed;
use crate::store::ledger::{Fields, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader};
use crate::web::harvest::Vineyard;
use crate::web::known::Known;
use crate::web::words::{self, ReadBack};

/// A season that is closed.
pub struct SeasonForm;

const FIRST_YEAR: u16 = 1900;
const LAST_YEAR: u16 = 2999;

impl Form for SeasonForm {
    fn kind(&self) -> Kind {
        Kind::SeasonClosed
    }

    fn heading(&self) -> &'static str {
        "Close a season"
    }

    fn intro(&self, known: &Known, _vineyard: &Vineyard, _typed: &Fields) -> Vec<String> {
        let years: Vec<String> = known
            .closed_seasons
            .iter()
            .map(|one| one.year.to_string())
            .collect();
        let mut intro = vec![
            "When all cards of a year are typed in. What comes in about that year afterwards is \
             kept as ever, and marked as later."
                .to_owned(),
        ];
        if !years.is_empty() {
            intro.push(format!("Closed so far: {}.", words::list(&years)));
        }
        intro
    }

    fn path(&self) -> &'static str {
        "/seasons"
    }

    /// In winter it is the year before that is closed.
    fn blank(&self, known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        let year = known.today.year() - i32::from(known.today.month() < 7);
        fields.set("year", &year.to_string());
        fields
    }

    fn groups(&self, draft: &Draft, _known: &Known) -> Vec<Group> {
        vec![Group::open(vec![
            Field::whole(draft, "year", "Year"),
            Field::area(draft, "note", "Note").hint("What the year was like. May stay empty."),
        ])]
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let year = reader.whole("year", FIRST_YEAR, LAST_YEAR).map(i32::from);
        let note = reader.text("note");
        let Some(year) = year else {
            if reader.problems.is_empty() {
                reader.wrong("year", "Type the year.");
            }
            return None;
        };
        if year > known.today.year() {
            reader.wrong("year", format!("{year} has not come yet."));
            return None;
        }
        let closed = known.closed_seasons.iter().find(|one| one.year == year);
        if closed.is_some_and(|one| reader.correcting != Some(one.record)) {
            reader.wrong("year", format!("{year} is closed already."));
            return None;
        }
        Some(SeasonClosed { year, note }.into())
    }

    fn read_back(&self, values: &Values, _known: &Known) -> ReadBack {
        let Values::SeasonClosed(closed) = values else {
            return ReadBack::default();
        };
        let mut read = ReadBack::titled(format!("Season {} closed", closed.year));
        read.maybe("Note", closed.note.as_deref());
        read.place = Some(("/house".to_owned(), "House".to_owned()));
        read
    }
}
