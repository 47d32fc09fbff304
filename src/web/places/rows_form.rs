//! The rows of a block from a day on, in one line, odd panels below it.
//! Not here: single vines (`vine_form`).

use chrono::{Datelike, NaiveDate};
use uuid::Uuid;

use crate::science::places::{RowLayout, RowsOfBlock, read_layout};
use crate::store::ledger::{Fields, Happened, Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader, Reading};
use crate::web::known::Known;
use crate::web::words::{self, ReadBack};

/// Rows set up in one line.
pub struct RowsForm;

impl Form for RowsForm {
    fn kind(&self) -> Kind {
        Kind::Rows
    }

    fn heading(&self) -> &'static str {
        "Rows of a block"
    }

    fn path(&self) -> &'static str {
        "/rows"
    }

    fn blank(&self, known: &Known, asked: &Fields) -> Fields {
        let mut fields = asked.clone();
        // The first list of a block holds from the start of the year, so that its samples have rows.
        let has_rows = known
            .block_named(asked.first("block"))
            .is_some_and(|block| !known.rows(block, known.today).is_empty());
        let from = match has_rows {
            true => known.today,
            false => NaiveDate::from_yo_opt(known.today.year(), 1).unwrap_or(known.today),
        };
        fields.set("from", &from.to_string());
        fields
    }

    fn groups(&self, draft: &Draft, known: &Known) -> Vec<Group> {
        vec![Group::open(vec![
            Field::one(draft, "block", "Block", known.block_choices()),
            Field::area(draft, "rows", "Rows").hint(
                "One line: 8 rows, 11 panels, 4 vines. An odd row on a line of its own: \
                 A8: 11 panels, last 2 — or panel by panel, A8: 4 4 4 2.",
            ),
            Field::text(draft, "taken_over", "Rows taken over from another block").hint(
                "Labels as painted on the posts, such as C4 C5. They keep their labels; leave \
                 the field above empty.",
            ),
            Field::date(draft, "from", "From").hint(
                "The day from which the block has these rows. Earlier days keep what they had.",
            ),
        ])]
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        let block = block(reader, known);
        let from = reader.needed_date("from", "Type from which day the block has these rows.");
        let (block, from) = (block?, from?);
        let moved = taken_over(reader, known, from)?;
        let rows = match reader.text("rows") {
            Some(lines) => {
                let letter = letter(known, block);
                match read_layout(&lines, &letter, &labels_elsewhere(known, block)) {
                    Ok(rows) => [rows, moved].concat(),
                    Err(error) => {
                        reader.wrong("rows", error.to_string());
                        return None;
                    }
                }
            }
            None if moved.is_empty() => {
                reader.wrong(
                    "rows",
                    "Type the rows in one line, such as 8 rows, 11 panels, 4 vines.",
                );
                return None;
            }
            None => moved,
        };
        ask_about_fewer(reader, known, block, from, &rows);
        Some(RowsOfBlock { block, from, rows }.into())
    }

    fn happened(&self, values: &Values) -> Happened {
        match values {
            Values::Rows(list) => Happened {
                date: Some(list.from),
                ..Happened::default()
            },
            _ => Happened::default(),
        }
    }

    fn read_back(&self, values: &Values, known: &Known) -> ReadBack {
        let Values::Rows(list) = values else {
            return ReadBack::default();
        };
        let called = known.block_called(list.block);
        let mut read = ReadBack::titled(format!("Rows of {called}"));
        read.line("From", words::day_and_year(list.from));
        read.line(
            "Rows",
            words::list(
                &list
                    .rows
                    .iter()
                    .map(|row| row.label.clone())
                    .collect::<Vec<_>>(),
            ),
        );
        let positions: u32 = list.rows.iter().map(RowLayout::positions).sum();
        read.line("Vine positions", positions.to_string());
        for row in list.rows.iter().filter(|row| is_odd(row)) {
            let panels: Vec<String> = row.panels.iter().map(u16::to_string).collect();
            read.line(format!("Row {}", row.label), panels.join(" "));
        }
        read.place = Some((format!("/blocks/{}", list.block), format!("Block {called}")));
        read
    }
}

/// The block a form names, which must be one that is here.
pub fn block(reader: &mut Reader, known: &Known) -> Option<Uuid> {
    let typed = reader.needed("block", "Choose the block.")?;
    let found = known.block_named(&typed);
    if found.is_none() {
        reader.wrong("block", format!("There is no block \"{typed}\" here."));
    }
    found
}

/// The letters that row labels of a block begin with: its name, or the first letter of a longer one.
fn letter(known: &Known, block: Uuid) -> String {
    let name = known.block(block).map_or("", |block| block.name.as_str());
    let letters: String = name.chars().take_while(|one| one.is_alphabetic()).collect();
    match letters.chars().count() {
        0..=3 => letters,
        _ => letters.chars().take(1).collect(),
    }
}

/// Labels that stand in other blocks' lists: a label is never given out twice.
fn labels_elsewhere(known: &Known, block: Uuid) -> Vec<String> {
    known
        .row_lists
        .iter()
        .filter(|list| list.block != block)
        .flat_map(|list| list.rows.iter().map(|row| row.label.clone()))
        .collect()
}

fn taken_over(reader: &mut Reader, known: &Known, from: NaiveDate) -> Option<Vec<RowLayout>> {
    let typed = reader.text("taken_over").unwrap_or_default();
    let mut rows = Vec::new();
    for label in typed.split([' ', ',', ';']).filter(|part| !part.is_empty()) {
        let found = known.blocks.iter().find_map(|one| {
            known
                .rows(one.id, from)
                .into_iter()
                .find(|row| row.label.eq_ignore_ascii_case(label))
        });
        match found {
            Some(row) => rows.push(row),
            None => {
                reader.wrong(
                    "taken_over",
                    format!("There is no row {label} on that day."),
                );
                return None;
            }
        }
    }
    Some(rows)
}

/// A new list that drops rows is asked about: it may be a slip, or the ground was given up.
fn ask_about_fewer(
    reader: &mut Reader,
    known: &Known,
    block: Uuid,
    from: NaiveDate,
    rows: &[RowLayout],
) {
    let dropped: Vec<String> = known
        .rows(block, from)
        .into_iter()
        .filter(|old| !rows.iter().any(|row| row.label == old.label))
        .map(|row| row.label)
        .collect();
    if !dropped.is_empty() && !reader.correcting {
        let typed = reader.raw("rows").to_owned();
        reader.ask(
            "rows",
            format!(
                "{} would no longer belong to the block from {}. Is that so?",
                words::list(&dropped),
                words::day_and_year(from)
            ),
            &[Reading {
                label: "Yes, that is so".to_owned(),
                changes: vec![("rows".to_owned(), typed)],
            }],
        );
    }
}

fn is_odd(row: &RowLayout) -> bool {
    row.panels.windows(2).any(|pair| pair[0] != pair[1])
}
