//! Fields as the one template part draws them: label, hint, what was typed, what is wrong.
//! Not here: HTML (`templates/parts/field.html`) and rules (`reader`).

use super::Problem;
use super::protocol::Answer;
use crate::store::ledger::Fields;

/// What was typed so far, with the problems found in it.
pub struct Draft<'a> {
    pub fields: &'a Fields,
    pub problems: &'a [Problem],
    pub answers: &'a [Answer],
}

/// A few fields that belong together.
pub struct Group {
    pub legend: Option<String>,
    pub hint: Option<String>,
    /// Folded away until it is needed; drawn open when something stands in it.
    pub folded: bool,
    /// Stays folded although something stands in it from the start.
    pub quiet: bool,
    /// Short fields side by side.
    pub beside: bool,
    /// Not on the paper card.
    pub on_screen_only: bool,
    pub fields: Vec<Field>,
}

impl Group {
    pub fn open(fields: Vec<Field>) -> Self {
        Self {
            legend: None,
            hint: None,
            folded: false,
            quiet: false,
            beside: false,
            on_screen_only: false,
            fields,
        }
    }

    pub fn named(legend: impl Into<String>, fields: Vec<Field>) -> Self {
        Self {
            legend: Some(legend.into()),
            ..Self::open(fields)
        }
    }

    pub fn folded(legend: impl Into<String>, fields: Vec<Field>) -> Self {
        Self {
            folded: true,
            ..Self::named(legend, fields)
        }
    }

    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    pub fn quiet(mut self) -> Self {
        self.quiet = true;
        self
    }

    pub fn beside(mut self) -> Self {
        self.beside = true;
        self
    }

    pub fn on_screen_only(mut self) -> Self {
        self.on_screen_only = true;
        self
    }

    /// Whether anything stands in the group or is wrong in it.
    pub fn in_use(&self) -> bool {
        let asked = |field: &Field| !field.problems.is_empty();
        let typed = |field: &Field| !self.quiet && field.holds_something();
        self.fields.iter().any(|field| asked(field) || typed(field))
    }
}

/// One of several to choose from.
#[derive(Clone)]
pub struct Choice {
    pub value: String,
    pub label: String,
    pub chosen: bool,
}

/// How a field is entered.
pub enum Control {
    /// A line of text; the word is the input mode ("text", "decimal", "numeric").
    Line(&'static str),
    Date,
    Time,
    Area,
    /// A line that nobody reads along, and that is never drawn again.
    Secret,
    /// A file of text.
    File,
    Tick,
    /// One of a few, as large buttons.
    One(Vec<Choice>),
    /// Any of a few.
    Several(Vec<Choice>),
    /// One of many.
    Pick(Vec<Choice>),
}

/// One field.
pub struct Field {
    pub name: String,
    pub label: String,
    pub unit: Option<String>,
    pub hint: Option<String>,
    pub value: String,
    pub control: Control,
    pub problems: Vec<String>,
    /// Set when the keeper agreed to read the typed text as another.
    pub read_as: Option<String>,
    /// Alike in a row of entries: out of range it stays for the next one.
    pub carried: bool,
    /// The field for the sum of the column this one stands in.
    pub adds_to: Option<&'static str>,
    /// The sum of a column so far, beside the field for the sum pencilled on the card.
    pub total: Option<String>,
}

impl Field {
    fn new(draft: &Draft, name: &str, label: impl Into<String>, control: Control) -> Self {
        let value = draft.fields.first(name).to_owned();
        let read_as = draft
            .answers
            .iter()
            .rev()
            .find(|one| one.field == name && one.typed == value && one.read_as != value)
            .map(|one| one.read_as.clone());
        Self {
            name: name.to_owned(),
            label: label.into(),
            unit: None,
            hint: None,
            value,
            control,
            problems: draft
                .problems
                .iter()
                .filter(|problem| problem.field == name)
                .map(|problem| problem.text.clone())
                .collect(),
            read_as,
            carried: false,
            adds_to: None,
            total: None,
        }
    }

