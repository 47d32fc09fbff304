//! A farm in a folder of its own: store, server on a free port, and a client that keeps cookies
//! and follows no redirects; the same folder at another moment; buttons tapped by their labels.
//! Not here: what the farm holds (`seed`), reading pages (`page`).

use std::net::SocketAddr;
use std::path::Path;

use chrono::{DateTime, Utc};
use endpost::clock::Clock;
use endpost::program::options::Listen;
use endpost::program::serve::Server;
use endpost::store::Store;
use reqwest::header::{HeaderMap, HeaderValue, ORIGIN};
use reqwest::{Client, Method, redirect};
use tempfile::TempDir;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;

use super::browser::FARM_ADDRESS;
use super::page::Page;

/// Fri 10 Sept 2027 07:00 at Tamarack Bend.
pub const MORNING: &str = "2027-09-10T11:00:00Z";

/// The address that phones are told, though the tests go no further than this computer.
pub const ON_THE_WIFI: &str = "192.168.1.20";

/// The moment a text names.
pub fn moment(text: &str) -> DateTime<Utc> {
    text.parse().expect("a moment as RFC 3339 writes it")
}

/// A farm that is being served.
pub struct Farm {
    pub store: Store,
    pub client: Client,
    address: String,
    folder: TempDir,
    stop: oneshot::Sender<()>,
    running: JoinHandle<anyhow::Result<()>>,
}

fn new_folder() -> TempDir {
    tempfile::tempdir().expect("a temporary folder")
}

/// A client as a browser is one, but for redirects: those are looked at. What it sends comes from
/// the pages of `address`.
pub fn client_at(address: &str) -> Client {
    let origin = HeaderValue::from_str(address).expect("an address");
    Client::builder()
        .redirect(redirect::Policy::none())
        .cookie_store(true)
        .default_headers(HeaderMap::from_iter([(ORIGIN, origin)]))
        .build()
        .expect("a client")
}

/// Fields as a browser posts them: the kind of the body, and the body.
pub fn form_of(fields: &[(&str, &str)]) -> (&'static str, Vec<u8>) {
    let body = form_urlencoded::Serializer::new(String::new())
        .extend_pairs(fields)
        .finish();
    ("application/x-www-form-urlencoded", body.into_bytes())
}

/// Any request of a client, with a body of a kind or none.
pub async fn ask(
    client: &Client,
    address: &str,
    method: Method,
    path: &str,
    body: Option<(&str, Vec<u8>)>,
) -> Page {
    let mut request = client.request(method, format!("{address}{path}"));
    if let Some((kind, bytes)) = body {
        request = request.header("content-type", kind).body(bytes);
    }
    Page::read(path, request.send().await.expect("an answer")).await
}

impl Farm {
    /// An empty house: nobody has said what the farm is called.
    pub async fn empty() -> Self {
        Self::empty_at(MORNING).await
    }

    /// The same at a moment of the farm's clock.
    pub async fn empty_at(now: &str) -> Self {
        Self::serve(new_folder(), moment(now), false).await
    }

    /// The demo that ships with the program.
    pub async fn demo() -> Self {
        let farm = Self::serve(new_folder(), moment(MORNING), true).await;
        endpost::program::demo::fill(&farm.store)
            .await
            .expect("the demo's own entries");
        farm
    }

    /// The same folder, served at another moment, visited by another phone.
    pub async fn later(self, now: &str) -> Self {
        Self::in_folder(self.close().await, now).await
    }

    /// The farm that lies in a folder.
    pub async fn in_folder(folder: TempDir, now: &str) -> Self {
        Self::serve(folder, moment(now), false).await
    }

    async fn serve(folder: TempDir, now: DateTime<Utc>, demo: bool) -> Self {
        let store = Store::open(&folder.path().join("endpost.db"), now)
            .await
            .expect("a store");
        let mut listen: Listen = SocketAddr::from(([127, 0, 0, 1], 0)).into();
        let known_as = [ON_THE_WIFI, FARM_ADDRESS];
        listen.known_as = known_as.map(|one| one.parse().expect("an address")).into();
        let server = Server::bind(store.clone(), Clock::starting_at(now), demo, listen)
            .await
            .expect("a free port");
        let address = server.url().trim_end_matches('/').to_owned();
        let (stop, stopped) = oneshot::channel();
        let running = tokio::spawn(server.run_until(async {
            // A farm that is dropped without a word stops as well.
            let _ = stopped.await;
        }));
        Self {
            store,
            client: client_at(&address),
            address,
            folder,
            stop,
            running,
        }
    }

