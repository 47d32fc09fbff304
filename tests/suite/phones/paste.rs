//! Entries that somebody brings from a phone by hand: the same entries under the same ids, however
//! a mail program treated the text. Not here: how the phone writes it (`browser`).

use std::fmt::Write;

use reqwest::Method;
use serde_json::Value;

use crate::support::entries::id;
use crate::support::farm::Farm;
use crate::support::page::Page;
use crate::support::phone::{Phone, rain};

/// The text as a phone writes it.
pub fn exported(envelopes: &[Value]) -> String {
    let mut text = "Endpost entries 1\n".to_owned();
    for envelope in envelopes {
        let mut json = String::new();
        for letter in envelope.to_string().encode_utf16() {
            match char::from_u32(u32::from(letter)) {
                Some(plain) if plain.is_ascii_graphic() && plain != '>' => json.push(plain),
                _ => write!(json, "\\u{letter:04x}").expect("a text that grows"),
            }
        }
        writeln!(text, "{:08x} {json}", crc32fast::hash(json.as_bytes()))
            .expect("a text that grows");
    }
    text
}

/// Pastes a text as a browser sends the page.
pub async fn paste(farm: &Farm, text: &str) -> Page {
    let body = format!(
        "--edge\r\nContent-Disposition: form-data; name=\"file\"; filename=\"\"\r\nContent-Type: \
         application/octet-stream\r\n\r\n\r\n--edge\r\nContent-Disposition: form-data; \
         name=\"text\"\r\n\r\n{text}\r\n--edge--\r\n"
    );
    let kind = "multipart/form-data; boundary=edge";
    farm.ask(Method::POST, "/paste", Some((kind, body.into_bytes())))
        .await
}

fn three() -> [Value; 3] {
    let mut phone = Phone::new(1);
    let mut envelopes =
        [1, 2, 3].map(|number| rain(&mut phone, id(number), &format!("0.{number}")));
    envelopes[1]["fields"]["note"] = "on the hill > 300 ft, gr\u{fc}n \u{1F347}".into();
    envelopes
}

async fn all_three_are_here(farm: &Farm, page: &Page) {
    let headings = page.text_of("li h2");
    assert_eq!(headings.len(), 3, "{}", page.text());
    page.says("Stored.").says("Number 1 of its phone");
    let listed = farm.get("/weather").await;
    listed.says("0.1 in.").says("0.2 in.").says("0.3 in.");
    let mut read = farm.store.read().await.unwrap();
    let kept = read.entry(id(2)).await.unwrap().unwrap().fields;
    assert_eq!(
        kept.first("note"),
        "on the hill > 300 ft, gr\u{fc}n \u{1F347}"
    );
}

#[tokio::test]
async fn a_pasted_text_is_the_same_entries() {
    let farm = Farm::started().await;
    let envelopes = three();
    let page = paste(&farm, &exported(&envelopes)).await;
    assert_eq!(page.status, 200);
    all_three_are_here(&farm, &page).await;
    // Brought again, or sent by the phone after all, nothing is doubled.
    let again = paste(&farm, &exported(&envelopes)).await;
    again.says("It was here already.").says_not("Stored.");
    let answer = farm.put(&envelopes[0]).await;
    assert_eq!(answer.body["replayed"], true);
    farm.close().await;
}

#[tokio::test]
async fn what_a_mail_program_does_to_it_is_undone() {
    let farm = Farm::started().await;
    let mut wrapped = "Hello, here is what was on my phone.\n\n".to_owned();
    for line in exported(&three()).lines() {
        let letters: Vec<char> = line.chars().collect();
        for part in letters.chunks(60) {
            wrapped.push_str("> ");
            wrapped.extend(part);
            wrapped.push_str(" \r\n");
        }
        wrapped.push_str(">\u{a0}\r\n");
    }
    wrapped.push_str("-- \nSent from a phone\n");
    let page = paste(&farm, &wrapped).await;
    let headings = page.text_of("li h2");
    assert_eq!(headings.first().map(String::as_str), Some("Other text"));
    assert_eq!(headings.last().map(String::as_str), Some("Other text"));
    assert_eq!(headings.len(), 5, "{headings:?}");
    page.says("This is no entry. It was left out.");
    farm.get("/weather")
        .await
        .says("0.1 in.")
        .says("0.2 in.")
        .says("0.3 in.");
    farm.close().await;
}

#[tokio::test]
async fn a_broken_entry_is_said_and_spoils_no_other() {
    let farm = Farm::started().await;
    let text = exported(&three());
    let lines: Vec<&str> = text.lines().collect();
    let cut = &lines[2][..lines[2].len() - 40];
    let broken = [lines[0], lines[1], cut, lines[3]].join("\n");
    let page = paste(&farm, &broken).await;
    page.says("An entry that can't be read")
        .says("its checksum does not fit")
        .says("still on the phone")
        .says("Line 3");
    farm.get("/weather")
        .await
        .says("0.1 in.")
        .says_not("0.2 in.")
        .says("0.3 in.");
    farm.close().await;
}

#[tokio::test]
async fn the_same_rules_hold_for_what_is_pasted() {
    let farm = Farm::started().await;
    let [stored, mut held, mut other_house] = three();
    held["fields"]["rain"] = "much".into();
    held["may_ask"] = true.into();
    other_house["server_id"] = uuid::Uuid::new_v4().to_string().into();
    let page = paste(&farm, &exported(&[stored, held, other_house])).await;
    page.says("Stored.")
        .says("Kept as typed; it needs a look.")
        .says("kept for another house");
    farm.get("/held").await.says("much");
    let mut read = farm.store.read().await.unwrap();
    assert!(read.entry(id(3)).await.unwrap().is_none());
    drop(read);
    farm.close().await;
}

#[tokio::test]
async fn a_file_is_taken_like_a_text_and_nothing_is_said_to_be_nothing() {
    let farm = Farm::started().await;
    let text = exported(&three()).replace('\n', "\r\n");
    let body = format!(
        "--edge\r\nContent-Disposition: form-data; name=\"file\"; \
         filename=\"entries.txt\"\r\nContent-Type: text/plain\r\n\r\n{text}\r\n--edge--\r\n"
    );
    let kind = "multipart/form-data; boundary=edge";
    let page = farm
        .ask(Method::POST, "/paste", Some((kind, body.into_bytes())))
        .await;
    all_three_are_here(&farm, &page).await;
    let nothing = paste(&farm, "").await;
    nothing.says("There is no entry in what was sent.");
    farm.get("/paste").await.says("Take them in");
    farm.close().await;
}
