//! Reads a PDF again: its pages and every word with its place, by Poppler's pdftotext.
//! Not here: what must stand there.

use std::io::Write;
use std::process::Command;

use crate::support::browser::tool;
use crate::support::page::selector;

const MM_PER_POINT: f64 = 25.4 / 72.0;

/// A word and the box it stands in, in millimetres from the paper's upper left corner.
#[derive(Clone, Debug)]
pub struct Word {
    pub text: String,
    pub left_mm: f64,
    pub top_mm: f64,
    pub right_mm: f64,
    pub bottom_mm: f64,
}

#[derive(Clone, Debug)]
pub struct PaperPage {
    pub width_mm: f64,
    pub height_mm: f64,
    pub words: Vec<Word>,
}

impl PaperPage {
    pub fn text(&self) -> String {
        let words: Vec<&str> = self.words.iter().map(|word| word.text.as_str()).collect();
        words.join(" ")
    }
}

/// What came out of the printer.
#[derive(Clone, Debug)]
pub struct Printed {
    pub pages: Vec<PaperPage>,
}

impl Printed {
    pub fn words(&self) -> impl Iterator<Item = &Word> {
        self.pages.iter().flat_map(|page| &page.words)
    }
}

pub fn read(pdf: &[u8]) -> Printed {
    assert!(pdf.starts_with(b"%PDF"), "it is no PDF");
    let mut file = tempfile::NamedTempFile::new().expect("a file for the PDF");
    file.write_all(pdf).expect("a written PDF");
    let told = Command::new(tool(&["pdftotext"]))
        .arg("-bbox")
        .arg(file.path())
        .arg("-")
        .output()
        .expect("pdftotext");
    assert!(told.status.success(), "pdftotext: {:?}", told.stderr);
    let told = String::from_utf8(told.stdout).expect("UTF-8");
    let document = scraper::Html::parse_document(&told);
    let pages = document
        .select(&selector("page"))
        .map(|page| PaperPage {
            width_mm: length(&page, "width"),
            height_mm: length(&page, "height"),
            words: page
                .select(&selector("word"))
                .map(|word| Word {
                    text: word.text().collect(),
                    left_mm: length(&word, "xmin"),
                    top_mm: length(&word, "ymin"),
                    right_mm: length(&word, "xmax"),
                    bottom_mm: length(&word, "ymax"),
                })
                .collect(),
        })
        .collect();
    Printed { pages }
}

fn length(element: &scraper::ElementRef, name: &str) -> f64 {
    let points: f64 = element
        .attr(name)
        .and_then(|text| text.parse().ok())
        .unwrap_or_else(|| panic!("pdftotext told no {name}"));
    points * MM_PER_POINT
}
