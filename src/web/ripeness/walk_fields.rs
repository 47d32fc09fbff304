//! The fields of a walk's stops, each under its vine's address: the reading, or a tick that its
//! berries are in the bag, and why it was passed over.
//! Not here: how they are read (`walk_check`), the page of the walk (`walk_page`).

use std::collections::BTreeSet;

use super::walk_words;
use crate::science::places::VineAddress;
use crate::science::ripeness::SkippedFor;
use crate::store::ledger::Fields;
use crate::web::form::{Draft, Field, Group};
use crate::web::known::Known;

/// A reading of °Brix.
pub const READ: &str = "read_";
/// The vine's berries are in the bag.
const DONE: &str = "done_";
pub const WHY: &str = "why_";
pub const NOTE: &str = "note_";

pub const WHYS: [(&str, &str, SkippedFor); 3] = [
    ("skip", "Skip", SkippedFor::Skip),
    ("gone", "Gone", SkippedFor::Gone),
    ("odd", "Odd", SkippedFor::Odd),
];

/// The vines that typed fields name, row by row from the home end.
pub fn addresses(fields: &Fields, known: &Known) -> Vec<VineAddress> {
    let named: BTreeSet<&str> = fields
        .iter()
        .filter_map(|(name, _)| {
            [READ, DONE, WHY, NOTE]
                .iter()
                .find_map(|part| name.strip_prefix(part))
        })
        .collect();
    let mut found: Vec<VineAddress> = named.into_iter().filter_map(address).collect();
    if found.is_empty() {
        return found;
    }
    let rows = known.all_rows();
    let place = |at: &VineAddress| {
        let row = rows.iter().position(|row| row.label == at.row);
        row.unwrap_or(rows.len())
    };
    found.sort_by_key(|at| (place(at), at.clone()));
    found
}

/// "B2-6-2", as the fields' own names have it.
fn address(text: &str) -> Option<VineAddress> {
    let mut parts = text.rsplitn(3, '-');
    let (vine, panel, row) = (parts.next()?, parts.next()?, parts.next()?);
    Some(VineAddress {
        row: row.to_owned(),
        panel: panel.parse().ok()?,
        vine: vine.parse().ok()?,
    })
}

/// Whether the fields are those of a walk whose juice is read at each vine.
pub fn are_read(fields: &Fields) -> bool {
    fields.iter().any(|(name, _)| name.starts_with(READ))
}

pub fn reading(draft: &Draft, at: &VineAddress) -> Field {
    Field::decimal(draft, &format!("{READ}{at}"), walk_words::place(at))
}

pub fn done(draft: &Draft, at: &VineAddress) -> Field {
    Field::tick(draft, &format!("{DONE}{at}"), walk_words::place(at))
}

/// Why a vine is passed over.
pub fn skipping(draft: &Draft, at: &VineAddress) -> Vec<Field> {
    let whys = WHYS.map(|(value, label, _)| (value.to_owned(), label.to_owned()));
    let none = (String::new(), "Not passed over".to_owned());
    vec![
        Field::one(
            draft,
            &format!("{WHY}{at}"),
            format!("{at} is passed over"),
            whys.into_iter().chain([none]),
        ),
        Field::text(
            draft,
            &format!("{NOTE}{at}"),
            format!("{at}: why, in words"),
        ),
    ]
}

/// All stops on the page of a sample, to ask about or to change.
pub fn groups(draft: &Draft, known: &Known) -> Vec<Group> {
    let are_read = are_read(draft.fields);
    addresses(draft.fields, known)
        .iter()
        .flat_map(|at| {
            let field = match are_read {
                true => reading(draft, at),
                false => done(draft, at),
            };
            let passed_over = format!("Pass over {at}");
            [
                Group::open(vec![field]),
                Group::folded(passed_over, skipping(draft, at)),
            ]
        })
        .collect()
}
