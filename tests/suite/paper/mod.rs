//! Sheets on paper: printed by a real browser in A4 and Letter, counted, and read again word by
//! word, so that nothing is cut off. Not here: what a sheet says.

mod pdf;

use std::collections::BTreeMap;

use serde_json::Value;

use self::pdf::{Printed, Word};
use crate::support::browser::{A4, Browser, LETTER, Paper};
use crate::support::seed::tamarack_bend;

/// `@page{margin:12mm}` in static/print.css.
const MARGIN_MM: f64 = 12.0;
/// What a letter may lean over the edge of its box.
const SLACK_MM: f64 = 0.5;

/// A sheet: its address, whether it lies across, and how many pages it takes.
const SHEETS: [(&str, bool, usize); 2] = [("/harvest/sheet", true, 2), ("/house/card", false, 1)];

/// The words of the page's main part as paper shows it.
const WORDS: &str = "
    const found = [];
    const walker = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
        const node = walker.currentNode;
        if (!node.parentElement.checkVisibility({ visibilityProperty: true })) continue;
        if (node.parentElement.closest('style, defs')) continue;
        found.push(...node.data.split(/\\s+/).filter(word => word));
    }
    return found;
";

/// Leaves the PDF in the target folder, for whoever wants to see what failed.
fn kept(name: &str, pdf: Vec<u8>) -> Vec<u8> {
    let name = name.trim_start_matches('/').replace(['/', ' '], "-");
    let file = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pdf"));
    std::fs::write(file, &pdf).expect("a PDF in the target folder");
    pdf
}

async fn words_of_main(browser: &Browser) -> Vec<String> {
    browser.medium("print").await;
    let words = browser.ask(WORDS).await;
    browser.medium("").await;
    let words = words.as_array().expect("words").clone();
    words
        .iter()
        .filter_map(Value::as_str)
        .map(str::to_owned)
        .collect()
}

fn counted(words: &[String]) -> BTreeMap<&str, usize> {
    let mut counts = BTreeMap::new();
    for word in words {
        *counts.entry(word.as_str()).or_default() += 1;
    }
    counts
}

/// Words of the page that the paper does not have, as often as the page has them.
fn missing(printed: &Printed, words: &[String]) -> Vec<String> {
    let run: String = printed.words().map(|word| word.text.as_str()).collect();
    let whole: Vec<&str> = printed.words().map(|word| word.text.as_str()).collect();
    let in_two = |word: &str| {
        word.char_indices().skip(1).any(|(at, _)| {
            let (first, rest) = word.split_at(at);
            whole.contains(&first) && whole.iter().any(|one| one.starts_with(rest))
        })
    };
    counted(words)
        .into_iter()
        .filter(|(word, times)| run.matches(word).count() < *times && !in_two(word))
        .map(|(word, times)| format!("{word} ({times} times on the page)"))
        .collect()
}

/// Words that stand in the margin or beyond the paper, but for the page number below.
fn outside(printed: &Printed) -> Vec<String> {
    let margin = MARGIN_MM - SLACK_MM;
    let mut found = Vec::new();
    for (number, page) in (1..).zip(&printed.pages) {
        let is_number = |word: &Word| {
            word.top_mm > page.height_mm - MARGIN_MM - SLACK_MM
                && (matches!(word.text.as_str(), "page" | "of") || word.text.parse::<u8>().is_ok())
        };
        for word in page.words.iter().filter(|word| !is_number(word)) {
            let inside = word.left_mm >= margin
                && word.top_mm >= margin
                && word.right_mm <= page.width_mm - margin
                && word.bottom_mm <= page.height_mm - margin;
            if !inside {
                found.push(format!("page {number}: {word:?}"));
            }
        }
    }
    found
}

fn lies_as_it_should(printed: &Printed, paper: Paper, across: bool) {
    let (width, height) = match across {
        true => (paper.height_mm, paper.width_mm),
        false => (paper.width_mm, paper.height_mm),
    };
    for page in &printed.pages {
        assert!(
            (page.width_mm - width).abs() < 1.0 && (page.height_mm - height).abs() < 1.0,
            "{} by {} mm on {}",
            page.width_mm,
            page.height_mm,
            paper.name
        );
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn sheets_fit_on_both_papers_and_nothing_is_cut_off() {
    let farm = tamarack_bend().await;
    let browser = Browser::start().await;
    for (path, across, pages) in SHEETS {
        browser.open(&farm.url(path)).await;
        let words = words_of_main(&browser).await;
        assert!(words.len() > 40, "{path} has only {words:?}");
        for paper in [A4, LETTER] {
            let at = format!("{path} on {}", paper.name);
            let printed = pdf::read(&kept(&at, browser.print(paper).await));
            lies_as_it_should(&printed, paper, across);
            assert_eq!(printed.pages.len(), pages, "{at}");
            assert_eq!(missing(&printed, &words), Vec::<String>::new(), "{at}");
            assert_eq!(outside(&printed), Vec::<String>::new(), "{at}");
            for (number, page) in (1..).zip(&printed.pages) {
                let told = format!("page {number} of {pages}");
                assert!(page.text().contains(&told), "{at}: {told} is not there");
            }
        }
    }
    drop(browser);
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_sheet_that_is_cut_off_is_found() {
    let browser = Browser::start().await;
    let page = "data:text/html,<!doctype html><style>@page{margin:12mm}</style>\
                <main>left <p style='width:400mm;text-align:right'>beyond</p>\
                <p style='position:absolute;left:-30mm'>before</p></main>";
    browser.open(page).await;
    let words = words_of_main(&browser).await;
    assert_eq!(words, ["left", "beyond", "before"]);
    let printed = pdf::read(&browser.print(A4).await);
    let found = [missing(&printed, &words), outside(&printed)]
        .concat()
        .join("; ");
    assert!(found.contains("beyond"), "{found}");
    assert!(found.contains("before"), "{found}");
    assert!(!found.contains("left ("), "{found}");
}
