//! An address as a square that a phone's camera reads: for a page and for a terminal.
//! Not here: which address.

use std::fmt::Write;

use qrcodegen::{QrCode, QrCodeEcc};

use super::Host;

/// The quiet zone around the square, in modules; cameras need it to find the square.
const QUIET: i32 = 4;

/// Black on white whatever the terminal's own colours are (16 and 231 of its 256).
const BLACK_ON_WHITE: &str = "\x1b[38;5;16;48;5;231m";
const OWN_COLOURS: &str = "\x1b[0m";

/// The square of one address.
pub struct Code(QrCode);

impl Code {
    /// In capitals, which make a smaller square; names and "http" mean the same in either. An
    /// address that is too long for any square has none.
    pub fn of(host: &Host) -> Option<Self> {
        Self::of_text(&host.url().to_uppercase())
    }

    /// The square of a text as it is.
    pub fn of_text(text: &str) -> Option<Self> {
        QrCode::encode_text(text, QrCodeEcc::Medium).ok().map(Self)
    }

    /// The length of a side with the quiet zone, in modules.
    pub fn side(&self) -> i32 {
        self.0.size() + 2 * QUIET
    }

    /// Whether a place is dark; outside the square none is.
    fn is_dark(&self, column: i32, row: i32) -> bool {
        self.0.get_module(column - QUIET, row - QUIET)
    }

    /// The dark modules as one path of an SVG picture, run by run.
    pub fn path(&self) -> String {
        let mut path = String::new();
        for row in 0..self.side() {
            let mut column = 0;
            while column < self.side() {
                let run = (column..self.side())
                    .take_while(|at| self.is_dark(*at, row))
                    .count();
                if run > 0 {
                    // Writing to a String can't fail.
                    let _ = write!(path, "M{column} {row}h{run}v1h-{run}z");
                }
                column += run as i32 + 1;
            }
        }
        path
    }

    /// Lines of half blocks, two rows of modules to a line.
    pub fn lines(&self) -> Vec<String> {
        (0..self.side())
            .step_by(2)
            .map(|row| {
                let blocks: String = (0..self.side())
                    .map(|column| {
                        match (self.is_dark(column, row), self.is_dark(column, row + 1)) {
                            (true, true) => '█',
                            (true, false) => '▀',
                            (false, true) => '▄',
                            (false, false) => ' ',
                        }
                    })
                    .collect();
                format!("{BLACK_ON_WHITE}{blocks}{OWN_COLOURS}")
            })
            .collect()
    }
}
