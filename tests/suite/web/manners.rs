//! What every answer has, whatever was asked: a status that fits, our page, our headers, and no
//! words of the machine room. Not here: what the pages say.

use reqwest::Method;

use super::addresses::{filled, ids_of};
use crate::support::farm::Farm;
use crate::support::page::Page;

/// Words that only the log may have.
const MACHINE_ROOM: [&str; 12] = [
    "sql",
    "panicked",
    "no such",
    "constraint",
    "stack backtrace",
    "rusterror",
    "database is",
    "deserialize",
    "utf-8",
    "src/",
    ".rs:",
    "endpost.db",
];

/// Holds what every answer must be.
pub fn well_mannered(page: &Page) {
    let at = format!("{} answered {}", page.path, page.status);
    assert!(page.status < 500, "{at}: {}", page.body);
    let policy = page.header("content-security-policy");
    assert!(
        policy.contains("default-src 'none'"),
        "{at} without a policy"
    );
    assert!(!policy.contains("unsafe"), "{at}: {policy}");
    assert_eq!(page.header("x-content-type-options"), "nosniff", "{at}");
    assert_eq!(page.header("referrer-policy"), "same-origin", "{at}");
    if !page.body.is_empty() {
        let kind = page.header("content-type");
        let to_a_phone = kind == "application/json" && page.path.starts_with("/api/");
        let is_ours = to_a_phone || kind == "text/html; charset=utf-8" || kind == "image/svg+xml";
        assert!(is_ours, "{at} as {kind:?}: {}", page.body);
    }
    if page.header("content-type").starts_with("text/html") && !page.body.is_empty() {
        assert!(page.text().len() > 20, "{at}: an empty page");
        assert!(!page.links().is_empty(), "{at}: no link onward");
        assert_eq!(page.header("cache-control"), "no-store", "{at}");
    }
    let said = page.text().to_lowercase();
    for word in MACHINE_ROOM {
        assert!(!said.contains(word), "{at} says {word:?}: {said}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_address_answers_every_method_with_our_page() {
    let farm = Farm::started().await;
    let methods = [
        "GET", "HEAD", "POST", "PUT", "DELETE", "PATCH", "OPTIONS", "BREW",
    ];
    for id in ids_of(&farm).await {
        for path in filled(&id) {
            for name in methods {
                let method: Method = name.parse().unwrap();
                let page = farm.ask(method, &path, None).await;
                assert_ne!(page.status, 400, "{name} {path}: {}", page.body);
                well_mannered(&page);
                if name == "HEAD" {
                    assert_eq!(page.body, "", "HEAD {path} has a body");
                }
                let takes_it = name == "PUT" && path.starts_with("/api/entries/");
                if matches!(name, "PUT" | "DELETE" | "PATCH" | "BREW") {
                    let status = if takes_it { 415 } else { 405 };
                    assert_eq!(page.status, status, "{name} {path}");
                }
            }
        }
    }
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn ids_that_are_not_here_are_a_page_not_a_fault() {
    let farm = Farm::started().await;
    let long = "x".repeat(4000);
    let ids = [
        "01990000-0000-7000-8000-000000000001",
        "00000000-0000-0000-0000-000000000000",
        "none",
        "-1",
        "2027",
        "99999999999999999999",
        "%00",
        "%FF%FE",
        "%F0%9F%8D%87",
        "..%2F..%2Fendpost",
        "'%20OR%20'1'='1",
        long.as_str(),
    ];
    for id in ids {
        for path in filled(id) {
            for method in [Method::GET, Method::POST] {
                let page = farm.ask(method.clone(), &path, None).await;
                well_mannered(&page);
                if path.contains("/entries/") && method == Method::GET {
                    assert!(matches!(page.status, 404 | 405), "{path}: {}", page.text());
                }
            }
        }
    }
    farm.close().await;
}

#[tokio::test]
async fn an_address_that_is_not_here_says_so_and_leads_on() {
    let farm = Farm::started().await;
    for path in [
        "/nothing",
        "/ripeness/",
        "/entries",
        "/%2e%2e/keys",
        "//",
        "/a/b/c/d",
    ] {
        let page = farm.get(path).await;
        well_mannered(&page);
        assert_eq!(page.status, 404, "{path}: {}", page.text());
        assert!(page.links().contains(&"/".to_owned()), "{path}");
    }
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn odd_queries_change_nothing() {
    let farm = Farm::started().await;
    let long = format!("?q={}", "9".repeat(6000));
    let many = format!("?{}", "a=1&".repeat(1500));
    let queries = [
        "?",
        "?&&==&",
        "?year=99999999999",
        "?year=-1",
        "?year=0",
        "?year=9999",
        "?year=%00",
        "?year=262143",
        "?date=2027-02-30&block=%F0%9F%8D%87",
        "?now=both&q=%FF",
        "?q=c4+7+2&q=again",
        "?start=9999-12-31&at=25:61&days=99999999&hours=-3",
        "?start=2027-09-06&at=10:40&days=1e308&hours=nan",
        long.as_str(),
        many.as_str(),
    ];
    let [block, _] = ids_of(&farm).await;
    for path in filled(&block) {
        for query in queries {
            let page = farm.get(&format!("{path}{query}")).await;
            well_mannered(&page);
        }
    }
    farm.close().await;
}

#[tokio::test]
async fn the_style_is_the_one_the_policy_names_and_packs_small() {
    use base64::Engine;
    use sha2::{Digest, Sha256};
    let farm = Farm::started().await;
    let page = farm.get("/").await;
    let start = page.body.find("<style>").unwrap() + "<style>".len();
    let end = page.body.find("</style>").unwrap();
    let hash = base64::engine::general_purpose::STANDARD
        .encode(Sha256::digest(&page.body.as_bytes()[start..end]));
    let policy = page.header("content-security-policy");
    assert!(policy.contains(&format!("'sha256-{hash}'")), "{policy}");
    let packed = farm
        .client
        .get(farm.url("/"))
        .header("accept-encoding", "gzip")
        .send()
        .await
        .unwrap();
    assert_eq!(packed.headers()["content-encoding"], "gzip");
    farm.close().await;
}

/// Today of a full farm is what a phone fetches most, over a thin line: one answer, all in it. The
/// size is ours (judgement): about what fits into the first flight of packets, 10 of 1,460 bytes.
#[tokio::test]
async fn today_of_the_demo_packs_to_fourteen_kilobytes() {
    const MOST: usize = 14_000;
    let farm = Farm::demo().await;
    let today = farm.get("/").await;
    today.says("Marquette").says("Cabernet franc").says("Demo");
    let order = farm.client.get(farm.url("/"));
    let packed = order.header("accept-encoding", "gzip").send();
    let packed = packed.await.expect("an answer");
    assert_eq!(packed.status(), 200);
    assert_eq!(packed.headers()["content-encoding"], "gzip");
    let packed = packed.bytes().await.expect("a body to its end");
    assert_eq!(packed[..2], [0x1f, 0x8b], "not packed");
    println!("Today of the demo: {} bytes", packed.len());
    assert!(packed.len() <= MOST, "{} bytes", packed.len());
    farm.close().await;
}
