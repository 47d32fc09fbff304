//! Reads typed fields into values, collecting every problem instead of stopping at the first.
//! What is unusual is asked once; what can't be is a problem until it is mended or kept as typed.
//! Not here: which values are unusual (`science::ripeness::doubt` and the rooms).

use std::collections::HashSet;

use chrono::{NaiveDate, NaiveTime};

use super::protocol::{ANSWER, ASKED, Answer};
use crate::science::number::Expect;
use crate::science::ripeness::doubt;
use crate::science::units::{self, Quantity};
use crate::store::ledger::Fields;

/// One thing that is wrong or asked about a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    pub field: String,
    pub text: String,
    /// Answers to tap; empty when only the typed text can be mended.
    pub offers: Vec<Offer>,
    /// The question's key, when it is one to be asked only once.
    pub asked: Option<String>,
}

/// One answer to tap.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    pub label: String,
    /// The packed answers its button sends.
    pub value: String,
}

pub use crate::science::units::Measured as Number;

/// Reads the fields of one form.
pub struct Reader<'a> {
    fields: &'a Fields,
    answers: Vec<Answer>,
    asked: HashSet<String>,
    /// The fields are to correct or mend an earlier entry.
    pub correcting: bool,
    pub problems: Vec<Problem>,
}

impl<'a> Reader<'a> {
    pub fn new(fields: &'a Fields) -> Self {
        Self {
            fields,
            answers: answers(fields),
            asked: fields.all(ASKED).map(str::to_owned).collect(),
            correcting: false,
            problems: Vec::new(),
        }
    }

