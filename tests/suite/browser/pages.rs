//! Which pages are looked at: all that links lead to from Today, a few of each kind, and forms in
//! the state in which they ask. Not here: what they must be like.

use std::collections::{HashMap, HashSet, VecDeque};

use crate::support::browser::Browser;
use crate::support::farm::Farm;
use crate::support::page::Page;

/// Pages alike in address and first word of the heading are looked at only so often.
const OF_ONE_KIND: usize = 2;
/// A list by year leads on to the year before, without end.
const MOST: usize = 600;

/// What links lead to.
#[derive(Default)]
pub struct Linked {
    pub pages: Vec<String>,
    /// Addresses that are linked and answer with no page.
    pub broken: Vec<(String, String)>,
}

/// Every page that links lead to from "/", thinned out to a few of each kind.
pub async fn reachable(farm: &Farm) -> Linked {
    let mut waiting = VecDeque::from(["/".to_owned()]);
    let mut seen: HashSet<String> = waiting.iter().cloned().collect();
    let mut kinds: HashMap<String, usize> = HashMap::new();
    let mut linked = Linked::default();
    let mut read = 0;
    while let Some(path) = waiting.pop_front() {
        read += 1;
        assert!(read <= MOST, "links lead on without end");
        let page = farm.get(&path).await;
        let page = match page.status {
            303 => {
                let to = page.location().to_owned();
                farm.get(&to).await
            }
            _ => page,
        };
        if page.status != 200 {
            linked.broken.push((path, page.text()));
            continue;
        }
        if !page.header("content-type").starts_with("text/html") {
            continue;
        }
        let count = kinds.entry(kind(&path, &page)).or_default();
        *count += 1;
        if *count > OF_ONE_KIND {
            continue;
        }
        for link in page.links() {
            let link = link.split('#').next().unwrap_or_default().to_owned();
            if link.starts_with('/') && seen.insert(link.clone()) {
                waiting.push_back(link);
            }
        }
        linked.pages.push(path);
    }
    assert!(linked.pages.len() > 25, "only {:?}", linked.pages);
    linked
}

/// The address without ids and numbers, and the first word of the heading.
fn kind(path: &str, page: &Page) -> String {
    let address = path.split('?').next().unwrap_or_default();
    let address: Vec<&str> = address
        .split('/')
        .map(
            |part| match part.contains(|one: char| one.is_ascii_digit()) {
                true => "…",
                false => part,
            },
        )
        .collect();
    let heading = page.text_of("h1").join(" ");
    let state = page.text_of("main > p.soft").join(" ");
    let word = |text: &str| text.split_whitespace().next().unwrap_or("").to_owned();
    let heading: String = word(&heading)
        .chars()
        .filter(|one| one.is_alphabetic())
        .collect();
    format!("{} {heading} {}", address.join("/"), word(&state))
}

/// Forms, and what makes them ask.
pub const ASKING: [(&str, &str); 3] = [
    (
        "/ripeness/new",
        "document.querySelector('[name=block]').checked = true;
         document.querySelector('[name=date]').value = '2027-09-10';
         document.querySelector('[name=brix_1_1]').value = '215';
         document.querySelector('[name=rain]').value = 'a lot';
         document.querySelector('button.main').click();",
    ),
    (
        "/weather/new",
        "for (const one of document.querySelectorAll('main input[type=text]')) one.value = 'warm';
         document.querySelector('button.main').click();",
    ),
    (
        "/targets/new",
        "document.querySelector('button.main').click();",
    ),
];

/// Waits until the page, or the one it goes on to, holds an element.
pub async fn wait_for(browser: &Browser, selector: &str) {
    let there = format!(
        "return document.readyState === 'complete'
             && document.querySelector('{selector}') !== null"
    );
    browser.until(selector, &there).await;
}
