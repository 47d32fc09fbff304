//! Sheets on paper: printed by a real browser in A4 and Letter, counted, and read again word by
//! word, so that nothing is cut off; readable and to be written on (`hand`). Not here: what a sheet
//! says.

mod hand;
mod pdf;

use std::collections::BTreeMap;

use serde_json::Value;

use self::pdf::{PaperPage, Printed, Word};
use crate::support::binary::{backup_into, serve_with};
use crate::support::browser::{A4, Browser, LETTER, Paper};
use crate::support::farm::Farm;
use crate::support::seed::{tally_cards, tamarack_bend};

/// `@page{margin:12mm}` in static/print.css.
const MARGIN_MM: f64 = 12.0;
/// What a letter may lean over the edge of its box.
const SLACK_MM: f64 = 0.5;
/// Boxes of words reach above and below their letters, into the lines beside them.
const LINE_SLACK_MM: f64 = 1.5;

/// A sheet: its address, whether it lies across, and how many pages it takes of the demo.
const SHEETS: [(&str, bool, usize); 9] = [
    ("/harvest/sheet", true, 2),
    ("/sprays/board", true, 3),
    ("/sprays/season/2027", false, 4),
    ("/house/card", false, 1),
    ("/qr/sheet", false, 1),
    ("/helpers/sheet", false, 1),
    ("/copies/sheet", false, 1),
    ("/walks/7HW4/card", true, 2),
    ("/walks/T5RN/card", true, 1),
];

/// A page whose words reach no further down holds the end of something that has run over.
const LONELY_MM: f64 = 20.0;

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

/// Pages that lie another way than they should, or are of another size.
fn askew(printed: &Printed, paper: Paper, across: bool) -> Vec<String> {
    let (width, height) = match across {
        true => (paper.height_mm, paper.width_mm),
        false => (paper.width_mm, paper.height_mm),
    };
    let near = |one: f64, other: f64| (one - other).abs() < 1.0;
    printed
        .pages
        .iter()
        .filter(|page| !near(page.width_mm, width) || !near(page.height_mm, height))
        .map(|page| format!("a page of {} by {} mm", page.width_mm, page.height_mm))
        .collect()
}

/// Pages that do not say which they are.
fn unnumbered(printed: &Printed) -> Vec<String> {
    let all = printed.pages.len();
    (1..)
        .zip(&printed.pages)
        .map(|(number, page)| (format!("page {number} of {all}"), page))
        .filter(|(told, page)| !page.text().contains(told))
        .map(|(told, _)| format!("nowhere {told}"))
        .collect()
}

/// Words printed over each other, as when a cell is too narrow for them.
fn overlapping(printed: &Printed) -> Vec<String> {
    let overlap = |one: &Word, other: &Word| {
        let wide = one.right_mm.min(other.right_mm) - one.left_mm.max(other.left_mm);
        let high = one.bottom_mm.min(other.bottom_mm) - one.top_mm.max(other.top_mm);
        wide > SLACK_MM && high > LINE_SLACK_MM
    };
    let mut found = Vec::new();
    for page in &printed.pages {
        for (at, one) in page.words.iter().enumerate() {
            let over = page.words[at + 1..]
                .iter()
                .filter(|other| overlap(one, other));
            found.extend(over.map(|other| format!("{} over {}", one.text, other.text)));
        }
    }
    found
}

/// Pages that hold one or two lines and nothing else; a box for notes is there to be written in.
fn lonely(printed: &Printed) -> Vec<String> {
    let height = |page: &PaperPage| {
        let words = page.words.iter();
        let in_main = words.filter(|word| word.bottom_mm < page.height_mm - MARGIN_MM);
        let lowest = in_main.map(|word| word.bottom_mm).fold(0.0, f64::max);
        lowest - MARGIN_MM
    };
    (1..)
        .zip(&printed.pages)
        .filter(|(_, page)| height(page) < LONELY_MM && !page.text().contains("Notes"))
        .map(|(number, _)| format!("page {number} holds hardly a line"))
        .collect()
}

/// Every sheet, among them tally cards that are drawn up here.
async fn sheets(farm: &Farm) -> Vec<(String, bool, usize)> {
    let mut sheets: Vec<_> = SHEETS
        .iter()
        .map(|(path, across, pages)| ((*path).to_owned(), *across, *pages))
        .collect();
    tally_cards(farm).await;
    let links = farm.get("/cards").await.links();
    let cards = links
        .into_iter()
        .filter(|link| link.starts_with("/cards/print"));
    sheets.extend(cards.map(|link| (link, false, 1)));
    assert!(sheets.len() >= SHEETS.len() + 2, "{sheets:?}");
    sheets
}

/// Prints every sheet on both papers; gives back all that is wrong, and the pages each took.
async fn print_all(farm: &Farm, name: &str) -> (Vec<String>, Vec<(String, usize, usize)>) {
    let browser = Browser::start().await;
    let (mut faults, mut counts) = (Vec::new(), Vec::new());
    for (path, across, pages) in sheets(farm).await {
        browser.open(&farm.url(&path)).await;
        let (wrong, taken) = print_open(&browser, &format!("{name}{path}"), across).await;
        faults.extend(wrong);
        counts.extend(taken.into_iter().map(|(at, found)| (at, found, pages)));
    }
    (faults, counts)
}

