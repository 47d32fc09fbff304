//! Whatever comes to the addresses of phones: an answer that a phone can go by, and what is said to
//! be kept is kept letter for letter. Not here: what phones send (`phones`).

use std::cell::RefCell;
use std::collections::BTreeMap;

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use reqwest::Method;
use serde_json::{Map, Value, json};
use uuid::Uuid;

use super::draw::{Slip, hit, slip, text, tree};
use super::{Asked, no_fault};
use crate::support::farm::Farm;
use crate::support::page::Page;
use crate::support::phone::{Answer, TYPED};
use crate::web::addresses::forms;

/// The words of pages that no form of ours has, beside those that have one.
const OTHER_WORDS: [&str; 5] = ["void", "choice", "unread", "", "no such page"];

/// What can be understood, by the beginnings of the names of fields.
const GOOD: [(&str, &str); 8] = [
    ("block", "A"),
    ("rain", "0.2"),
    ("brix_1_1", "21.4"),
    ("no_instrument", "yes"),
    ("name", "North"),
    ("initials", "OW"),
    ("low", "41"),
    ("count", "12"),
];

/// The word of each form with the names of its fields and what stands in them.
async fn known_forms(farm: &Farm) -> Vec<(String, Vec<(String, String)>)> {
    let mut found = Vec::new();
    for path in forms() {
        let page = farm.get(&path).await;
        if let [word] = page.attributes("form[data-form]", "data-form").as_slice() {
            let own = ["entry_id", "form_version"];
            let mut fields = page.form().fields;
            fields.retain(|(name, _)| !own.contains(&name.as_str()));
            found.push((word.clone(), fields));
        }
    }
    assert!(found.len() > 6, "{found:?}");
    found
}

/// A page as a phone may have kept it, before its form and the names of its fields are known.
#[derive(Clone, Debug)]
struct Kept {
    form: Index,
    /// Where nothing else is typed, it stands there as it can be understood.
    good: bool,
    other_word: Option<&'static str>,
    texts: Vec<(Index, Vec<String>)>,
    seq: i64,
    may_ask: bool,
    from_paper: bool,
    about: Option<bool>,
    person: Option<String>,
    card_code: Option<String>,
    slips: Vec<Slip>,
}

fn kept() -> impl Strategy<Value = Kept> {
    let several = prop_oneof![
        8 => text().prop_map(|text| vec![text]),
        1 => vec(text(), 0..4),
    ];
    let texts = vec((any::<Index>(), several), 0..5);
    let texts = prop_oneof![1 => Just(Vec::new()), 1 => texts];
    let word = prop::option::weighted(0.1, select(&OTHER_WORDS[..]));
    let seq = prop_oneof![4 => 1_i64..500, 1 => any::<i64>()];
    let about = prop::option::weighted(0.2, any::<bool>());
    let often = prop::bool::weighted;
    let flags = (often(0.7), often(0.3), often(0.3), about);
    let slips = prop_oneof![2 => Just(Vec::new()), 1 => vec(slip(), 1..4)];
    let sometimes = || prop::option::weighted(0.2, text());
    let named = (sometimes(), sometimes());
    (any::<Index>(), word, texts, seq, flags, named, slips).prop_map(
        |(form, other_word, texts, seq, flags, (person, card_code), slips)| {
            let (good, may_ask, from_paper, about) = flags;
            Kept {
                form,
                good,
                other_word,
                texts,
                seq,
                may_ask,
                from_paper,
                about,
                person,
                card_code,
                slips,
            }
        },
    )
}

impl Kept {
    fn envelope(&self, forms: &[(String, Vec<(String, String)>)], before: Uuid) -> Value {
        let (word, names) = self.form.get(forms);
        let mut fields = Map::new();
        for (name, text) in names.iter().filter(|_| self.good) {
            let good = GOOD
                .iter()
                .find(|(beginning, _)| name.starts_with(beginning));
            fields.insert(
                name.clone(),
                json!(good.map_or(text.as_str(), |(_, text)| text)),
            );
        }
        for (at, texts) in &self.texts {
            let value = match texts.as_slice() {
                [one] => json!(one),
                several => json!(several),
            };
            fields.insert(at.get(names).0.clone(), value);
        }
        let mut envelope = json!({
            "v": 1,
            "id": Uuid::now_v7(),
            "device": Uuid::from_u128(7),
            "seq": self.seq,
            "form": self.other_word.unwrap_or(word),
            "form_version": 1,
            "fields": fields,
            "entered_at": TYPED,
            "may_ask": self.may_ask,
            "from_paper": self.from_paper,
            "person": self.person,
            "card_code": self.card_code,
        });
        if let Some(known) = self.about {
            let subject = if known { before } else { Uuid::now_v7() };
            envelope["subject"] = json!(subject);
            envelope["base"] = json!(subject);
        }
        for slip in &self.slips {
            slip.into(&mut envelope);
        }
        envelope
    }
}

