//! A phone in the rows: a browser over its profile at an address as a farm's network has them,
//! typing into forms and reading what its pages say. Not here: the line (`line`), the farm.

use std::path::Path;

use serde_json::{Value, json};

use super::binary::serve;
use super::browser::{Browser, FARM_ADDRESS};
use super::farm::Farm;
use super::line::Line;
use endpost::store::{FIRST_DAY, LAST_DAY, Store};

/// A browser that reaches the farm at one port.
pub struct Handset {
    pub browser: Browser,
    pub port: u16,
}

/// The form for rain.
pub const FORM: &str = "/weather/new";

pub const SAVED: &str = "Saved on this phone";

impl Handset {
    /// A new phone.
    pub async fn new(port: u16) -> Self {
        Self {
            browser: Browser::start().await,
            port,
        }
    }

    /// A phone with what lay on it before.
    pub async fn over(profile: &Path, port: u16) -> Self {
        Self {
            browser: Browser::over(profile).await,
            port,
        }
    }

    pub fn url(&self, path: &str) -> String {
        format!("http://{FARM_ADDRESS}:{}{path}", self.port)
    }

    /// Opens a page and waits until its scripts have begun.
    pub async fn open(&self, path: &str) {
        self.browser.open(&self.url(path)).await;
        self.begun().await;
    }

    /// Follows a link, as no address typed by hand does.
    pub async fn go(&self, path: &str) {
        let script = format!("location.assign({})", json!(path));
        self.browser.ask(&script).await;
        let there = format!("return location.pathname === {}", json!(path));
        self.browser.until(path, &there).await;
        self.begun().await;
    }

    /// Follows a link to a page that is kept until it comes out of the browser's own store, which a
    /// copy may reach a moment after the phone has noted it.
    pub async fn go_to_kept(&self, path: &str) {
        self.has_kept(path).await;
        let size = "return performance.getEntriesByType('navigation')[0].transferSize";
        for _ in 0..20 {
            self.open("/").await;
            self.go(path).await;
            if self.browser.ask(size).await == 0 {
                return;
            }
        }
        panic!("{path} never comes out of the browser's own store");
    }

    /// Waits until the phone has a copy of a page for opening out of range.
    pub async fn has_kept(&self, path: &str) {
        for _ in 0..400 {
            let known = self.box_holds("meta").await;
            if known.iter().any(|one| one["path"] == path) {
                return;
            }
            self.browser.moment().await;
        }
        panic!("{path} was not kept");
    }

    pub async fn begun(&self) {
        let bar = "return document.readyState === 'complete'
                       && document.querySelector('#sent a') !== null";
        self.browser.until("the bar", bar).await;
    }

