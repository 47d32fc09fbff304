//! The rows of a block from a day on, in one line, odd panels below it.
//! Not here: single vines (`vine_form`).

use chrono::{Datelike, NaiveDate};
use uuid::Uuid;

use crate::science::places::layout::parse_shape;
use crate::science::places::{RowLayout, RowsOfBlock, read_layout_keeping};
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
        let before = Before::of(reader, known, block, from);
        let moved = taken_over(reader, known, from.unwrap_or(known.today));
        let laid_out = laid_out(reader, known, block, &before);
        let (block, from) = (block?, from?);
        let rows = [laid_out?, moved?].concat();
        refuse_twice(reader, &rows);
        ask_about_fewer(reader, &before.rows, from, &rows);
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
    if let Some((code, of)) = found.and_then(|block| known.card_of_another(block)) {
        let drawn_up_for = known.block_called(of);
        let named = found.map_or_else(String::new, |block| known.block_called(block));
        let as_it_is = |label: String, block: String| Reading {
            label,
            changes: vec![("block".to_owned(), block)],
        };
        reader.ask(
            "block",
            format!("Card {code} was drawn up for {drawn_up_for}. Is this of {named}?"),
            &[
                as_it_is(format!("It is of {drawn_up_for}"), of.to_string()),
                as_it_is(format!("It is of {named}"), typed),
            ],
        );
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

/// What stood before the list that is typed.
struct Before {
    /// The rows the list takes the place of.
    rows: Vec<String>,
    /// The labels painted on the block's own posts, in the order in which rows keep them.
    own: Vec<String>,
}

impl Before {
    fn of(reader: &Reader, known: &Known, block: Option<Uuid>, from: Option<NaiveDate>) -> Self {
        let (Some(block), Some(from)) = (block, from) else {
            return Self {
                rows: Vec::new(),
                own: Vec::new(),
            };
        };
        let labels = |rows: &[RowLayout]| -> Vec<String> {
            rows.iter().map(|row| row.label.clone()).collect()
        };
        let elsewhere: Vec<String> = known
            .blocks
            .iter()
            .filter(|one| one.id != block)
            .flat_map(|one| labels(&known.rows(one.id, from)))
            .collect();
        let list = corrected(known, block, from).filter(|_| reader.correcting.is_some());
        let same_day = list.is_some_and(|list| list.from == from);
        let mut rows = match list {
            Some(list) => labels(&list.rows),
            None => labels(&known.rows(block, from)),
        };
        let painted = painted_first(known, block);
        let mut own: Vec<String> = Vec::new();
        if same_day {
            // The list that is corrected keeps its labels, whoever took rows over later.
            own.extend(rows.iter().filter(|one| painted.contains(one)).cloned());
        } else {
            rows.retain(|label| !elsewhere.contains(label));
        }
        for label in painted {
            if !own.contains(&label) && !elsewhere.contains(&label) {
                own.push(label);
            }
        }
        Self { rows, own }
    }
}

/// The list of the block that a correction from this day speaks of.
fn corrected(known: &Known, block: Uuid, from: NaiveDate) -> Option<&RowsOfBlock> {
    let lists = || known.row_lists.iter().filter(|list| list.block == block);
    let same_day = lists().rfind(|list| list.from == from);
    let in_force = || {
        lists()
            .filter(|list| list.from < from)
            .max_by_key(|list| list.from)
    };
    same_day.or_else(in_force).or_else(|| lists().next())
}

/// The labels that this block's lists gave out first, by number. Rows taken over from another
/// block were painted there.
fn painted_first(known: &Known, block: Uuid) -> Vec<String> {
    let mut first: Vec<(&str, Uuid)> = Vec::new();
    for list in &known.row_lists {
        for row in &list.rows {
            if !first
                .iter()
                .any(|(label, _)| label.eq_ignore_ascii_case(&row.label))
            {
                first.push((&row.label, list.block));
            }
        }
    }
    let mut own: Vec<String> = first
        .into_iter()
        .filter(|(_, painter)| *painter == block)
        .map(|(label, _)| label.to_owned())
        .collect();
    let number = |label: &String| -> u32 {
        let digits = label.trim_start_matches(|one: char| !one.is_ascii_digit());
        digits.parse().unwrap_or(u32::MAX)
    };
    own.sort_by_key(number);
    own
}

/// The rows of the typed lines; none when they can't be read. No line at all is no row.
fn laid_out(
    reader: &mut Reader,
    known: &Known,
    block: Option<Uuid>,
    before: &Before,
) -> Option<Vec<RowLayout>> {
    let Some(lines) = reader.text("rows") else {
        if reader.text("taken_over").is_none() {
            reader.wrong(
                "rows",
                "Type the rows in one line, such as 8 rows, 11 panels, 4 vines.",
            );
            return None;
        }
        return Some(Vec::new());
    };
    let read = match block {
        Some(block) => {
            let given_out: Vec<String> = known
                .row_lists
                .iter()
                .flat_map(|list| list.rows.iter().map(|row| row.label.clone()))
                .collect();
            read_layout_keeping(&lines, &letter(known, block), &before.own, &given_out)
        }
        // Without the block the first line can still be looked at.
        None => parse_shape(lines.lines().next().unwrap_or_default()).map(|_| Vec::new()),
    };
    read.map_err(|error| reader.wrong("rows", error.to_string()))
        .ok()
}

fn taken_over(reader: &mut Reader, known: &Known, from: NaiveDate) -> Option<Vec<RowLayout>> {
    let typed = reader.text("taken_over").unwrap_or_default();
    let mut rows = Vec::new();
    let mut missing = false;
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
                missing = true;
                reader.wrong(
                    "taken_over",
                    format!("There is no row {label} on that day."),
                );
            }
        }
    }
    (!missing).then_some(rows)
}

/// A label stands on one row's posts.
fn refuse_twice(reader: &mut Reader, rows: &[RowLayout]) {
    let mut twice: Vec<&str> = Vec::new();
    for (place, row) in rows.iter().enumerate() {
        let again = rows[..place].iter().any(|one| one.label == row.label);
        if again && !twice.contains(&row.label.as_str()) {
            twice.push(&row.label);
        }
    }
    for label in twice {
        reader.wrong(
            "taken_over",
            format!("Row {label} stands twice in the list. Write it once."),
        );
    }
}

/// A list that drops rows is asked about: it may be a slip, or the ground was given up.
fn ask_about_fewer(reader: &mut Reader, before: &[String], from: NaiveDate, rows: &[RowLayout]) {
    let dropped: Vec<String> = before
        .iter()
        .filter(|label| !rows.iter().any(|row| row.label == **label))
        .cloned()
        .collect();
    if !dropped.is_empty() {
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
