//! Reads typed fields into values, collecting every problem instead of stopping at the first.
//! What is unusual is asked once; what can't be is a problem until it is mended or kept as typed.
//! Not here: which values are unusual (`science::ripeness::doubt` and the rooms).

use std::collections::HashSet;

use chrono::{NaiveDate, NaiveTime};
use uuid::Uuid;

use super::protocol::{self, ANSWER, ASKED, Answer};
use crate::science::number::{Bound, Expect, Number as PlainNumber, parse, text};
use crate::science::ripeness::doubt;
use crate::science::units::{self, Quantity};
use crate::store::ledger::Fields;
use crate::web::words;

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

impl Problem {
    /// What is plainly wrong with a field.
    pub fn new(field: &str, text: impl Into<String>) -> Self {
        Self {
            field: field.to_owned(),
            text: text.into(),
            offers: Vec::new(),
            asked: None,
        }
    }
}

/// One answer to tap.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    pub label: String,
    /// The name under which its button sends the value.
    pub name: &'static str,
    /// The packed answers its button sends.
    pub value: String,
}

pub use crate::science::units::Measured as Number;

/// Reads the fields of one form.
pub struct Reader<'a> {
    fields: &'a Fields,
    answers: Vec<Answer>,
    asked: HashSet<String>,
    /// The record that the fields are to correct or mend.
    pub correcting: Option<Uuid>,
    /// The fields are copied from a paper card: "?" stands for what can't be read on it.
    pub from_paper: bool,
    pub problems: Vec<Problem>,
}

