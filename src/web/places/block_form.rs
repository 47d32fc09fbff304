//! A block: it needs only a name. Not here: its rows (`rows_form`).

use crate::science::places::Block;
use crate::store::ledger::{Kind, Values};
use crate::web::form::{Draft, Field, Form, Group, Reader};
use crate::web::known::Known;
use crate::web::words::ReadBack;

/// A named piece of the vineyard.
pub struct BlockForm;

impl BlockForm {
    /// Reads a block; the names say which fields hold it.
    pub fn read(reader: &mut Reader, name: &str, variety: &str, known: &Known) -> Option<Block> {
        let typed = reader.needed(
            name,
            "Type a name for the block; the letter on its posts is best.",
        )?;
        let taken = known
            .blocks
            .iter()
            .any(|one| one.block.name.eq_ignore_ascii_case(&typed));
        if taken && reader.correcting.is_none() {
            reader.wrong(name, format!("There is a block {typed} already."));
            return None;
        }
        Some(Block {
            name: typed,
            variety: reader.text(variety),
            note: reader.text("note"),
        })
    }
}

impl Form for BlockForm {
    fn kind(&self) -> Kind {
        Kind::Block
    }

    fn heading(&self) -> &'static str {
        "A block"
    }

    fn path(&self) -> &'static str {
        "/blocks"
    }

    fn groups(&self, draft: &Draft, _known: &Known) -> Vec<Group> {
        vec![Group::open(vec![
            Field::text(draft, "name", "Name").hint("The letter painted on its posts, such as A."),
            Field::text(draft, "variety", "Variety").hint("May stay empty."),
            Field::area(draft, "note", "Note"),
        ])]
    }

    fn check(&self, reader: &mut Reader, known: &Known) -> Option<Values> {
        Self::read(reader, "name", "variety", known).map(Values::from)
    }

    fn read_back(&self, values: &Values, known: &Known) -> ReadBack {
        let Values::Block(block) = values else {
            return ReadBack::default();
        };
        let mut read = ReadBack::titled(format!("Block {}", block.called()));
        read.maybe("Note", block.note.as_deref());
        let id = known
            .blocks
            .iter()
            .find(|one| one.block.name == block.name)
            .map(|one| one.id);
        if let Some(id) = id {
            read.place = Some((format!("/blocks/{id}"), format!("Block {}", block.name)));
        }
        read
    }

    fn next(&self, _values: Option<&Values>) -> Option<(String, String)> {
        Some(("/ripeness/new".to_owned(), "Enter a sample".to_owned()))
    }
}
