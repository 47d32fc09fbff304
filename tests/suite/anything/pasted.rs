//! Whatever is brought to `/paste`: entries that came through whole are taken in, however the lines
//! were wrapped, and the rest is said. Not here: the text itself (`phones::paste`).

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use reqwest::Method;
use serde_json::Value;
use uuid::Uuid;

use super::draw::{hit, text};
use super::{Asked, no_fault};
use crate::phones::paste::{exported, paste};
use crate::support::phone::{Phone, rain};

/// Rain of a day with a note of any kind.
fn with_note(phone: &mut Phone, note: &str) -> Value {
    let mut envelope = rain(phone, Uuid::now_v7(), "0.2");
    envelope["fields"]["note"] = note.into();
    envelope
}

/// What a mail program makes of a text.
fn mailed(text: &str, width: usize, before: &str, after: &str, end: &str) -> String {
    let mut mailed = String::new();
    for line in text.lines() {
        let letters: Vec<char> = line.chars().collect();
        for part in letters.chunks(width) {
            mailed.push_str(before);
            mailed.extend(part);
            mailed.push_str(after);
            mailed.push_str(end);
        }
    }
    mailed
}

#[test]
fn entries_come_through_however_a_mail_program_wraps_them() {
    let asked = Asked::started();
    let wrapped = (
        10_usize..120,
        select(&["", "> ", ">> ", "> > ", "\t", "\u{a0}", "  > "][..]),
        select(&["", " ", "\u{a0}", "  "][..]),
        select(&["\n", "\r\n", "\n\n", "\r\n>\r\n"][..]),
    );
    let drawn = (vec(text(), 1..4), wrapped);
    asked.about(
        128,
        drawn,
        async |farm, (notes, (width, before, after, end))| {
            let mut phone = Phone::new(1);
            let sent: Vec<Value> = notes
                .iter()
                .map(|note| with_note(&mut phone, note))
                .collect();
            let brought = mailed(&exported(&sent), width, before, after, end);
            let page = paste(farm, &brought).await;
            no_fault(&page)?;
            let mut read = farm.store.read().await.expect("a view");
            for (envelope, note) in sent.iter().zip(&notes) {
                let id = envelope["id"]
                    .as_str()
                    .expect("an id")
                    .parse()
                    .expect("an id");
                let entry = read.entry(id).await.expect("a look");
                prop_assert!(entry.is_some(), "{}", page.text());
                let kept = entry.map(|entry| entry.fields.first("note").to_owned());
                prop_assert_eq!(kept.as_ref(), Some(note));
            }
            Ok(())
        },
    );
    asked.ends_well();
}

/// A form with parts as no browser sends it.
fn parts() -> impl Strategy<Value = (String, Vec<u8>)> {
    let edge = prop_oneof![Just("edge".to_owned()), "[a-z' ]{0,8}", text()];
    let said = prop_oneof![
        Just("form-data; name=\"text\"".to_owned()),
        Just("form-data; name=\"file\"; filename=\"a\"".to_owned()),
        Just("form-data".to_owned()),
        Just("attachment".to_owned()),
        text().prop_map(|text| format!("form-data; name=\"{text}\"")),
    ];
    let part = (said, vec(any::<u8>(), 0..80));
    (edge, vec(part, 0..12), any::<bool>()).prop_flat_map(|(edge, parts, ends)| {
        let mut body = Vec::new();
        for (said, bytes) in &parts {
            body.extend(format!("--{edge}\r\nContent-Disposition: {said}\r\n\r\n").bytes());
            body.extend(bytes);
            body.extend(b"\r\n");
        }
        if ends {
            body.extend(format!("--{edge}--\r\n").bytes());
        }
        let kind = prop_oneof![
            4 => Just(format!("multipart/form-data; boundary={edge}")),
            1 => Just(format!("multipart/form-data; boundary=\"{edge}\"")),
            1 => Just("multipart/form-data".to_owned()),
            1 => Just("multipart/form-data; boundary=other".to_owned()),
        ];
        (kind, prop_oneof![Just(body.clone()), hit(body)])
    })
}

#[test]
fn parts_that_no_browser_sends_are_read_or_refused() {
    let asked = Asked::started();
    asked.about(256, parts(), async |farm, (kind, body)| {
        // A header can't hold every sign.
        let kind: String = kind
            .chars()
            .filter(|sign| matches!(sign, ' '..='~'))
            .collect();
        let page = farm.ask(Method::POST, "/paste", Some((&kind, body))).await;
        no_fault(&page)?;
        prop_assert!(
            matches!(page.status, 200 | 400 | 413 | 415),
            "{}: {}",
            page.status,
            page.text()
        );
        Ok(())
    });
    asked.ends_well();
}

#[test]
fn a_text_that_was_hit_is_told_piece_by_piece() {
    let asked = Asked::started();
    let mut phone = Phone::new(1);
    let two: Vec<Value> = (0..2).map(|_| with_note(&mut phone, "ü > 🍇")).collect();
    let text = exported(&two).into_bytes();
    asked.about(128, hit(text), async |farm, bytes| {
        let page = paste(farm, &String::from_utf8_lossy(&bytes)).await;
        no_fault(&page)?;
        prop_assert_eq!(page.status, 200, "{}", page.text());
        Ok(())
    });
    asked.ends_well();
}
