//! Sprays as a keeper meets them: typed into pages, read on the board, over HTTP.
//! Not here: the sums alone (`entry::hold`). The small harness below is this room's own.

mod asked;
mod board;
mod ground;
mod plan;
mod record;

use chrono::DateTime;
use endpost::clock::Clock;
use endpost::program::serve::Server;
use endpost::store::Store;
use tempfile::TempDir;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;

type Pairs<'a> = Vec<(&'a str, &'a str)>;

/// Tamarack Bend, served on a loopback port at a moment of its own clock.
struct Farm {
    folder: TempDir,
    base: String,
    client: reqwest::Client,
    stop: oneshot::Sender<()>,
    served: JoinHandle<()>,
}

/// A page as it came.
struct Page {
    status: u16,
    path: String,
    html: String,
}

impl Farm {
    /// The five blocks with their rows, and nothing sprayed.
    async fn at(now: &str) -> Self {
        let farm = Self::serve(TempDir::new().unwrap(), "2027-01-02T08:00:00-05:00").await;
        let start = vec![
            ("name", "Tamarack Bend"),
            ("zone", "America/New_York"),
            ("temperature", "fahrenheit"),
            ("mass", "pound"),
            ("length", "foot"),
            ("block_name", "A"),
            ("variety", "Marquette"),
        ];
        farm.post("/start", &start).await;
        for (name, variety) in [
            ("B", "Frontenac"),
            ("C", "Vidal"),
            ("D", "Traminette"),
            ("E", "Cabernet franc"),
        ] {
            let block = vec![("name", name), ("variety", variety)];
            farm.post("/blocks", &block).await;
        }
        for (block, rows) in [
            ("A", "8 rows, 11 panels, 4 vines"),
            ("B", "6 rows, 11 panels, 4 vines"),
            ("C", "5 rows, 9 panels, 4 vines"),
            ("D", "4 rows, 9 panels, 4 vines"),
        ] {
            let rows = vec![("block", block), ("rows", rows), ("from", "2027-01-01")];
            let page = farm.post("/rows", &rows).await;
            assert!(page.path.starts_with("/entries/"), "{}", page.words());
        }
        farm.later(now).await
    }

    async fn serve(folder: TempDir, now: &str) -> Self {
        let now = DateTime::parse_from_rfc3339(now).unwrap().to_utc();
        let store = Store::open(&folder.path().join("endpost.db"), now)
            .await
            .unwrap();
        let listen = "127.0.0.1:0".parse().unwrap();
        let server = Server::bind(store, Clock::starting_at(now), false, listen)
            .await
            .unwrap();
        let base = server.url().trim_end_matches('/').to_owned();
        let (stop, stopped) = oneshot::channel::<()>();
        let served = tokio::spawn(async move {
            let stopped = async {
                stopped.await.ok();
            };
            server.run_until(stopped).await.unwrap();
        });
        let client = reqwest::Client::builder()
            .cookie_store(true)
            .no_proxy()
            .build()
            .unwrap();
        Self {
            folder,
            base,
            client,
            stop,
            served,
        }
    }

    /// The same farm at another moment.
    async fn later(self, now: &str) -> Self {
        self.stop.send(()).unwrap();
        drop(self.client);
        self.served.await.unwrap();
        Self::serve(self.folder, now).await
    }

    async fn get(&self, path: &str) -> Page {
        let sent = self.client.get(format!("{}{path}", self.base)).send();
        Page::of(sent.await.unwrap()).await
    }

    async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Page {
        let body = form_urlencoded::Serializer::new(String::new())
            .extend_pairs(fields)
            .finish();
        let sent = self
            .client
            .post(format!("{}{path}", self.base))
            .header("content-type", "application/x-www-form-urlencoded")
            .body(body)
            .send();
        Page::of(sent.await.unwrap()).await
    }

    /// Sends a spray's fields.
    async fn spray(&self, fields: &[(&str, &str)]) -> Page {
        self.post("/sprays", fields).await
    }

    /// Sends the same fields again with what the page carries hidden, and an answer tapped.
    async fn tap(&self, page: &Page, fields: &[(&str, &str)], label: &str) -> Page {
        let offers = page.offers();
        let (_, answer) = offers
            .iter()
            .find(|(offer, _)| offer == label)
            .unwrap_or_else(|| panic!("no {label:?} among {offers:?}"));
        let hidden = page.hidden();
        let mut all: Pairs = fields.to_vec();
        all.extend(hidden.iter().map(|(name, value)| (&**name, &**value)));
        all.push(("answer", answer));
        self.spray(&all).await
    }

