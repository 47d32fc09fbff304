//! What is said at the start: where the data lies, what can be typed into a browser, and what to
//! watch out for. Not here: which addresses there are (`web::reach`).

use std::fmt::{self, Write};
use std::path::Path;

use super::beside::Brought;
use crate::store::Keys;
use crate::web::reach::code::Code;
use crate::web::reach::{Moved, Ways};
use crate::web::words::counted;

const UNREADABLE: &str = "NO PHONE IS LET IN: who may come can't be read from the damaged database.\n  \
     Phones keep what is typed on them. Once a good copy is put back they send it; a phone\n  \
     that is not let in then gets a new code first.";

/// Whom the door lets in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LetsIn {
    /// This computer alone, until the keeper has set a passphrase.
    Here,
    /// Whoever was let in by a code.
    ByCode,
    Everybody,
    /// This computer alone: whom else is written in a damaged database that can't be read.
    Unreadable,
}

impl LetsIn {
    pub fn of(keys: &Keys, open_to_all: bool) -> Self {
        match (keys.passphrase.is_some(), open_to_all) {
            _ if keys.unreadable => Self::Unreadable,
            (true, _) => Self::ByCode,
            (false, true) => Self::Everybody,
            (false, false) => Self::Here,
        }
    }

    fn words(self, here: &str) -> String {
        match self {
            Self::Here => format!(
                "  NO PHONE IS LET IN YET. First set the keeper's passphrase, on this computer:\n  \
                 {here}passphrase"
            ),
            Self::Unreadable => format!("  {UNREADABLE}"),
            Self::ByCode => {
                format!("Let in   phones that have a code: make one under {here}phones/new")
            }
            Self::Everybody => format!(
                "  EVERYBODY IS LET IN. Whoever is on this network can read and write everything.\n  \
                 To let in only those you choose, set a passphrase: {here}passphrase"
            ),
        }
    }
}

/// All that the start lines tell.
pub struct Start<'a> {
    pub data: &'a Path,
    pub ways: Ways,
    pub moved: Option<Moved>,
    pub lets_in: LetsIn,
    /// This start found an older copy of the data where a newer one had been.
    pub older_copy: bool,
    /// What is wrong with this computer, its clock and its disks.
    pub troubles: Vec<String>,
    /// Whether to draw the address as a square for the camera.
    pub square: bool,
}

/// What became of entries that were kept beside a damaged database.
pub fn brought_in(brought: &Brought) -> String {
    let mut out = format!(
        "Beside   {} kept beside the damaged database are in now\n",
        counted(brought.entered, "entry that was", "entries that were")
    );
    for why in &brought.left {
        // Writing to a String can't fail.
        let _ = writeln!(out, "         Not in: {why}");
    }
    if let Some(kept) = &brought.kept {
        let _ = writeln!(
            out,
            "         The log of them is kept as {}",
            kept.display()
        );
    }
    out
}

impl Start<'_> {
    /// The lines, ready to be printed.
    pub fn lines(&self) -> String {
        let mut out = String::new();
        // Writing to a String can't fail.
        let _ = self.write(&mut out);
        out
    }

    fn write(&self, out: &mut String) -> fmt::Result {
        let ways = &self.ways;
        writeln!(out, "Data     {}", self.data.display())?;
        if self.older_copy {
            writeln!(
                out,
                "         An older copy of the data was put back. Phones offer again what is missing."
            )?;
        }
        writeln!(out, "Open     {}", ways.here.url())?;
        match ways.lead_in() {
            true => self.write_for_phones(out)?,
            false => writeln!(
                out,
                "Phones   can't come here: Endpost listens on this computer alone. Start it with\n\
                 \x20        --listen 0.0.0.0:{} to let them in.",
                ways.here.port
            )?,
        }
        writeln!(out, "Help     {}help/connect", ways.here.url())?;
        if let Some(moved) = &self.moved {
            writeln!(
                out,
                "\n  THE ADDRESS HAS CHANGED. It is {} now.",
                moved.now()
            )?;
            writeln!(out, "  {}", moved.words())?;
        }
        for words in &self.troubles {
            writeln!(out, "\n  {words}")?;
        }
        if ways.lead_in() {
            writeln!(out, "\n{}\n", self.lets_in.words(&ways.here.url()))?;
        }
        writeln!(out, "Stop with Ctrl-C.")
    }

    fn write_for_phones(&self, out: &mut String) -> fmt::Result {
        let ways = &self.ways;
        let mut phones = ways.phones.iter().map(|host| host.url());
        if let Some(first) = phones.next() {
            writeln!(out, "Phones   {first}")?;
        }
        for other in phones {
            writeln!(out, "         {other}")?;
        }
        if let Some(host) = &ways.by_name {
            writeln!(
                out,
                "         {} where the phone knows such names",
                host.url()
            )?;
        }
        for (host, whose) in &ways.aside {
            writeln!(
                out,
                "Aside    {} ({whose}: this computer itself, or a tunnel)",
                host.url()
            )?;
        }
        match Code::of(ways.canonical()).filter(|_| self.square) {
            Some(code) => {
                let square = code.lines().join("\n");
                writeln!(out, "\n{square}\n{}\n", ways.canonical().url())
            }
            None => Ok(()),
        }
    }
}
