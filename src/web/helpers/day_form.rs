//! What helpers do on a day, as the keeper writes it down: five lines, and what not to touch.
//! Not here: where helpers read it (`first`, `sheet`).

use crate::science::helpers::{DayList, MOST_NOT_TO_TOUCH, MOST_TO_DO, lines_of};
use crate::store::ledger::{Fields, Happened, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader, Reading};
use crate::web::known::Known;
use crate::web::words::{self, ReadBack};

/// A list further ahead than this is more likely a slip of the date.
const FAR_AHEAD_DAYS: i64 = 60;

/// The list of one day. Who saves another for that day changes it.
pub struct DayForm;

impl Form for DayForm {
    fn kind(&self) -> Kind {
        Kind::DayList
    }

    fn heading(&self) -> &'static str {
        "What helpers do on a day"
    }

    fn path(&self) -> &'static str {
        "/helpers/day"
    }

    fn blank(&self, known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        if !fields.has("date") {
            fields.set("date", &known.today.to_string());
        }
        fields
    }

    fn groups(&self, draft: &Draft, _known: &Known) -> Vec<Group> {
        vec![Group::open(vec![
            Field::date(draft, "date", "Day")
                .hint("One list a day: what is saved last for a day counts."),
            Field::area(draft, "to_do", "What to do")
                .hint("A line for each thing, five at most. Begin with when and where."),
            Field::area(draft, "not_to_touch", "What not to touch")
                .hint("A line for each thing, three at most."),
        ])]
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let date = reader.needed_date("date", "Type the day that the list is for.");
        if let Some(date) = date {
            let ahead = (date - known.today).num_days();
            let said = words::day_and_year(date);
            let doubt = match ahead {
                ..0 => Some(format!("{said} is over. Is the list for that day?")),
                _ if ahead > FAR_AHEAD_DAYS => Some(format!(
                    "{said} is {ahead} days ahead. Is the list for that day?"
                )),
                _ => None,
            };
            if let Some(doubt) = doubt {
                let typed = reader.raw("date").to_owned();
                reader.ask("date", doubt, &[Reading::date_stands("date", &typed, date)]);
            }
        }
        let to_do = lines(reader, "to_do", MOST_TO_DO);
        let not_to_touch = lines(reader, "not_to_touch", MOST_NOT_TO_TOUCH);
        if to_do.as_ref().is_some_and(Vec::is_empty) {
            reader.wrong("to_do", "Type at least one line.");
        }
        let list = DayList {
            date: date?,
            to_do: to_do.filter(|lines| !lines.is_empty())?,
            not_to_touch: not_to_touch?,
        };
        Some(list.into())
    }

    fn happened(&self, values: &Values) -> Happened {
        match values {
            Values::DayList(list) => Happened {
                date: Some(list.date),
                ..Happened::default()
            },
            _ => Happened::default(),
        }
    }

    fn read_back(&self, values: &Values, _known: &Known) -> ReadBack {
        let Values::DayList(list) = values else {
            return ReadBack::default();
        };
        let day = words::day_and_year(list.date);
        let mut read = ReadBack::titled(format!("What helpers do on {day}"));
        for (number, line) in (1..).zip(&list.to_do) {
            read.line(format!("To do, {number}"), line);
        }
        for line in &list.not_to_touch {
            read.line("Not to touch", line);
        }
        read.place = Some(("/helpers".to_owned(), "What helpers see".to_owned()));
        read
    }

    fn next(&self, _values: Option<&Values>) -> Option<(String, String)> {
        Some(("/helpers/sheet".to_owned(), "The helpers' sheet".to_owned()))
    }
}

fn lines(reader: &mut Reader, name: &str, most: usize) -> Option<Vec<String>> {
    match lines_of(reader.raw(name), most) {
        Ok(lines) => Some(lines),
        Err(error) => {
            reader.wrong(name, error.to_string());
            None
        }
    }
}