    /// A farm that went through the first start, with one block: A Marquette.
    pub async fn started() -> Self {
        Self::started_at(MORNING).await
    }

    /// The same at a moment of the farm's clock.
    pub async fn started_at(now: &str) -> Self {
        let farm = Self::empty_at(now).await;
        farm.fill(
            "/start",
            &[
                ("name", "Tamarack Bend"),
                ("zone", "America/New_York"),
                ("block_name", "A"),
                ("variety", "Marquette"),
            ],
        )
        .await
        .sent_to("/ripeness/new");
        farm
    }

    /// Where its data lies.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// "http://127.0.0.1:41235" and the path.
    pub fn url(&self, path: &str) -> String {
        format!("{}{path}", self.address)
    }

    pub async fn get(&self, path: &str) -> Page {
        self.ask(Method::GET, path, None).await
    }

    /// Posts fields as a browser does.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Page {
        self.ask(Method::POST, path, Some(form_of(fields))).await
    }

    /// Any request, with a body of a kind or none.
    pub async fn ask(&self, method: Method, path: &str, body: Option<(&str, Vec<u8>)>) -> Page {
        ask(&self.client, &self.address, method, path, body).await
    }

    /// Opens the page of a form, changes some of its fields and sends it as the page would.
    pub async fn fill(&self, path: &str, changes: &[(&str, &str)]) -> Page {
        let page = self.get(path).await;
        assert_eq!(page.status, 200, "the form {path}: {}", page.text());
        self.send(&page, changes).await
    }

    /// Sends the first posting form of a page with some of its fields changed.
    pub async fn send(&self, page: &Page, changes: &[(&str, &str)]) -> Page {
        let mut form = page.form();
        for (name, _) in changes {
            form.fields.retain(|(found, _)| found != name);
        }
        let mut fields: Vec<(&str, &str)> = form
            .fields
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        fields.extend(changes);
        self.post(&form.path, &fields).await
    }

    /// Posts fields and opens the record they lead to, if they lead to one.
    pub async fn enter(&self, path: &str, fields: &[(&str, &str)]) -> Page {
        self.led_on(self.post(path, fields).await).await
    }

    /// Opens a form, types into it, saves, and opens what it leads to: a record, or the same
    /// page asking.
    pub async fn type_in(&self, path: &str, changes: &[(&str, &str)]) -> Page {
        self.led_on(self.fill(path, changes).await).await
    }

    /// Taps the button of this label, whatever page shows it, and opens what it leads to.
    pub async fn tap(&self, page: &Page, label: &str) -> Page {
        let form = page.form_of_button(label);
        let fields: Vec<(&str, &str)> = form
            .fields
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        self.enter(&form.path, &fields).await
    }

    /// Saves the same page again, unchanged.
    pub async fn save_again(&self, page: &Page) -> Page {
        self.tap(page, "Save").await
    }

    async fn led_on(&self, answer: Page) -> Page {
        match answer.status {
            303 => self.get(answer.location()).await,
            _ => answer,
        }
    }

    /// Fills a form, expects it to be stored, and opens the record it leads to.
    pub async fn save(&self, path: &str, changes: &[(&str, &str)]) -> Page {
        let answer = self.fill(path, changes).await;
        assert_eq!(answer.status, 303, "{path}: {}", answer.text());
        let page = self.get(answer.location()).await;
        assert_eq!(page.status, 200, "{}: {}", page.path, page.text());
        page
    }

    /// The id of a block by its name.
    pub async fn block(&self, name: &str) -> String {
        let mut read = self.store.read().await.expect("a view");
        let blocks = read.blocks().await.expect("the blocks");
        blocks
            .iter()
            .find(|one| one.block.name == name)
            .unwrap_or_else(|| panic!("no block {name}"))
            .id
            .to_string()
    }

    /// Stops the server, waits until the store is closed, and hands the folder over.
    pub async fn close(self) -> TempDir {
        let Self {
            store,
            stop,
            running,
            folder,
            client,
            ..
        } = self;
        // Connections that are kept open would hold the server up.
        drop(client);
        stop.send(()).expect("a server that still runs");
        running
            .await
            .expect("a server that did not panic")
            .expect("a server that stopped cleanly");
        drop(store);
        folder
    }
}