    /// Sends the same fields again with "Save", tapping nothing.
    async fn save_again(&self, page: &Page, fields: &[(&str, &str)]) -> Page {
        let hidden = page.hidden();
        let mut all: Pairs = fields.to_vec();
        all.extend(hidden.iter().map(|(name, value)| (&**name, &**value)));
        self.spray(&all).await
    }

    /// The board in words.
    async fn board(&self) -> String {
        let page = self.get("/sprays/board").await;
        assert_eq!(page.status, 200);
        page.words()
    }
}

impl Page {
    async fn of(answer: reqwest::Response) -> Self {
        Self {
            status: answer.status().as_u16(),
            path: answer.url().path().to_owned(),
            html: answer.text().await.unwrap(),
        }
    }

    /// What stands on the page, without tags and with single blanks.
    fn words(&self) -> String {
        let (_, body) = self.html.split_once("</head>").unwrap_or(("", &self.html));
        let mut plain = String::new();
        let mut inside_tag = false;
        for sign in body.chars() {
            match sign {
                '<' => inside_tag = true,
                '>' => {
                    inside_tag = false;
                    plain.push(' ');
                }
                _ if inside_tag => {}
                _ => plain.push(sign),
            }
        }
        let plain = unescaped(&plain);
        plain.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// The answers to tap: label and value.
    fn offers(&self) -> Vec<(String, String)> {
        self.html
            .split("<button class=\"offer\" name=\"answer\" value=\"")
            .skip(1)
            .filter_map(|rest| {
                let (value, rest) = rest.split_once("\">")?;
                let (label, _) = rest.split_once('<')?;
                Some((unescaped(label), unescaped(value)))
            })
            .collect()
    }

    fn hidden(&self) -> Vec<(String, String)> {
        self.html
            .split("<input type=\"hidden\" name=\"")
            .skip(1)
            .filter_map(|rest| {
                let (name, rest) = rest.split_once("\" value=\"")?;
                let (value, _) = rest.split_once('"')?;
                Some((unescaped(name), unescaped(value)))
            })
            .collect()
    }

    /// The record behind an entry's page.
    fn entry(&self) -> &str {
        self.path.strip_prefix("/entries/").unwrap()
    }

    #[track_caller]
    fn is_stored(&self) {
        assert!(self.words().contains("Stored"), "{}", self.words());
        assert!(self.path.starts_with("/entries/"), "{}", self.path);
    }

    #[track_caller]
    fn says(&self, text: &str) {
        assert!(self.words().contains(text), "{text:?} in {}", self.words());
    }

    #[track_caller]
    fn says_not(&self, text: &str) {
        assert!(!self.words().contains(text), "{text:?} in {}", self.words());
    }
}

fn unescaped(text: &str) -> String {
    text.replace("&#34;", "\"")
        .replace("&#39;", "'")
        .replace("&#60;", "<")
        .replace("&#62;", ">")
        .replace("&#38;", "&")
}

/// Story 9's first spray: two products, 12 h and 7 days, 48 h and 14 days.
fn story_9() -> Pairs<'static> {
    vec![
        ("block", "C"),
        ("block", "D"),
        ("date", "2027-09-04"),
        ("started", "09:10"),
        ("ended", "10:40"),
        ("volume", "45"),
        ("applicator", "keeper"),
        ("wind", "light, west"),
        ("temp", "64"),
        ("label_read", "yes"),
        ("product_1_name", "First"),
        ("product_1_reg", "000-1"),
        ("product_1_active", "sulfur"),
        ("product_1_rate", "3 lb an acre"),
        ("product_1_entry", "12"),
        ("product_1_harvest", "7"),
        ("product_2_name", "Second"),
        ("product_2_entry", "48 h"),
        ("product_2_harvest", "14 days"),
    ]
}

/// One product on block A.
fn one_product<'a>(date: &'a str, ended: &'a str, hours: &'a str, days: &'a str) -> Pairs<'a> {
    vec![
        ("block", "A"),
        ("date", date),
        ("ended", ended),
        ("product_1_name", "Third"),
        ("product_1_entry", hours),
        ("product_1_harvest", days),
    ]
}

/// The same fields with one of them typed otherwise.
fn with<'a>(fields: &[(&'a str, &'a str)], name: &'a str, value: &'a str) -> Pairs<'a> {
    let mut fields: Pairs = fields
        .iter()
        .copied()
        .filter(|(known, _)| *known != name)
        .collect();
    fields.push((name, value));
    fields
}