/// The texts that an envelope holds under each name.
fn texts(envelope: &Value) -> Vec<(String, Vec<String>)> {
    let Some(fields) = envelope["fields"].as_object() else {
        return Vec::new();
    };
    let several = |value: &Value| match value {
        Value::Array(list) => list.clone(),
        one => vec![one.clone()],
    };
    let texts = |value: &Value| {
        let texts = several(value).into_iter();
        texts
            .filter_map(|text| text.as_str().map(str::to_owned))
            .collect()
    };
    fields
        .iter()
        .map(|(name, value)| (name.clone(), texts(value)))
        .collect()
}

async fn send(farm: &Farm, envelope: &Value) -> Result<Page, TestCaseError> {
    let id = envelope["id"].as_str().unwrap_or("none");
    let id: String = form_urlencoded::byte_serialize(id.as_bytes()).collect();
    let body = Some(("application/json", envelope.to_string().into_bytes()));
    let page = farm
        .ask(Method::PUT, &format!("/api/entries/{id}"), body)
        .await;
    no_fault(&page)?;
    Ok(page)
}

/// How often each status was answered.
type CameTo = RefCell<BTreeMap<u16, u32>>;

/// Nothing is answered on which a phone may forget an entry that is not kept.
async fn put(farm: &Farm, envelope: &Value, came_to: &CameTo) -> Result<(), TestCaseError> {
    let id = envelope["id"]
        .as_str()
        .and_then(|id| Uuid::parse_str(id).ok());
    let was_here = is_here(farm, id).await;
    let page = send(farm, envelope).await?;
    if page.status == 404 {
        return Ok(());
    }
    *came_to.borrow_mut().entry(page.status).or_default() += 1;
    let answer = Answer::of(&page);
    let mut read = farm.store.read().await.expect("a view");
    match answer.state() {
        (200..=202, "stored" | "held" | "conflict" | "kept_both") => {
            let under = answer.body["id2"].as_str().unwrap_or(answer.text("id"));
            let under = under.parse().expect("an id");
            let entry = read.entry(under).await.expect("a look");
            let entry = entry.expect("an entry that was answered");
            // The same fields under the same id are the same entry, whoever sends them again.
            let is_new = matches!(answer.status, 201 | 202);
            for (name, kept) in [("person", &entry.person), ("card_code", &entry.card_code)] {
                if let Some(sent) = envelope[name].as_str().filter(|_| is_new) {
                    prop_assert_eq!(kept.as_deref(), Some(sent), "{}", name);
                }
            }
            let fields = entry.fields;
            for (name, texts) in texts(envelope) {
                // Nobody types in which units a page was: where it does not say so, the house does.
                if name == "units" && texts.iter().all(|text| text.trim().is_empty()) {
                    continue;
                }
                let kept: Vec<&str> = fields.all(&name).collect();
                let as_sent = kept.get(..texts.len()).unwrap_or_default();
                prop_assert_eq!(as_sent, &texts, "{}", name);
                prop_assert!(
                    kept.len() == texts.len() || name == "form",
                    "{}: {:?}",
                    name,
                    kept
                );
            }
            let told: Value = serde_json::to_value(&fields).expect("fields as JSON");
            prop_assert_eq!(&answer.body["fields"], &told);
            let replayed = Answer::of(&send(farm, envelope).await?);
            prop_assert_eq!(replayed.status, 200, "{}", replayed.body);
            prop_assert_eq!(replayed.body["id2"].as_str(), answer.body["id2"].as_str());
        }
        (422, "asks") => {
            prop_assert_eq!(&envelope["may_ask"], &json!(true));
            prop_assert!(was_here || !is_here(farm, id).await);
        }
        (409, "other_server") | (400 | 413, "unreadable") => {
            prop_assert!(was_here || !is_here(farm, id).await);
        }
        other => prop_assert!(false, "{other:?}: {}", answer.body),
    }
    Ok(())
}