    pub fn text(draft: &Draft, name: &str, label: impl Into<String>) -> Self {
        Self::new(draft, name, label, Control::Line("text"))
    }

    pub fn decimal(draft: &Draft, name: &str, label: impl Into<String>) -> Self {
        Self::new(draft, name, label, Control::Line("decimal"))
    }

    pub fn whole(draft: &Draft, name: &str, label: impl Into<String>) -> Self {
        Self::new(draft, name, label, Control::Line("numeric"))
    }

    pub fn date(draft: &Draft, name: &str, label: impl Into<String>) -> Self {
        Self::new(draft, name, label, Control::Date)
    }

    pub fn time(draft: &Draft, name: &str, label: impl Into<String>) -> Self {
        Self::new(draft, name, label, Control::Time)
    }

    pub fn area(draft: &Draft, name: &str, label: impl Into<String>) -> Self {
        Self::new(draft, name, label, Control::Area)
    }

    pub fn secret(draft: &Draft, name: &str, label: impl Into<String>) -> Self {
        Self::new(draft, name, label, Control::Secret)
    }

    pub fn file(draft: &Draft, name: &str, label: impl Into<String>) -> Self {
        Self::new(draft, name, label, Control::File)
    }

    pub fn tick(draft: &Draft, name: &str, label: impl Into<String>) -> Self {
        Self::new(draft, name, label, Control::Tick)
    }

    /// One of a few; `choices` are (value, label).
    pub fn one(
        draft: &Draft,
        name: &str,
        label: impl Into<String>,
        choices: impl IntoIterator<Item = (String, String)>,
    ) -> Self {
        let choices = choose(draft, name, choices);
        let control = match choices.len() {
            0..=12 => Control::One(choices),
            _ => Control::Pick(choices),
        };
        Self::new(draft, name, label, control)
    }

    /// Any of a few; `choices` are (value, label).
    pub fn several(
        draft: &Draft,
        name: &str,
        label: impl Into<String>,
        choices: impl IntoIterator<Item = (String, String)>,
    ) -> Self {
        let control = Control::Several(choose(draft, name, choices));
        Self::new(draft, name, label, control)
    }

    pub fn unit(mut self, unit: impl Into<String>) -> Self {
        self.unit = Some(unit.into());
        self
    }

    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    pub fn carried(mut self) -> Self {
        self.carried = true;
        self
    }

    pub fn adds_to(mut self, sum: &'static str) -> Self {
        self.adds_to = Some(sum);
        self
    }

    pub fn total(mut self, total: String) -> Self {
        self.total = Some(total);
        self
    }

    fn holds_something(&self) -> bool {
        match &self.control {
            Control::One(choices) | Control::Several(choices) | Control::Pick(choices) => choices
                .iter()
                .any(|one| one.chosen && !one.value.is_empty()),
            _ => !self.value.trim().is_empty(),
        }
    }

    /// Ids of the texts that explain the field, for screen readers.
    pub fn described_by(&self) -> Option<String> {
        let mut ids = Vec::new();
        if self.hint.is_some() {
            ids.push(format!("{}-hint", self.name));
        }
        if self.read_as.is_some() {
            ids.push(format!("{}-read", self.name));
        }
        if self.total.is_some() {
            ids.push(format!("{}-total", self.name));
        }
        if !self.problems.is_empty() {
            ids.push(format!("{}-problem", self.name));
        }
        (!ids.is_empty()).then(|| ids.join(" "))
    }
}

fn choose(
    draft: &Draft,
    name: &str,
    choices: impl IntoIterator<Item = (String, String)>,
) -> Vec<Choice> {
    choices
        .into_iter()
        .map(|(value, label)| Choice {
            chosen: draft.fields.all(name).any(|typed| typed == value),
            value,
            label,
        })
        .collect()
}
