//! The demo: the place as it is described, the same at each start, and every page says it is made up.

use std::collections::BTreeSet;
use std::net::SocketAddr;

use endpost::program::demo;
use endpost::program::serve::Server;
use endpost::science::places::census::count_on;
use endpost::store::Store;
use endpost::store::catalogue::TABLES;
use endpost::store::export::Cell;
use endpost::web::App;
use endpost::web::known::Known;
use tokio::sync::oneshot;

use super::{clock, demo_in};

async fn ledger(store: &Store) -> Vec<Vec<Cell>> {
    let table = TABLES.iter().find(|table| table.name == "ledger");
    let mut rows = Vec::new();
    let mut read = store.read().await.expect("a view");
    read.each_row(table.expect("the ledger"), |row| {
        rows.push(row);
        Ok(())
    })
    .await
    .expect("its rows");
    rows
}

#[tokio::test]
async fn two_starts_give_the_same_ledger() {
    let folders = [(); 2].map(|()| tempfile::tempdir().expect("a folder"));
    let first = ledger(&demo_in(folders[0].path()).await).await;
    let second = ledger(&demo_in(folders[1].path()).await).await;
    assert!(first.len() > 200, "only {} entries", first.len());
    assert_eq!(first, second);
}

#[tokio::test]
async fn nothing_but_the_demo_entered_anything() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let mut read = store.read().await.expect("a view");
    assert!(read.holds_only_demo().await.expect("an answer"));
}

/// Positions and bearing vines as the invented place has them.
#[tokio::test]
async fn the_vines_are_as_many_as_described() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let known = known(&store).await;
    let counts: Vec<(String, u32, u32)> = known
        .blocks
        .iter()
        .map(|one| {
            let count = count_on(&known.rows(one.id, known.today), &known.vines, known.today);
            (one.block.called(), count.positions, count.bearing)
        })
        .collect();
    let wanted = [
        ("A Marquette", 352, 331),
        ("B Frontenac", 264, 259),
        ("C Vidal", 180, 176),
        ("D Traminette", 144, 141),
        ("E Cabernet franc", 108, 94),
    ]
    .map(|(name, positions, bearing)| (name.to_owned(), positions, bearing));
    assert_eq!(counts, wanted);
}

/// Story 3: inner rows of B without two vines at each end, 157; story 4: E's three rows, 84, and
/// its middle row alone, 27.
#[tokio::test]
async fn the_vines_left_to_sample_are_those_of_the_stories() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let known = known(&store).await;
    let eligible = |wanted: &[&str]| {
        known
            .all_rows()
            .iter()
            .filter(|row| wanted.contains(&row.label.as_str()))
            .flat_map(|row| {
                let addresses: Vec<_> = row.addresses().collect();
                let inner = 2..addresses.len() - 2;
                addresses[inner].to_vec()
            })
            .filter(|at| {
                let gone = |event: &&endpost::science::places::VineEvent| {
                    event.at == *at && event.what == endpost::science::places::VineChange::Gone
                };
                !known.vines.iter().any(|event| gone(&event))
            })
            .count()
    };
    assert_eq!(eligible(&["B2", "B3", "B4", "B5"]), 157);
    assert_eq!(eligible(&["E1", "E2", "E3"]), 84);
    assert_eq!(eligible(&["E2"]), 27);
}

async fn known(store: &Store) -> Known {
    let app = App::new(store.clone(), clock(), true);
    Known::load(&app).await.expect("the farm")
}

/// What a browser finds behind the demo's address.
struct Visit {
    client: reqwest::Client,
    address: String,
    stop: oneshot::Sender<()>,
}

impl Visit {
    async fn begin(folder: &std::path::Path) -> Self {
        let store = demo_in(folder).await;
        let listen: SocketAddr = "127.0.0.1:0".parse().expect("an address");
        let server = Server::bind(store, clock(), true, listen)
            .await
            .expect("a port");
        let address = server.url().trim_end_matches('/').to_owned();
        let (stop, stopped) = oneshot::channel::<()>();
        tokio::spawn(server.run_until(async {
            // A visit that ends without a word stops the server as well.
            let _ = stopped.await;
        }));
        Self {
            client: reqwest::Client::new(),
            address,
            stop,
        }
    }

    async fn get(&self, path: &str) -> (u16, String) {
        let answer = self.client.get(format!("{}{path}", self.address)).send();
        let answer = answer.await.expect("an answer");
        let status = answer.status().as_u16();
        (status, answer.text().await.expect("its text"))
    }
}

/// The addresses of this site that a page leads to.
fn links(page: &str) -> Vec<String> {
    page.split("href=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .filter(|href| href.starts_with('/'))
        .map(|href| href.split('#').next().unwrap_or(href).replace("&amp;", "&"))
        .filter(|href| !href.ends_with(".svg"))
        .collect()
}

#[tokio::test]
async fn every_page_within_two_links_of_today_says_that_it_is_made_up() {
    let folder = tempfile::tempdir().expect("a folder");
    let visit = Visit::begin(folder.path()).await;
    let mut seen: BTreeSet<String> = BTreeSet::new();
    let mut next = vec!["/".to_owned()];
    for _ in 0..3 {
        let here: Vec<String> = next
            .drain(..)
            .filter(|path| seen.insert(path.clone()))
            .collect();
        for path in here {
            let (status, page) = visit.get(&path).await;
            assert_eq!(status, 200, "{path}");
            assert!(page.contains("Demo, made-up data"), "{path}");
            next.extend(links(&page));
        }
    }
    assert!(seen.len() > 60, "only {} pages", seen.len());
    // A visit that has ended needs no answer.
    let _ = visit.stop.send(());
}

/// The morning as it is described: A in its window but held, D below, C after rain, E stale.
#[tokio::test]
async fn today_shows_the_morning_of_10_september() {
    let folder = tempfile::tempdir().expect("a folder");
    let visit = Visit::begin(folder.path()).await;
    let (_, page) = visit.get("/").await;
    for words in [
        "Fri 10 Sept",
        "24.3 °Brix on 9 Sept (two bags",
        "Ready, but HELD until Sat 11 Sept 18:30",
        "20.1 °Brix on 9 Sept",
        "0.62 in. of rain since",
        "17.2 °Brix on 1 Sept (one bag",
        "Last sampled 9 days ago.",
        "1 entry needs a look",
    ] {
        assert!(page.contains(words), "{words} is not on the page of today");
    }
    let _ = visit.stop.send(());
}

#[test]
fn the_clock_starts_at_seven_in_the_morning() {
    let start = demo::start().expect("a moment");
    assert_eq!(start.to_rfc3339(), "2027-09-10T11:00:00+00:00");
}