async fn is_here(farm: &Farm, id: Option<Uuid>) -> bool {
    let mut read = farm.store.read().await.expect("a view");
    match id {
        Some(id) => read.entry(id).await.expect("a look").is_some(),
        None => false,
    }
}

#[test]
fn an_envelope_with_slips_is_kept_letter_for_letter_or_told_why_not() {
    let asked = Asked::started();
    let forms = asked.runtime.block_on(known_forms(&asked.farm));
    let weather = asked
        .runtime
        .block_on(asked.farm.save("/weather/new", &[("rain", "0.2")]));
    let before = weather.entry().parse().expect("an id");
    let came_to = CameTo::default();
    asked.about(300, kept(), async |farm, case| {
        put(farm, &case.envelope(&forms, before), &came_to).await
    });
    println!("{came_to:?}");
    for status in [201, 202, 400, 422] {
        let often = came_to.borrow().get(&status).copied();
        assert!(often > Some(0), "nothing was answered {status}");
    }
    asked.ends_well();
}

#[test]
fn any_bytes_are_an_envelope_or_unreadable() {
    let asked = Asked::started();
    let weather = json!({
        "v": 1, "id": Uuid::now_v7(), "device": Uuid::from_u128(7), "seq": 1, "form": "weather",
        "form_version": 1, "fields": {"date": "2027-09-10", "rain": "0.2", "note": "ü🍇\u{0}\n"},
        "entered_at": TYPED, "attempt": 1,
    });
    let good = weather.to_string().into_bytes();
    let path = format!("/api/entries/{}", weather["id"].as_str().unwrap_or(""));
    let drawn = prop_oneof![
        6 => hit(good),
        2 => vec(any::<u8>(), 0..200),
        2 => tree().prop_map(|tree| tree.to_string().into_bytes()),
    ];
    let drawn = (drawn, any::<bool>());
    asked.about(256, drawn, async |farm, (body, is_question)| {
        let (method, path) = match is_question {
            true => (Method::POST, "/api/receipts"),
            false => (Method::PUT, path.as_str()),
        };
        let page = farm
            .ask(method, path, Some(("application/json", body)))
            .await;
        no_fault(&page)?;
        let answer = Answer::of(&page);
        let known = matches!(answer.status, 200..=202 | 400 | 409 | 422);
        prop_assert!(known, "{}: {}", answer.status, answer.body);
        Ok(())
    });
    asked.ends_well();
}

#[test]
fn questions_of_phones_with_slips_are_answered() {
    let asked = Asked::started();
    let question = (any::<i64>(), any::<i64>(), 0_usize..205, vec(slip(), 0..3));
    asked.about(200, question, async |farm, (seq, waiting, ids, slips)| {
        let ids: Vec<Uuid> = (0..ids).map(|_| Uuid::now_v7()).collect();
        let device = Uuid::from_u128(u128::from(seq.unsigned_abs() % 5));
        let mut question = json!({"device": device, "seq": seq, "waiting": waiting, "ids": ids});
        slips.iter().for_each(|slip| slip.into(&mut question));
        let body = Some(("application/json", question.to_string().into_bytes()));
        let page = farm.ask(Method::POST, "/api/receipts", body).await;
        no_fault(&page)?;
        let answer = Answer::of(&page);
        prop_assert!(matches!(answer.status, 200 | 400), "{}", answer.body);
        let pages = [
            farm.get("/phones").await,
            farm.get(&format!("/phones/{device}")).await,
        ];
        pages.iter().try_for_each(no_fault)
    });
    asked.ends_well();
}

#[tokio::test]
async fn an_envelope_nested_without_end_is_unreadable() {
    let farm = Farm::started().await;
    for depth in [100, 200, 20_000] {
        for place in ["fields", "more"] {
            let nested = format!("{}{}", "[".repeat(depth), "]".repeat(depth));
            let body = format!("{{\"v\":1,\"{place}\":{nested}}}");
            let path = format!("/api/entries/{}", Uuid::now_v7());
            let sent = Some(("application/json", body.into_bytes()));
            let page = farm.ask(Method::PUT, &path, sent).await;
            assert_eq!(Answer::of(&page).state(), (400, "unreadable"), "{depth}");
        }
    }
    farm.close().await;
}
