//! Whatever stands in the head of a request: an answer, and nobody gets in by it who is not let in.
//! Not here: which names are ours (`reach`), who may what (`access`).

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use reqwest::Method;
use reqwest::header::{HeaderName, HeaderValue};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

use super::draw::hit;
use super::{Asked, no_fault};
use crate::support::page::Page;

const NAMES: [&str; 10] = [
    "cookie",
    "host",
    "origin",
    "endpost-keep",
    "content-type",
    "accept-encoding",
    "sec-fetch-site",
    "x-forwarded-for",
    "if-none-match",
    "range",
];

const PIECES: [&str; 26] = [
    "ep_d=",
    "ep_who=",
    "ep_s=",
    "ep_v=",
    ";",
    "; ",
    "=",
    ",",
    ".",
    "01990000-0000-7000-8000-000000000001",
    "KM",
    "K7Q2",
    "http://",
    "https://",
    "127.0.0.1",
    "192.168.1.20",
    "[::1]",
    "localhost",
    ":",
    ":80",
    ":99999",
    "@",
    "null",
    "gzip",
    "application/json",
    "multipart/form-data; boundary=",
];

/// What may stand behind a header's name: all bytes but those that end the line.
fn value() -> impl Strategy<Value = Vec<u8>> {
    let byte = prop_oneof![0x20_u8..0x7f, 0x80_u8..=0xff];
    prop_oneof![
        4 => vec(select(&PIECES[..]), 0..8).prop_map(|pieces| pieces.concat().into_bytes()),
        1 => vec(byte, 0..60),
        1 => (select(&PIECES[..]), 1_usize..400).prop_map(|(piece, times)| piece.repeat(times).into_bytes()),
    ]
}

#[test]
fn any_header_is_answered_and_lets_nobody_in() {
    let asked = Asked::started();
    asked.runtime.block_on(asked.farm.guard());
    let header = (select(&NAMES[..]), value());
    let path = select(
        &[
            "/",
            "/weather/new",
            "/api/ping",
            "/phones",
            "/nowhere",
            "/pair",
        ][..],
    );
    let drawn = (vec(header, 1..5), path, any::<bool>());
    // Somebody without the keeper's cookie.
    let stranger = reqwest::Client::builder()
        .redirect(reqwest::redirect::Policy::none())
        .build()
        .expect("a client");
    asked.about(300, drawn, async |farm, (headers, path, posts)| {
        let method = if posts { Method::POST } else { Method::GET };
        let mut request = stranger.request(method, farm.url(path));
        for (name, value) in &headers {
            let value = HeaderValue::from_bytes(value).expect("a header's bytes");
            request = request.header(HeaderName::from_static(name), value);
        }
        let answer = request.send().await.expect("an answer");
        let kept = answer.headers().get("set-cookie").cloned();
        let page = Page::read(path, answer).await;
        no_fault(&page)?;
        prop_assert!(kept.is_none_or(|cookie| !cookie.as_bytes().starts_with(b"ep_s=")));
        let shut = path == "/phones" || path == "/weather/new";
        prop_assert!(!shut || page.status != 200, "{path} is open by {headers:?}");
        Ok(())
    });
    asked.ends_well();
}

/// Bytes on the line that are no request, or nearly one.
#[test]
fn any_bytes_on_the_line_leave_the_farm_answering() {
    let asked = Asked::started();
    let host = asked.farm.url("").trim_start_matches("http://").to_owned();
    let request = format!(
        "POST /weather HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\ncookie: ep_who=KM\r\n\
         content-type: application/x-www-form-urlencoded\r\ncontent-length: 8\r\n\r\nrain=0.2"
    );
    let drawn = prop_oneof![
        3 => hit(request.into_bytes()),
        1 => vec(any::<u8>(), 0..200),
    ];
    asked.about(200, drawn, async |farm, bytes| {
        let mut line = TcpStream::connect(&host).await.expect("a line");
        // It may be shut before all of it went.
        let _ = line.write_all(&bytes).await;
        let _ = line.shutdown().await;
        let mut came = Vec::new();
        let _ = line.read_to_end(&mut came).await;
        let came = String::from_utf8_lossy(&came);
        prop_assert!(!came.starts_with("HTTP/1.1 5"), "{came}");
        prop_assert_eq!(farm.get("/api/ping").await.status, 200);
        Ok(())
    });
    asked.ends_well();
}
