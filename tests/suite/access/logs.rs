//! What the program writes to its log, even when it is asked to tell everything, holds no secret.

use std::io::{BufRead, BufReader, Read};
use std::process::{Command, Stdio};

use reqwest::redirect::Policy;

use crate::support::binary::PROGRAM;
use crate::support::caller::PASSPHRASE;

/// The text between two others.
fn between<'a>(text: &'a str, before: &str, after: &str) -> &'a str {
    let (_, rest) = text.split_once(before).expect("what stands before");
    rest.split_once(after).expect("what stands after").0
}

#[tokio::test]
async fn no_secret_stands_in_the_log() {
    let folder = tempfile::tempdir().expect("a folder");
    let log = folder.path().join("log");
    let mut child = Command::new(PROGRAM)
        .args(["serve", "--known-as", "192.168.1.20"])
        .args(["--listen", "127.0.0.1:0", "--data"])
        .arg(folder.path().join("farm"))
        .env("ENDPOST_LOG", "trace")
        .stdout(Stdio::piped())
        .stderr(std::fs::File::create(&log).expect("a log"))
        .spawn()
        .expect("the built program");
    let mut printed = BufReader::new(child.stdout.take().expect("its output"));
    let mut said = String::new();
    while !said.contains("Stop with") {
        assert_ne!(printed.read_line(&mut said).expect("a line"), 0, "{said}");
    }
    let address = format!("http://{}", between(&said, "http://", "/"));
    let client = reqwest::Client::builder()
        .redirect(Policy::none())
        .cookie_store(true)
        .build()
        .expect("a client");
    let post = async |path: &str, fields: &[(&str, &str)]| {
        let body = form_urlencoded::Serializer::new(String::new())
            .extend_pairs(fields)
            .finish();
        let request = client
            .post(format!("{address}{path}"))
            .header("origin", &address)
            .header("content-type", "application/x-www-form-urlencoded")
            .body(body);
        request.send().await.expect("an answer")
    };
    let get = async |path: &str| {
        let answer = client.get(format!("{address}{path}")).send().await;
        answer.expect("an answer").text().await.expect("a page")
    };
    let place = |answer: &reqwest::Response| {
        let to = answer.headers()["location"].to_str();
        to.expect("a path").to_owned()
    };
    let start = [
        ("name", "Tamarack Bend"),
        ("zone", "America/New_York"),
        ("block_name", "A"),
        ("temperature", "fahrenheit"),
        ("mass", "pound"),
        ("length", "foot"),
    ];
    assert_eq!(post("/start", &start).await.status(), 303);
    let typed = [("new", PASSPHRASE), ("again", PASSPHRASE)];
    let set = post("/passphrase", &typed).await;
    let cookie = set.headers()["set-cookie"].to_str().expect("a cookie");
    let session = between(cookie, "ep_s=", ";").to_owned();
    let wrong = "not the passphrase at all";
    assert_eq!(post("/login", &[("passphrase", wrong)]).await.status(), 422);
    let made = post("/phones/new", &[("role", "helper")]).await;
    let shown = get(&place(&made)).await;
    let code = between(&shown, "<p class=\"key\">", "</p>").to_owned();
    let share = [
        ("what", "/harvest/sheet"),
        ("title", "x"),
        ("until", "2099-01-01"),
    ];
    // Too late a day: nothing is made, and what was typed is a slip.
    assert_eq!(post("/shares", &share).await.status(), 422);
    let new = get("/shares/new?what=/harvest/sheet&title=x").await;
    let until = between(&new, "type=\"date\" value=\"", "\"").to_owned();
    let share = [
        ("what", "/harvest/sheet"),
        ("title", "x"),
        ("until", until.as_str()),
    ];
    let shared = get(&place(&post("/shares", &share).await)).await;
    let link = between(&shared, "/v/", "<").to_owned();
    assert_eq!(
        post("/pair", &[("code", &code), ("then", "/")])
            .await
            .status(),
        303
    );
    client
        .get(format!("{address}/v/{link}"))
        .send()
        .await
        .expect("an answer");
    child.kill().expect("an end");
    child.wait().expect("an end");
    printed.read_to_string(&mut said).expect("the rest");
    let told = std::fs::read_to_string(&log).expect("the log");
    assert!(
        !told.is_empty(),
        "a log that tells everything tells something"
    );
    for secret in [
        PASSPHRASE,
        wrong,
        &session,
        &code,
        &code.replace('-', ""),
        &link,
    ] {
        assert!(secret.len() >= 8, "{secret:?} is no secret");
        assert!(!told.contains(secret), "the log holds {secret:?}");
        let as_sent: String = form_urlencoded::byte_serialize(secret.as_bytes()).collect();
        assert!(!told.contains(&as_sent), "the log holds {as_sent:?}");
        assert!(!said.contains(secret), "it prints {secret:?}");
    }
}
