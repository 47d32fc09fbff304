//! A real browser without a window: its driver on a free port, one session of the width of a
//! phone, the console it kept, the paper it prints. One at a time, since two cores serve them all.
//! Not here: what a page must be like.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};

use base64::Engine;
use serde_json::{Value, json};
use tempfile::TempDir;
use tokio::sync::{Mutex, MutexGuard};

use super::processes::{below, runs};

static ONE_AT_A_TIME: Mutex<()> = Mutex::const_new(());

const INSTALL: &str = "The browser tests need Chromium, its driver and Poppler's tools. On Debian: \
                       apt-get install chromium chromium-driver poppler-utils. Then run \
                       tests/all.sh again.";

const FLAGS: [&str; 10] = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--hide-scrollbars",
];

/// An address as a farm's network has them.
pub const FARM_ADDRESS: &str = "192.168.77.5";

/// Paper as it is fed to the printer, in millimetres.
#[derive(Clone, Copy, Debug)]
pub struct Paper {
    pub name: &'static str,
    pub width_mm: f64,
    pub height_mm: f64,
}

pub const A4: Paper = Paper {
    name: "A4",
    width_mm: 210.0,
    height_mm: 297.0,
};
pub const LETTER: Paper = Paper {
    name: "Letter",
    width_mm: 215.9,
    height_mm: 279.4,
};

/// The driver's process; the browser goes with it.
struct Driver {
    child: Child,
    address: String,
    session: Option<String>,
    /// The browser's own process.
    browser: Option<u64>,
    _printed: BufReader<ChildStdout>,
}

/// One session of a browser.
pub struct Browser {
    driver: Driver,
    http: reqwest::Client,
    _profile: Option<TempDir>,
    _turn: MutexGuard<'static, ()>,
}

/// Where a program of the browser's kin lies, or what to install.
pub fn tool(names: &[&str]) -> PathBuf {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path)
        .flat_map(|folder| names.iter().map(move |name| folder.join(name)))
        .find(|file| file.is_file())
        .unwrap_or_else(|| panic!("{} is not installed. {INSTALL}", names[0]))
}

impl Driver {
    fn start() -> Self {
        let mut child = Command::new(tool(&["chromedriver"]))
            .arg("--port=0")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|error| panic!("chromedriver does not start ({error}). {INSTALL}"));
        let mut printed = BufReader::new(child.stdout.take().expect("its output"));
        let port = (&mut printed)
            .lines()
            .map_while(Result::ok)
            .find_map(|line| port_in(&line))
            .expect("the port chromedriver prints");
        Self {
            child,
            address: format!("http://127.0.0.1:{port}"),
            session: None,
            browser: None,
            _printed: printed,
        }
    }
}

/// "ChromeDriver was started successfully on port 41235."
fn port_in(line: &str) -> Option<u16> {
    let (_, port) = line.split_once("started successfully on port ")?;
    port.trim_end_matches('.').trim().parse().ok()
}