    /// Types into fields as a person does: the page hears of each.
    pub async fn type_in(&self, fields: &[(&str, &str)]) {
        let script = format!(
            "for (const [name, text] of {}) {{
                 const all = [...document.querySelectorAll(`form[data-form] [name=\"${{name}}\"]`)];
                 const one = all.find(one => one.value === text && one.type === 'radio') ?? all[0];
                 if (one.type === 'radio' || one.type === 'checkbox') one.checked = true;
                 else one.value = text;
                 one.dispatchEvent(new Event('input', {{ bubbles: true }}));
             }}",
            json!(fields)
        );
        self.browser.ask(&script).await;
    }

    /// Taps the first element that a selector finds.
    pub async fn tap(&self, selector: &str) {
        let script = format!("document.querySelector({}).click()", json!(selector));
        self.browser.ask(&script).await;
    }

    pub async fn tap_labelled(&self, label: &str) {
        let script = format!(
            "[...document.querySelectorAll('button')].find(one => one.innerText === {}).click()",
            json!(label)
        );
        self.browser.ask(&script).await;
    }

    pub async fn save(&self) {
        self.tap("button.main").await;
    }

    /// Waits until the page says something.
    pub async fn says(&self, text: &str) {
        let script = format!("return document.body.innerText.includes({})", json!(text));
        self.browser.until(text, &script).await;
    }

    /// Waits until the bar begins with something.
    pub async fn bar_says(&self, text: &str) {
        let script = format!(
            "return document.querySelector('#sent strong')?.innerText.includes({})",
            json!(text)
        );
        self.browser.until(text, &script).await;
    }

    /// Types rain in inches and taps Save.
    pub async fn rain(&self, inches: &str) {
        self.type_in(&[("rain", inches)]).await;
        self.save().await;
    }

    /// The text of a field.
    pub async fn typed(&self, name: &str) -> String {
        let script = format!("return document.querySelector('[name={name}]').value");
        let text = self.browser.ask(&script).await;
        text.as_str().unwrap_or_default().to_owned()
    }

    /// Waits until a field holds a text.
    pub async fn holds(&self, name: &str, text: &str) {
        let script = format!(
            "return document.querySelector('[name={name}]')?.value === {}",
            json!(text)
        );
        self.browser.until(&format!("{name} {text}"), &script).await;
    }

    /// All that waits, as its outbox page shows it.
    pub async fn shown_as_text(&self) -> String {
        self.tap("#as-text").await;
        let shown = "return document.getElementById('text').value !== ''";
        self.browser.until("the text", shown).await;
        let text = self
            .browser
            .ask("return document.getElementById('text').value")
            .await;
        text.as_str().unwrap_or_default().to_owned()
    }

    /// Hints that the farm computer may be in reach again, as the phone itself does.
    pub async fn in_reach(&self) {
        self.browser.ask("dispatchEvent(new Event('online'))").await;
    }

    /// Everything that lies in a store of its box.
    pub async fn box_holds(&self, store: &str) -> Vec<Value> {
        let script = format!(
            "const done = arguments[arguments.length - 1];
             const asked = indexedDB.open('endpost');
             asked.onsuccess = () => {{
                 const all = asked.result.transaction('{store}').objectStore('{store}').getAll();
                 all.onsuccess = () => {{ asked.result.close(); done(all.result); }};
             }};"
        );
        let all = self.browser.await_script(&script).await;
        all.as_array().expect("a list").clone()
    }
}

/// A farm, the line to it, and a phone that has the form for rain open.
pub async fn in_the_rows() -> (Farm, Line, Handset) {
    let farm = Farm::started().await;
    let line = Line::to(&farm.url("")).await;
    let phone = Handset::new(line.port).await;
    phone.open(FORM).await;
    (farm, line, phone)
}

/// The end of a test: the phone goes first.
pub async fn gone_home(farm: Farm, phone: Handset) {
    drop(phone);
    farm.close().await;
}

/// The rain that a farm holds, in inches, once for each entry, the least first. What waits to be
/// looked at stands as it was typed.
pub async fn rain_of(store: &Store) -> Vec<String> {
    let mut read = store.read().await.expect("a view");
    let counting = read.weather_between(FIRST_DAY, LAST_DAY).await;
    let counting = counting.expect("the weather").into_iter();
    let mut found: Vec<String> = counting
        .filter_map(|(_, day)| day.rain_mm)
        .map(|rain| format!("{:.2}", rain / 25.4))
        .collect();
    let waiting = read.need_a_look().await.expect("what needs a look");
    found.extend(
        waiting
            .iter()
            .map(|entry| entry.fields.first("rain").to_owned()),
    );
    found.sort();
    found
}

/// The same once the server is gone, from its data folder.
pub async fn rain_in(folder: &Path) -> Vec<String> {
    let now = chrono::Utc::now();
    let store = Store::open(&folder.join("endpost.db"), now).await;
    let store = store.expect("the farm's database");
    let found = rain_of(&store).await;
    store.close().await;
    found
}

/// A phone that has saved 0.1 in. of rain at a farm that stands still since, and the port that the
/// farm was served at.
pub async fn one_saved(folder: &Path) -> (u16, Handset) {
    let served = serve(folder);
    let port = served.port();
    let phone = Handset::new(port).await;
    phone.open(FORM).await;
    phone.rain("0.1").await;
    phone.says("Stored ").await;
    served.kill_at_once();
    // Opened and closed, the file holds all of its log.
    assert_eq!(rain_in(folder).await, ["0.10"]);
    (port, phone)
}
