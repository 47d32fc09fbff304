//! The start lines of the real program: every address it prints is one that it answers.

use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child, Command, Stdio};

use endpost::program::announce::{LetsIn, Start};
use endpost::web::reach::{Host, Name};

use super::shed::{Made, reach};
use crate::support::binary::PROGRAM;

/// A served farm, with all that it printed before it was ready.
struct Started {
    child: Child,
    lines: Vec<String>,
}

impl Started {
    fn with(data: &Path, words: &[&str]) -> Self {
        let mut child = Command::new(PROGRAM)
            .arg("serve")
            .arg("--data")
            .arg(data)
            .args(words)
            .env_remove("ENDPOST_DATA")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the built program");
        let printed = BufReader::new(child.stdout.take().expect("its output"));
        let mut lines: Vec<String> = Vec::new();
        for line in printed.lines().map_while(Result::ok) {
            let is_last = line.starts_with("Stop with");
            lines.push(line);
            if is_last {
                break;
            }
        }
        Self { child, lines }
    }

    fn text(&self) -> String {
        self.lines.join("\n")
    }

    /// Every address that is printed, without what stands behind the port.
    fn hosts(&self) -> Vec<Host> {
        let text = self.text();
        let hosts = text.split("http://").skip(1).filter_map(|rest| {
            let host = rest.split('/').next()?;
            Some(host.parse().expect("an address with a host"))
        });
        let mut found: Vec<Host> = Vec::new();
        for host in hosts {
            if !found.contains(&host) {
                found.push(host);
            }
        }
        assert!(!found.is_empty(), "{text}");
        found
    }
}

impl Drop for Started {
    fn drop(&mut self) {
        // It needs nothing any more.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A client that takes any name for this computer, as a phone that knows such names does.
async fn status(host: &Host) -> u16 {
    let here: SocketAddr = ([127, 0, 0, 1], host.port).into();
    let mut client = reqwest::Client::builder();
    if let Name::Word(word) = &host.name {
        client = client.resolve(word, here);
    }
    let client = client.build().expect("a client");
    let url = format!("{}help/connect", host.url());
    let answer = client.get(url).send().await;
    answer.expect("an answer").status().as_u16()
}

#[tokio::test]
async fn every_address_it_prints_is_answered() {
    let folder = tempfile::tempdir().unwrap();
    let started = Started::with(folder.path(), &["--listen", "0.0.0.0:0"]);
    let text = started.text();
    assert!(text.contains("NO PHONE IS LET IN YET"), "{text}");
    for host in started.hosts() {
        assert_eq!(status(&host).await, 200, "{host} of\n{text}");
    }
    let database = folder.path().join("endpost.db");
    assert!(text.contains(database.to_str().unwrap()), "{text}");
    assert!(text.contains("/help/connect"), "{text}");
    assert!(!text.contains('█'), "a square, though nobody looks: {text}");
}

#[tokio::test]
async fn on_this_computer_alone_it_prints_no_other_address() {
    let folder = tempfile::tempdir().unwrap();
    let started = Started::with(folder.path(), &["--listen", "127.0.0.1:0"]);
    let text = started.text();
    for host in started.hosts() {
        assert!(host.name.is_loopback(), "{host} of\n{text}");
        assert_eq!(status(&host).await, 200, "{host}");
    }
    assert!(text.contains("alone"), "{text}");
    assert!(text.contains("--listen 0.0.0.0:"), "{text}");
    assert!(!text.contains("IS LET IN"), "{text}");
}

#[tokio::test]
async fn the_square_is_drawn_where_it_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let words = ["--listen", "127.0.0.1:0", "--known-as", "farm.lan", "--qr"];
    let started = Started::with(folder.path(), &words);
    let last = started
        .lines
        .iter()
        .rposition(|line| line.ends_with("\x1b[0m"));
    let under = &started.lines[last.expect("a square") + 1];
    assert!(under.starts_with("http://farm.lan:"), "under it: {under}");
    let named = started.hosts();
    let named = named.iter().find(|host| !host.name.is_loopback());
    assert_eq!(status(named.expect("farm.lan")).await, 200);
}

/// The address that phones were told is remembered from one start to the next.
#[test]
fn a_changed_address_is_said_loudly_at_the_start() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &'static str| {
        let words = ["--listen", "127.0.0.1:0", "--known-as", name];
        Started::with(folder.path(), &words).text()
    };
    let first = at("192.168.1.20");
    assert!(!first.contains("HAS CHANGED"), "{first}");
    let second = at("192.168.1.33");
    assert!(second.contains("THE ADDRESS HAS CHANGED"), "{second}");
    let told = "Phones may hold entries for http://192.168.1.20:";
    assert!(second.contains(told), "{second}");
    assert!(second.contains("It is http://192.168.1.33:"), "{second}");
}

#[test]
fn what_there_is_to_watch_out_for_is_said_plainly() {
    let computer = Made::with(&[("docker0", "172.17.0.1"), ("eth0", "192.168.1.20")]);
    let mut start = Start {
        older_copy: false,
        data: Path::new("/farm/endpost.db"),
        ways: reach("0.0.0.0:8087", &[], computer).ways(),
        moved: None,
        lets_in: LetsIn::Here,
        troubles: Vec::new(),
        square: false,
    };
    let quiet = "Data     /farm/endpost.db
Open     http://127.0.0.1:8087/
Phones   http://192.168.1.20:8087/
         http://shed.local:8087/ where the phone knows such names
Aside    http://172.17.0.1:8087/ (docker0: this computer itself, or a tunnel)
Help     http://127.0.0.1:8087/help/connect

  NO PHONE IS LET IN YET. First set the keeper's passphrase, on this computer:
  http://127.0.0.1:8087/passphrase

Stop with Ctrl-C.
";
    assert_eq!(start.lines(), quiet);
    start.troubles = vec!["62 MB left.".to_owned()];
    assert!(start.lines().contains("\n  62 MB left.\n"));
    start.lets_in = LetsIn::Everybody;
    assert!(start.lines().contains("EVERYBODY IS LET IN"));
    start.lets_in = LetsIn::ByCode;
    assert!(start.lines().contains("http://127.0.0.1:8087/phones/new"));
}

#[test]
fn a_name_with_a_port_or_a_path_is_a_slip() {
    for name in ["http://farm.lan", "farm.lan:8087", "farm lan", ""] {
        let answer = crate::support::binary::run(&["serve", "--known-as", name]);
        assert_eq!(answer.status.code(), Some(2), "{name:?}");
        let said = String::from_utf8(answer.stderr).unwrap();
        assert!(said.contains("write a name such as"), "{said}");
    }
}
