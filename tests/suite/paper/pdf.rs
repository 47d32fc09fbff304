//! Reads a PDF again, by Poppler's tools: its pages, every word with its place, and the size of
//! its letters.
//! Not here: what must stand there.

use std::collections::HashMap;
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

/// A piece of text in letters of one size.
#[derive(Clone, Debug)]
pub struct Letters {
    pub text: String,
    pub points: f64,
}

/// Poppler tells whole units and enlarges no more than three times: a unit is a third of a point.
const UNITS_PER_POINT: f64 = 3.0;

/// What one of Poppler's tools says of a PDF.
fn told(name: &str, options: &[&str], pdf: &[u8], last: Option<&str>) -> scraper::Html {
    assert!(pdf.starts_with(b"%PDF"), "it is no PDF");
    let mut file = tempfile::NamedTempFile::new().expect("a file for the PDF");
    file.write_all(pdf).expect("a written PDF");
    let told = Command::new(tool(&[name]))
        .args(options)
        .arg(file.path())
        .args(last)
        .output()
        .expect("a tool that starts");
    assert!(told.status.success(), "{name}: {:?}", told.stderr);
    let told = String::from_utf8(told.stdout).expect("UTF-8");
    scraper::Html::parse_document(&told)
}

/// All text with the size of its letters, rounded down to thirds of a point.
pub fn letters(pdf: &[u8]) -> Vec<Letters> {
    let options = ["-xml", "-i", "-stdout", "-zoom", "3"];
    let document = told("pdftohtml", &options, pdf, None);
    let sizes: HashMap<&str, f64> = document
        .select(&selector("fontspec"))
        .filter_map(|font| Some((font.attr("id")?, font.attr("size")?.parse().ok()?)))
        .collect();
    let found: Vec<Letters> = document
        .select(&selector("text"))
        .map(|text| Letters {
            text: text.text().collect(),
            points: text
                .attr("font")
                .and_then(|font| sizes.get(font))
                .unwrap_or_else(|| panic!("pdftohtml told no size"))
                / UNITS_PER_POINT,
        })
        .filter(|found| !found.text.trim().is_empty())
        .collect();
    assert!(!found.is_empty(), "pdftohtml told no text");
    found
}

pub fn read(pdf: &[u8]) -> Printed {
    let document = told("pdftotext", &["-bbox"], pdf, Some("-"));
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