/// The same for the page that is open.
async fn print_open(
    browser: &Browser,
    name: &str,
    across: bool,
) -> (Vec<String>, Vec<(String, usize)>) {
    let (mut faults, mut counts) = (Vec::new(), Vec::new());
    let words = words_of_main(browser).await;
    assert!(words.len() > 40, "{name} has only {words:?}");
    let in_charts = hand::chart_words(browser).await;
    for paper in [A4, LETTER] {
        let at = format!("{name} on {}", paper.name);
        let pdf = kept(&at, browser.print(paper).await);
        let printed = pdf::read(&pdf);
        let width = hand::across(paper, across);
        let (low, lines) = hand::low(browser, width, MARGIN_MM).await;
        assert!(lines > 0, "{name} has no place to write on");
        let wrong = [
            low,
            hand::small(&pdf::letters(&pdf), &in_charts),
            missing(&printed, &words),
            outside(&printed),
            askew(&printed, paper, across),
            overlapping(&printed),
            unnumbered(&printed),
            lonely(&printed),
        ];
        faults.extend(wrong.concat().iter().map(|what| format!("{at}: {what}")));
        counts.push((at, printed.pages.len()));
    }
    (faults, counts)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_demos_sheets_take_the_pages_they_should_and_nothing_is_cut_off() {
    let farm = Farm::demo().await;
    let (mut faults, counts) = print_all(&farm, "demo").await;
    for (at, found, wanted) in counts {
        if found != wanted {
            faults.push(format!("{at}: {found} pages, {wanted} expected"));
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_farm_with_more_to_say_is_not_cut_off_either() {
    let farm = tamarack_bend().await;
    let (faults, _) = print_all(&farm, "farm").await;
    assert!(faults.is_empty(), "{faults:#?}");
    farm.close().await;
}

/// With copies to tell of, and folders of long names.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn how_to_bring_it_back_stands_on_one_page() {
    let top = tempfile::tempdir().unwrap();
    let folder = top
        .path()
        .join("home of the keeper of Tamarack Bend/endpost");
    let stick = top.path().join("media/KEEPERS-STICK/endpost-copies");
    std::fs::create_dir_all(stick.parent().unwrap()).unwrap();
    std::fs::create_dir_all(folder.parent().unwrap()).unwrap();
    std::fs::rename(Farm::started().await.close().await.keep(), &folder).unwrap();
    let (data, place) = (folder.to_str().unwrap(), stick.to_str().unwrap());
    let made = backup_into(data, place);
    assert!(made.status.success(), "{made:?}");
    let served = serve_with(&folder, &["--second-place", place]);
    let browser = Browser::start().await;
    browser.open(&served.url("/copies/sheet")).await;
    let (mut faults, counts) = print_open(&browser, "with copies/copies/sheet", false).await;
    let longer = counts.iter().filter(|(_, pages)| *pages != 1);
    faults.extend(longer.map(|(at, pages)| format!("{at}: {pages} pages")));
    assert!(faults.is_empty(), "{faults:#?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_sheet_that_is_cut_off_is_found() {
    let browser = Browser::start().await;
    let page = "data:text/html,<!doctype html><style>@page{margin:12mm}</style>\
                <main>left <p style='width:400mm;text-align:right'>beyond</p>\
                <p style='position:absolute;left:-30mm'>before</p>\
                <p style='position:absolute;top:60mm;left:20mm'>under</p>\
                <p style='position:absolute;top:60mm;left:22mm'>above</p></main>";
    browser.open(page).await;
    let words = words_of_main(&browser).await;
    assert_eq!(words, ["left", "beyond", "before", "under", "above"]);
    let printed = pdf::read(&browser.print(A4).await);
    let found = [missing(&printed, &words), outside(&printed)]
        .concat()
        .join("; ");
    assert!(found.contains("beyond"), "{found}");
    assert!(found.contains("before"), "{found}");
    assert!(!found.contains("left ("), "{found}");
    assert_eq!(overlapping(&printed), ["under over above"]);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn letters_too_small_and_lines_too_low_are_found() {
    let browser = Browser::start().await;
    let page = "data:text/html,<!doctype html><style>@page{margin:12mm}\
                .dots{display:inline-block;width:20mm;height:9mm}</style><main>\
                <p style='font-size:12pt'>right <span class=dots></span></p>\
                <p style='font-size:11.5pt'>little \
                <span class=dots style='height:5mm'></span></p>\
                <p style='font-size:12pt'>narrow <span class=dots style='width:5mm'></span></p>\
                <svg style='width:80mm' viewBox='0 0 80 20'>\
                <text y='5' font-size='3.6'>chart</text>\
                <text y='15' font-size='3.4'>tiny</text></svg></main>";
    browser.open(page).await;
    let in_charts = hand::chart_words(&browser).await;
    assert_eq!(in_charts, ["chart", "tiny"]);
    let letters = pdf::letters(&browser.print(A4).await);
    let small = hand::small(&letters, &in_charts).join("; ");
    for (word, found) in [
        ("right", false),
        ("little", true),
        ("chart", false),
        ("tiny", true),
    ] {
        assert_eq!(small.contains(word), found, "{word}: {small}");
    }
    let (low, lines) = hand::low(&browser, A4.width_mm, MARGIN_MM).await;
    assert_eq!(lines, 3);
    let low = low.join("; ");
    assert!(low.contains("little") && low.contains("narrow"), "{low}");
    assert!(!low.contains("right"), "{low}");
}

/// What is made for paper lies down on a phone, so that nothing has to be slid.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_sheets_of_the_wall_need_no_sliding_on_a_phone() {
    let farm = tamarack_bend().await;
    let browser = Browser::start().await;
    for path in ["/harvest/sheet", "/sprays/board"] {
        browser.open(&farm.url(path)).await;
        let script = "const one = document.querySelector('.scroll');
                      return [one.clientWidth, one.scrollWidth];";
        for pixels in [360, 320] {
            browser.width(pixels).await;
            let widths = browser.ask(script).await;
            assert!(widths[0].as_f64() > Some(200.0), "{path}: {widths}");
            assert_eq!(widths[0], widths[1], "{path} at {pixels} px");
        }
    }
    farm.close().await;
}