    pub fn fields(&self) -> &'a Fields {
        self.fields
    }

    /// The typed text of a field, or what the keeper agreed to read it as.
    pub fn raw(&self, name: &str) -> &str {
        let typed = self.fields.first(name);
        self.answer(name).map_or(typed, |one| &one.read_as)
    }

    fn answer(&self, name: &str) -> Option<&Answer> {
        let typed = self.fields.first(name);
        self.answers
            .iter()
            .rev()
            .find(|one| one.field == name && one.typed == typed)
    }

    /// Whether the keeper tapped an answer for this field as it is typed now.
    pub fn answered(&self, name: &str) -> bool {
        self.answer(name).is_some()
    }

    /// Text without blanks around it; none when nothing was typed.
    pub fn text(&self, name: &str) -> Option<String> {
        let text = self.raw(name).trim();
        (!text.is_empty()).then(|| text.to_owned())
    }

    /// Text that must be there; `missing` says what to type.
    pub fn needed(&mut self, name: &str, missing: &str) -> Option<String> {
        let text = self.text(name);
        if text.is_none() {
            self.wrong(name, missing);
        }
        text
    }

    pub fn tick(&self, name: &str) -> bool {
        self.fields.has(name)
    }

    /// A measure in its stored unit; none when blank or not understood (then a problem is noted).
    pub fn measure(&mut self, name: &str, quantity: Quantity, expect: Expect) -> Option<Number> {
        let text = self.text(name)?;
        match units::read(&text, quantity, &expect) {
            Ok(read) => Some(read),
            Err(error) => {
                self.wrong(name, error.to_string());
                None
            }
        }
    }

    /// A plain number without a unit.
    pub fn number(&mut self, name: &str, expect: Expect) -> Option<f64> {
        let text = self.text(name)?;
        match crate::science::number::parse(&text, &expect) {
            Ok(read) if read.suffix.is_none() => Some(read.value),
            Ok(read) => {
                let unit = read.suffix.unwrap_or_default();
                self.wrong(
                    name,
                    format!("This field takes a number alone, without \"{unit}\"."),
                );
                None
            }
            Err(error) => {
                self.wrong(name, error.to_string());
                None
            }
        }
    }

    /// A whole number from `least` to `most`.
    pub fn whole(&mut self, name: &str, least: u16, most: u16) -> Option<u16> {
        let value = self.number(name, Expect::up_to(f64::from(most)))?;
        if value.fract() == 0.0 && value >= f64::from(least) && value <= f64::from(most) {
            Some(value as u16)
        } else {
            self.wrong(name, format!("Type a whole number from {least} to {most}."));
            None
        }
    }

    /// A percentage from 0 to 100; a typed % sign is fine.
    pub fn percent(&mut self, name: &str) -> Option<f64> {
        let text = self.text(name)?;
        let bare = text.trim_end_matches('%').trim_end();
        match crate::science::number::parse(bare, &Expect::up_to(100.0)) {
            Ok(read) if read.suffix.is_none() && (0.0..=100.0).contains(&read.value) => {
                Some(read.value)
            }
            Ok(_) => {
                self.wrong(name, "Type a percentage from 0 to 100.");
                None
            }
            Err(error) => {
                self.wrong(name, error.to_string());
                None
            }
        }
    }

    /// A date as the date field sends it: 2027-09-14.
    pub fn date(&mut self, name: &str) -> Option<NaiveDate> {
        let text = self.text(name)?;
        match NaiveDate::parse_from_str(&text, "%Y-%m-%d") {
            Ok(date) if (1900..=2999).contains(&chrono::Datelike::year(&date)) => Some(date),
            _ => {
                self.wrong(
                    name,
                    format!("\"{text}\" is not a date as it is read here. Write 2027-09-14 for 14 September 2027."),
                );
                None
            }
        }
    }

    /// A date that must be there.
    pub fn needed_date(&mut self, name: &str, missing: &str) -> Option<NaiveDate> {
        if self.text(name).is_none() {
            self.wrong(name, missing);
            return None;
        }
        self.date(name)
    }

    /// A date that must be there; one still to come is asked about.
    pub fn past_date(&mut self, name: &str, missing: &str, today: NaiveDate) -> Option<NaiveDate> {
        let date = self.needed_date(name, missing);
        if let Some(doubt) = date.and_then(|date| doubt::of_date(date, today, None)) {
            let typed = self.raw(name).to_owned();
            self.ask(name, doubt.to_string(), &[Reading::stands(name, &typed)]);
        }
        date
    }

    /// A clock time: 07:30, 7:30 or 7.30.
    pub fn time(&mut self, name: &str) -> Option<NaiveTime> {
        let text = self.text(name)?;
        let plain = text.replace('.', ":");
        let read = NaiveTime::parse_from_str(&plain, "%H:%M")
            .or_else(|_| NaiveTime::parse_from_str(&plain, "%H:%M:%S"));
        match read {
            Ok(time) => Some(time),
            Err(_) => {
                self.wrong(
                    name,
                    format!("\"{text}\" is not a time of day. Write 07:30 or 18:30."),
                );
                None
            }
        }
    }

    /// Notes something that can't stand as it is.
    pub fn wrong(&mut self, field: &str, text: impl Into<String>) {
        self.wrong_unless(field, text, &[]);
    }

    /// Notes something that can't stand as it is, with answers to tap that would mend it.
    pub fn wrong_unless(&mut self, field: &str, text: impl Into<String>, readings: &[Reading]) {
        self.problems.push(Problem {
            field: field.to_owned(),
            text: text.into(),
            offers: self.offers(readings),
            asked: None,
        });
    }

    /// Asks about what is unusual, once: asked before, or answered, it is left alone.
    pub fn ask(&mut self, field: &str, text: impl Into<String>, readings: &[Reading]) {
        let text = text.into();
        let key = format!("{field}|{}|{text}", self.raw(field));
        if self.asked.contains(&key) || self.answered(field) {
            return;
        }
        self.problems.push(Problem {
            field: field.to_owned(),
            text,
            offers: self.offers(readings),
            asked: Some(key),
        });
    }

    fn offers(&self, readings: &[Reading]) -> Vec<Offer> {
        readings
            .iter()
            .map(|reading| {
                let answers: Vec<Answer> = reading
                    .changes
                    .iter()
                    .map(|(name, read_as)| Answer {
                        field: name.clone(),
                        typed: self.fields.first(name).to_owned(),
                        read_as: read_as.clone(),
                    })
                    .collect();
                Offer {
                    label: reading.label.clone(),
                    value: Answer::packed(&answers),
                }
            })
            .collect()
    }
}

/// An answer to tap: its label, and what each field is then read as.
pub struct Reading {
    pub label: String,
    pub changes: Vec<(String, String)>,
}

impl Reading {
    /// "Yes, 21.5": one field read as something else.
    pub fn yes(field: &str, read_as: impl Into<String>) -> Self {
        let read_as = read_as.into();
        Self {
            label: format!("Yes, {read_as}"),
            changes: vec![(field.to_owned(), read_as)],
        }
    }

    /// "Keep it as typed", where the text itself is not in question.
    pub fn kept(field: &str, typed: &str) -> Self {
        Self {
            label: "Keep it as typed".to_owned(),
            changes: vec![(field.to_owned(), typed.to_owned())],
        }
    }

    /// "No, 31 is right": the typed text stands.
    pub fn stands(field: &str, typed: &str) -> Self {
        Self {
            label: format!("It is {} as typed", typed.trim()),
            changes: vec![(field.to_owned(), typed.to_owned())],
        }
    }
}

/// All the keeper agreed to so far.
pub fn answers(fields: &Fields) -> Vec<Answer> {
    fields.all(ANSWER).flat_map(Answer::unpacked).collect()
}