impl Drop for Driver {
    fn drop(&mut self) {
        // The driver ends its browser when the session is deleted; that must happen even while a
        // test panics, so it is said by hand over a plain connection.
        if let Some(session) = &self.session {
            let _ = delete(&self.address, session);
        }
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn delete(address: &str, session: &str) -> std::io::Result<()> {
    use std::io::{Read, Write};
    let host = address.trim_start_matches("http://");
    let mut stream = std::net::TcpStream::connect(host)?;
    stream.set_read_timeout(Some(std::time::Duration::from_secs(10)))?;
    write!(
        stream,
        "DELETE /session/{session} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"
    )?;
    stream.read(&mut [0; 64]).map(|_| ())
}

impl Browser {
    /// A fresh session, 360 pixels wide as a small phone is.
    pub async fn start() -> Self {
        let profile = tempfile::tempdir().expect("a folder for the browser");
        let mut browser = Self::over(profile.path()).await;
        browser._profile = Some(profile);
        browser
    }

    /// A session over a profile that holds what sessions before it left. What it calls
    /// `FARM_ADDRESS` is this machine, and no secure context as no address on a farm's network is.
    pub async fn over(profile: &Path) -> Self {
        let turn = ONE_AT_A_TIME.lock().await;
        let driver = Driver::start();
        let mut flags: Vec<String> = FLAGS.iter().map(|flag| (*flag).to_owned()).collect();
        flags.push(format!("--user-data-dir={}", profile.display()));
        flags.push(format!(
            "--host-resolver-rules=MAP {FARM_ADDRESS} 127.0.0.1"
        ));
        let wanted = json!({
            "goog:chromeOptions": {
                "binary": tool(&["chromium", "chromium-browser", "google-chrome"]),
                "args": flags,
            },
            "goog:loggingPrefs": { "browser": "ALL" },
            "timeouts": { "pageLoad": 60_000, "script": 60_000 },
        });
        let mut browser = Self {
            driver,
            http: reqwest::Client::new(),
            _profile: None,
            _turn: turn,
        };
        let order = json!({ "capabilities": { "alwaysMatch": wanted } });
        let answer = browser.post("session", order).await;
        let session = answer["sessionId"].as_str();
        let session = session.unwrap_or_else(|| panic!("no browser session. {INSTALL}"));
        browser.driver.session = Some(session.to_owned());
        browser.driver.browser = answer["capabilities"]["goog:processID"].as_u64();
        browser.width(360).await;
        // Without a screen no window is in front; pages are to think that theirs is.
        let focus = json!({ "enabled": true });
        let emulate = "Emulation.setFocusEmulationEnabled";
        browser.devtools(emulate, focus).await;
        browser
    }

    /// Sets the width of what pages see, as on a phone.
    pub async fn width(&self, pixels: u32) {
        let size = json!({
            "width": pixels, "height": 800, "deviceScaleFactor": 2, "mobile": true,
        });
        self.devtools("Emulation.setDeviceMetricsOverride", size)
            .await;
    }

    /// Shows pages as paper does ("print") or as the screen does ("").
    pub async fn medium(&self, name: &str) {
        self.devtools("Emulation.setEmulatedMedia", json!({ "media": name }))
            .await;
    }

    pub async fn open(&self, url: &str) {
        self.say("url", json!({ "url": url })).await;
    }

    /// Ends the browser as a phone ends one that it needs the memory of: nothing can be finished
    /// any more.
    pub fn kill_at_once(mut self) {
        let process = self.driver.browser.expect("the number of its process");
        let helpers = below(process);
        let killed = Command::new("kill")
            .args(["-9", &process.to_string()])
            .status();
        assert!(killed.expect("a way to kill it").success());
        // Its helpers end by themselves. While the one that holds the store still runs, the next
        // browser over the same profile may take the store for broken and begin an empty one.
        let mut looks = 0;
        while helpers.iter().any(|helper| runs(*helper)) {
            looks += 1;
            assert!(looks < 5000, "the browser's helpers do not end");
        }
        // There is no session left to end.
        self.driver.session = None;
    }

    /// Loads the page again, if it answers.
    pub async fn reload(&self) {
        self.try_to("refresh", json!({})).await;
    }

    pub async fn back(&self) {
        self.say("back", json!({})).await;
    }

    /// Runs a script on every page from now on, before the page's own.
    pub async fn before_each_page(&self, script: &str) {
        let order = json!({ "source": script });
        self.devtools("Page.addScriptToEvaluateOnNewDocument", order)
            .await;
    }

    /// Waits until a script gives back something true, also across pages.
    pub async fn until(&self, what: &str, script: &str) {
        for _ in 0..400 {
            let order = json!({ "script": script, "args": [] });
            if self.try_to("execute/sync", order).await == Some(Value::Bool(true)) {
                return;
            }
            self.moment().await;
        }
        let shown = self.ask("return document.body?.innerText").await;
        let console = self.console().await;
        panic!("{what} does not come; the page says {shown}; the console {console:?}");
    }

    /// Lets the page get on.
    pub async fn moment(&self) {
        let script = "setTimeout(arguments[arguments.length - 1], 50)";
        let pause = json!({ "script": script, "args": [] });
        // The page may go meanwhile.
        self.try_to("execute/async", pause).await;
    }

    /// A second window, which is worked in from now on; gives back both handles.
    pub async fn second_window(&self) -> [String; 2] {
        let first = self.find("window").await;
        let second = self.say("window/new", json!({ "type": "tab" })).await;
        let handles = [&first, &second["handle"]];
        let handles = handles.map(|handle| handle.as_str().unwrap_or_default().to_owned());
        self.window(&handles[1]).await;
        handles
    }

    pub async fn window(&self, handle: &str) {
        self.say("window", json!({ "handle": handle })).await;
    }

    /// What a script gives back.
    pub async fn ask(&self, script: &str) -> Value {
        self.say("execute/sync", json!({ "script": script, "args": [] }))
            .await
    }

    /// What a script hands to the last of its arguments once it is done.
    pub async fn await_script(&self, script: &str) -> Value {
        self.say("execute/async", json!({ "script": script, "args": [] }))
            .await
    }

    /// All that the console holds since it was read last.
    pub async fn console(&self) -> Vec<String> {
        let lines = self.say("se/log", json!({ "type": "browser" })).await;
        let lines = lines.as_array().expect("the lines of the console").clone();
        lines.iter().map(Value::to_string).collect()
    }

    /// The page as a PDF on a paper; the page's own orientation wins.
    pub async fn print(&self, paper: Paper) -> Vec<u8> {
        let order = json!({
            "background": true,
            "shrinkToFit": false,
            "page": { "width": paper.width_mm / 10.0, "height": paper.height_mm / 10.0 },
        });
        let answer = self.say("print", order).await;
        let text = answer.as_str().expect("a PDF as text");
        base64::engine::general_purpose::STANDARD
            .decode(text)
            .expect("base64")
    }

    async fn devtools(&self, command: &str, about: Value) -> Value {
        let order = json!({ "cmd": command, "params": about });
        self.say("goog/cdp/execute", order).await
    }

    /// Says something about this session.
    async fn say(&self, what: &str, about: Value) -> Value {
        let session = self.driver.session.as_deref().unwrap_or_default();
        self.post(&format!("session/{session}/{what}"), about).await
    }

    /// Says something about this session that may fail.
    async fn try_to(&self, what: &str, about: Value) -> Option<Value> {
        let session = self.driver.session.as_deref().unwrap_or_default();
        let value = self.send(&format!("session/{session}/{what}"), about).await;
        value["error"].is_null().then_some(value)
    }

    /// Asks something of this session.
    async fn find(&self, what: &str) -> Value {
        let session = self.driver.session.as_deref().unwrap_or_default();
        let path = format!("{}/session/{session}/{what}", self.driver.address);
        value_of(self.http.get(path)).await
    }

    /// One command of the WebDriver protocol; a fault ends the test.
    async fn post(&self, path: &str, about: Value) -> Value {
        let value = self.send(path, about).await;
        assert!(value["error"].is_null(), "{path}: {value}");
        value
    }

    async fn send(&self, path: &str, about: Value) -> Value {
        let request = self
            .http
            .post(format!("{}/{path}", self.driver.address))
            .header("content-type", "application/json")
            .body(about.to_string());
        value_of(request).await
    }
}

async fn value_of(request: reqwest::RequestBuilder) -> Value {
    let answer = request.send().await.expect("the driver's answer");
    let text = answer.text().await.expect("the driver's answer");
    let mut answer: Value = serde_json::from_str(&text).expect("JSON");
    answer["value"].take()
}
