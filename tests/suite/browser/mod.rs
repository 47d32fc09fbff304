//! Every page of a full farm in a real browser of a small phone's width. One visit serves all
//! tests; each of them holds one rule. Not here: paper (`paper`), answers without a browser (`web`).

mod axe;
mod bare;
mod beside;
mod door;
mod outbox;
mod outbox_drafts;
mod outbox_line;
mod outbox_strangers;
mod outbox_twice;
mod pages;
mod rules;
mod story_dead_spot;
mod walk;

use std::fmt::Write;

use serde_json::Value;
use tokio::sync::OnceCell;

use crate::support::browser::{Browser, FARM_ADDRESS};
use crate::support::farm::{Farm, MORNING, moment};
use crate::support::line::Line;
use crate::support::seed::tamarack_bend;

/// What the visit found: the rule, the page, and what is wrong there.
struct Found {
    rule: String,
    page: String,
    what: String,
}

static VISIT: OnceCell<Vec<Found>> = OnceCell::const_new();

const WIDTHS: [u32; 2] = [360, 320];

/// Visits all pages once, whichever test comes first.
async fn visit() -> &'static Vec<Found> {
    VISIT.get_or_init(look_at_all).await
}

async fn look_at_all() -> Vec<Found> {
    let axe = axe::source();
    let farm = tamarack_bend().await;
    moved_house(&farm).await;
    let browser = Browser::start().await;
    let mut found = Vec::new();
    let linked = pages::reachable(&farm).await;
    for (page, what) in linked.broken {
        let rule = "link".to_owned();
        found.push(Found { rule, page, what });
    }
    // Over an address as a farm's network has them, which is no secure context.
    let line = Line::to(&farm.url("")).await;
    let url = |path: &str| format!("http://{FARM_ADDRESS}:{}{path}", line.port);
    for path in linked.pages {
        browser.open(&url(&path)).await;
        pages::wait_for(&browser, "#sent a").await;
        look(&browser, &axe, &path, &mut found).await;
    }
    for (path, script) in pages::ASKING {
        browser.open(&url(path)).await;
        browser.ask(script).await;
        pages::wait_for(&browser, ".summary").await;
        look(&browser, &axe, &format!("{path}, asking"), &mut found).await;
    }
    let empty = Farm::empty().await;
    browser.open(&empty.url("/start")).await;
    look(&browser, &axe, "/start", &mut found).await;
    drop(browser);
    empty.close().await;
    farm.close().await;
    found
}

/// Phones were told another address than the farm computer has now.
async fn moved_house(farm: &Farm) {
    let before = "http://192.168.1.33:8087";
    let told = farm
        .store
        .tell_address(format!("{before}/"), Vec::new(), moment(MORNING));
    told.await.expect("an address that is remembered");
    farm.get("/").await.says(before);
}

async fn look(browser: &Browser, axe: &str, page: &str, found: &mut Vec<Found>) {
    let mut note = |rule: &str, what: String| {
        found.push(Found {
            rule: rule.to_owned(),
            page: page.to_owned(),
            what,
        });
    };
    for line in browser.console().await {
        // The browser itself says that a page asks; it is the status of the whole page.
        if !(line.contains("\"network\"") && line.contains("status of 422")) {
            note("console", line);
        }
    }
    browser.ask(rules::UNFOLD).await;
    for width in WIDTHS {
        browser.width(width).await;
        for what in texts(&browser.ask(rules::SIDEWAYS).await) {
            note("sideways", format!("at {width} px: {what}"));
        }
    }
    browser.width(WIDTHS[0]).await;
    for (rule, script) in rules::OF_ELEMENTS {
        for what in texts(&browser.ask(&rules::with_helpers(script)).await) {
            note(rule, what);
        }
    }
    for what in axe::violations(browser, axe).await {
        note("axe", what);
    }
    for line in browser.console().await {
        note("console", line);
    }
}

fn texts(list: &Value) -> Vec<String> {
    let list = list.as_array().expect("a list of texts");
    list.iter()
        .map(|one| one.as_str().unwrap_or_default().to_owned())
        .collect()
}

/// Holds that a rule is broken nowhere, or says where.
async fn holds(rule: &str) {
    let found = visit().await;
    let mut said = String::new();
    let broken = found.iter().filter(|one| one.rule == rule);
    for one in broken.clone().take(40) {
        let _ = writeln!(said, "{}: {}", one.page, one.what);
    }
    assert_eq!(broken.count(), 0, "{rule} is broken at\n{said}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn no_page_scrolls_sideways() {
    holds("sideways").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_console_stays_empty() {
    holds("console").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn axe_finds_nothing() {
    holds("axe").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn text_is_large_enough_for_the_sun() {
    holds("small text").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_tapped_is_large_enough_for_gloves() {
    holds("small target").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_the_keyboard_reaches_is_not_hidden_by_the_bar_below() {
    holds("hidden focus").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_field_has_a_label() {
    holds("label").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_link_leads_to_a_page() {
    holds("link").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn headings_nest() {
    holds("heading").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_rules_find_a_planted_slip() {
    let browser = Browser::start().await;
    let axe = axe::source();
    let page = "data:text/html,<!doctype html><html lang=en><title>x</title>\
                <meta name=viewport content='width=device-width, initial-scale=1'><body>\
                <h1>a</h1><h3>b</h3><p style='font-size:12px;color:%23999'>small</p>\
                <input name=q style='height:20px'><div style='width:900px'>wide</div>\
                <script>console.error('slip')</script>";
    browser.open(page).await;
    let mut found = Vec::new();
    look(&browser, &axe, "planted", &mut found).await;
    for rule in [
        "sideways",
        "console",
        "axe",
        "small text",
        "small target",
        "label",
        "heading",
    ] {
        assert!(
            found.iter().any(|one| one.rule == rule),
            "{rule} finds nothing"
        );
    }
}
