//! Typed texts under the labels of the page they were typed on, for whoever reads an entry later.
//! Not here: what was understood of them (the read-back of each form).

use std::collections::BTreeSet;

use uuid::Uuid;

use super::protocol::{ANSWER, ASKED, REASON, UNITS, question_of, units_of};
use super::view::{Control, Draft, Field, Group};
use super::{Form, answers};
use crate::store::ledger::Fields;
use crate::web::known::Known;

/// Every text of an entry in the order of its page; texts the page no longer asks for come last,
/// under their own names. The page's own notes stay out.
pub fn labelled(form: &dyn Form, fields: &Fields, known: &Known) -> Vec<(String, String)> {
    let agreed = answers(fields);
    let draft = Draft {
        fields,
        problems: &[],
        answers: &agreed,
    };
    let groups = form.groups(&draft, known);
    let mut seen: BTreeSet<&str> = BTreeSet::from([ANSWER, ASKED, UNITS, REASON]);
    let mut said = Vec::new();
    let labels = Labels::of_groups(&groups);
    for group in &groups {
        for field in &group.fields {
            seen.insert(&field.name);
            let label = labels.of_field(&field.name);
            let texts = fields.all(&field.name);
            let texts = texts.filter(|text| !text.trim().is_empty());
            said.extend(texts.map(|text| {
                let text = match &field.read_as {
                    Some(read) => format!("{text}, read as {read}"),
                    None => shown(field, text, known),
                };
                (label.clone(), text)
            }));
        }
    }
    let left = fields
        .iter()
        .filter(|(name, text)| !seen.contains(name) && !text.trim().is_empty());
    said.extend(left.map(|(name, text)| (name.replace('_', " "), text.to_owned())));
    if let Some(units) = units_of(fields).filter(|typed| *typed != known.units()) {
        let symbols = [
            units.temperature.symbol(),
            units.mass.symbol(),
            units.length.symbol(),
        ];
        said.push(("Typed in".to_owned(), symbols.join(", ")));
    }
    said
}

/// What was asked about an entry and let stand: the label of the field, and the question.
pub fn let_stand(form: &dyn Form, fields: &Fields, known: &Known) -> Vec<(String, String)> {
    let labels = Labels::of(form, fields, known);
    let tapped: Vec<String> = answers(fields)
        .into_iter()
        .filter(|one| one.read_as == one.typed)
        .filter_map(|one| one.key)
        .collect();
    fields
        .all(ASKED)
        .chain(tapped.iter().map(String::as_str))
        .filter_map(question_of)
        // A text that was typed anew since has had its own question.
        .filter(|(field, typed, _)| words_of(fields.first(field)) == words_of(typed))
        .map(|(field, _, text)| (labels.of_field(field), text.to_owned()))
        .collect()
}

fn words_of(text: &str) -> Vec<&str> {
    text.split_whitespace().collect()
}

/// The labels of a form's page by the names of its fields.
pub struct Labels(Vec<(String, String)>);

impl Labels {
    fn of(form: &dyn Form, fields: &Fields, known: &Known) -> Self {
        let draft = Draft {
            fields,
            problems: &[],
            answers: &[],
        };
        Self::of_groups(&form.groups(&draft, known))
    }

    pub fn of_groups(groups: &[Group]) -> Self {
        let mut legend = "";
        let mut labels = Vec::new();
        for group in groups {
            legend = group.legend.as_deref().unwrap_or(legend);
            for field in &group.fields {
                labels.push((field.name.clone(), label(groups, legend, field)));
            }
        }
        Self(labels)
    }

    /// The label of a field; its name where the page has no such field.
    pub fn of_field(&self, name: &str) -> String {
        let found = self.0.iter().find(|(field, _)| field == name);
        found.map_or_else(|| name.replace('_', " "), |(_, label)| label.clone())
    }
}

/// The label of a field; where the page has it more than once, with the legend it stands under.
fn label(groups: &[Group], legend: &str, field: &Field) -> String {
    let alike = groups
        .iter()
        .flat_map(|group| &group.fields)
        .filter(|one| one.label == field.label)
        .count();
    match alike > 1 && !legend.is_empty() {
        true => format!("{}: {}", first_words(legend), field.label),
        false => field.label.clone(),
    }
}

/// "Bag 2" of "Bag 2: number, berries, weight, temperature"
fn first_words(legend: &str) -> &str {
    legend.split(':').next().unwrap_or(legend)
}

/// What stood beside the button that was tapped, also where its block is gone; else the text itself.
fn shown(field: &Field, text: &str, known: &Known) -> String {
    let tapped = match &field.control {
        Control::One(choices) | Control::Several(choices) | Control::Pick(choices) => {
            choices.iter().find(|one| one.value == text)
        }
        _ => None,
    };
    match (tapped, &field.control) {
        (Some(choice), _) => choice.label.clone(),
        (None, Control::Tick) => "yes".to_owned(),
        (None, _) => Uuid::parse_str(text)
            .ok()
            .and_then(|id| known.block_gone_called(id))
            .unwrap_or_else(|| text.to_owned()),
    }
}