impl<'a> Reader<'a> {
    pub fn new(fields: &'a Fields) -> Self {
        let answers = answers(fields);
        let tapped = answers.iter().filter_map(|one| one.key.clone());
        Self {
            fields,
            asked: fields.all(ASKED).map(str::to_owned).chain(tapped).collect(),
            answers,
            correcting: None,
            from_paper: false,
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

    /// The text of a number; none when nothing was typed or the card can't be read there.
    fn number_text(&self, name: &str) -> Option<String> {
        self.text(name)
            .filter(|text| !self.from_paper || !text.chars().all(|sign| sign == '?'))
    }

    /// A measure in its stored unit; none when blank or not understood (then a problem is noted).
    pub fn measure(&mut self, name: &str, quantity: Quantity, expect: Expect) -> Option<Number> {
        let text = self.number_text(name)?;
        match units::read(&text, quantity, &expect) {
            Ok(read) => {
                self.ask_about_bound(name, &text, &read.number);
                Some(read)
            }
            Err(error) => {
                self.wrong(name, error.to_string());
                None
            }
        }
    }

    /// A plain number without a unit. It is set or counted exactly, so that "about", "below" and
    /// "above" make no sense in it.
    pub fn number(&mut self, name: &str, expect: Expect) -> Option<f64> {
        let read = self.bare(name, expect)?;
        if let Some(bound) = read.bound {
            let sign = bound.sign();
            self.wrong(name, format!("Type the number itself, without \"{sign}\"."));
            return None;
        }
        Some(read.value)
    }

    /// A number without a unit, with what stood before it.
    fn bare(&mut self, name: &str, expect: Expect) -> Option<PlainNumber> {
        let text = self.number_text(name)?;
        match parse(&text, &expect) {
            Ok(read) if read.suffix.is_none() => Some(read),
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

    /// A whole number from `least` to `most`, such as a bag's: no number about another.
    pub fn whole(&mut self, name: &str, least: u16, most: u16) -> Option<u16> {
        let value = self.number(name, Expect::up_to(f64::from(most)))?;
        self.whole_of(name, value, least, most)
    }

    /// A count from `least` to `most`; "~50" is asked about.
    pub fn count(&mut self, name: &str, least: u16, most: u16) -> Option<u16> {
        let text = self.number_text(name)?;
        let read = self.bare(name, Expect::up_to(f64::from(most)))?;
        self.ask_about_bound(name, &text, &read);
        self.whole_of(name, read.value, least, most)
    }

    fn whole_of(&mut self, name: &str, value: f64, least: u16, most: u16) -> Option<u16> {
        if value.fract() == 0.0 && value >= f64::from(least) && value <= f64::from(most) {
            Some(value as u16)
        } else {
            self.wrong(name, format!("Type a whole number from {least} to {most}."));
            None
        }
    }

    /// A percentage from 0 to 100; a typed % sign is fine.
    pub fn percent(&mut self, name: &str) -> Option<f64> {
        let text = self.number_text(name)?;
        let bare = text.trim_end_matches('%').trim_end();
        match parse(bare, &Expect::up_to(100.0)) {
            Ok(read) if read.suffix.is_none() && (0.0..=100.0).contains(&read.value) => {
                self.ask_about_bound(name, &text, &read);
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
        if let Some(date) = date
            && let Some(doubt) = doubt::of_date(date, today, None)
        {
            let typed = self.raw(name).to_owned();
            let stands = Reading::date_stands(name, &typed, date);
            self.ask(name, doubt.to_string(), &[stands]);
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
            offers: self.offers(readings, None),
            asked: None,
        });
    }

    /// Asks about what is unusual, once: the same question about the same typed text is not asked
    /// again. An answer silences its own question and no other. Tells whether it was asked now.
    pub fn ask(&mut self, field: &str, text: impl Into<String>, readings: &[Reading]) -> bool {
        let text = text.into();
        // Line ends change on their way through a browser.
        let typed: Vec<&str> = self.fields.first(field).split_whitespace().collect();
        let key = protocol::question_key(field, &typed.join(" "), &text);
        if !self.asked.insert(key.clone()) {
            return false;
        }
        self.problems.push(Problem {
            field: field.to_owned(),
            text,
            offers: self.offers(readings, Some(&key)),
            asked: Some(key),
        });
        true
    }

    /// The same where the whole page may be a mistake: one more answer keeps what was typed and
    /// takes it back at once.
    pub fn ask_unless_mistaken(
        &mut self,
        field: &str,
        text: impl Into<String>,
        readings: &[Reading],
    ) {
        if self.ask(field, text, readings)
            && let Some(problem) = self.problems.last_mut()
        {
            problem.offers.push(Offer {
                label: "Mine is a mistake".to_owned(),
                name: protocol::MISTAKE,
                value: "yes".to_owned(),
            });
        }
    }

    /// A bound such as "<5" or "~50": the number beside it is taken, which is asked once. The text
    /// is kept as it was typed.
    fn ask_about_bound(&mut self, name: &str, typed: &str, read: &PlainNumber) {
        if let Some((words, bare)) = bound_words(typed, read) {
            self.ask(name, words, &[Reading::yes(name, bare)]);
        }
    }

    fn offers(&self, readings: &[Reading], key: Option<&str>) -> Vec<Offer> {
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
                        key: key.map(str::to_owned),
                    })
                    .collect();
                Offer {
                    label: reading.label.clone(),
                    name: protocol::TAP,
                    value: Answer::packed(&answers),
                }
            })
            .collect()
    }
}

/// What is asked about a number that is a bound, and the text without the bound.
pub fn bound_words(typed: &str, read: &PlainNumber) -> Option<(String, String)> {
    let says = match read.bound? {
        Bound::About => "about",
        Bound::Below => "below",
        Bound::Above => "above",
    };
    let plain = text::plain(typed);
    let mut rest = plain.chars();
    rest.next();
    let bare = rest.as_str().trim().to_owned();
    let typed = text::quoted(typed);
    Some((
        format!("\"{typed}\" says {says} {bare}. Take {bare}?"),
        bare,
    ))
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

    /// "It is right so", where the text itself is not in question.
    pub fn kept(field: &str, typed: &str) -> Self {
        Self {
            label: "It is right so".to_owned(),
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

    /// "Yes, 14 Sept 2027 is right": a date stands.
    pub fn date_stands(field: &str, typed: &str, date: NaiveDate) -> Self {
        Self {
            label: format!("Yes, {} is right", day(date)),
            changes: vec![(field.to_owned(), typed.to_owned())],
        }
    }
}

/// "14 Sept 2027"
fn day(date: NaiveDate) -> String {
    format!(
        "{} {}",
        words::short_day(date),
        chrono::Datelike::year(&date)
    )
}

/// All the keeper agreed to so far.
pub fn answers(fields: &Fields) -> Vec<Answer> {
    fields.all(ANSWER).flat_map(Answer::unpacked).collect()
}
