//! Sums of a column of numbers as they are typed in, beside the sum pencilled at the foot of the
//! paper card: a slip in copying shows at once. Not here: what the numbers mean.

use super::view::{Draft, Field};
use super::{Reader, Reading};
use crate::science::number::{Expect, parse};
use crate::store::ledger::Fields;
use crate::web::words;

/// A column of a card and the field for its sum.
pub struct Column<'a> {
    /// The field that takes the pencilled sum.
    pub sum: &'a str,
    /// What is added up: "clusters".
    pub of: &'a str,
    pub names: Vec<String>,
}

impl Column<'_> {
    /// The sum of what was typed so far. A text that is no number, such as "?", adds nothing.
    pub fn total(&self, fields: &Fields) -> String {
        let (sum, decimals) = self.sum_of(fields);
        words::number(sum, decimals)
    }

    fn sum_of(&self, fields: &Fields) -> (f64, usize) {
        let numbers = self
            .names
            .iter()
            .filter_map(|name| parse(fields.first(name), &Expect::default()).ok());
        let (mut sum, mut decimals) = (0.0, 0);
        for number in numbers {
            sum += number.value;
            decimals = decimals.max(usize::from(number.decimals));
        }
        (sum, decimals)
    }

    /// The field for the pencilled sum, with the running total beside it.
    pub fn field(&self, draft: &Draft) -> Field {
        let label = format!("Sum of the {}", self.of);
        Field::decimal(draft, self.sum, label)
            .hint("As pencilled on the card.")
            .total(self.total(draft.fields))
    }

    /// Asks when a pencilled sum is not the sum of what was typed.
    pub fn compare(&self, reader: &mut Reader) {
        let Some(typed) = reader.number(self.sum, Expect::default()) else {
            return;
        };
        let (sum, decimals) = self.sum_of(reader.fields());
        if (sum - typed).abs() < 1e-6 {
            return;
        }
        let total = words::number(sum, decimals);
        let text = reader.raw(self.sum).trim().to_owned();
        let unread = self
            .names
            .iter()
            .filter(|name| reader.raw(name).trim() == "?");
        let look = match unread.count() {
            0 => "Look for a slip in one of them.".to_owned(),
            1 if typed > sum => format!(
                "One can't be read: it would have to be {}.",
                words::number(typed - sum, decimals)
            ),
            _ => "Some can't be read, or there is a slip in one of them.".to_owned(),
        };
        let of = self.of;
        reader.ask(
            self.sum,
            format!("The {of} typed here come to {total}, the card says {text}. {look}"),
            &[Reading {
                label: "The slip is in the card's sum".to_owned(),
                changes: vec![(
                    self.sum.to_owned(),
                    reader.fields().first(self.sum).to_owned(),
                )],
            }],
        );
    }
}
