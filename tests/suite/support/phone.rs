//! A phone as the protocol sees it: envelopes made from a page as its script makes them, numbered
//! by the phone, and sent. Not here: when a phone sends (`phones::model`), the script itself.

use chrono::{DateTime, FixedOffset};
use reqwest::Method;
use serde_json::{Map, Value, json};
use uuid::Uuid;

use super::farm::Farm;
use super::page::{Page, PageForm};

/// What a page says of itself beside its typed fields.
const OWN_FIELDS: [&str; 10] = [
    "entry_id",
    "form_version",
    "subject",
    "base",
    "person",
    "card_code",
    "keep",
    "more",
    "tap",
    "asking",
];

/// 06:55 at Tamarack Bend on Fri 10 Sept 2027, five minutes before the tests' farm is served.
pub const TYPED: &str = "2027-09-10T06:55:00-04:00";

/// A day gone by on any clock.
pub const PAST_DAY: &str = "2024-09-10";

/// A phone that numbers what it keeps.
pub struct Phone {
    pub device: Uuid,
    pub seq: i64,
}

impl Phone {
    pub fn new(number: u32) -> Self {
        Self {
            device: Uuid::from_u128(0x0199_0000_0000_7000_8000_0001_0000_0000 | u128::from(number)),
            seq: 0,
        }
    }

    /// A saved page with some of its fields typed, as it stands in the phone's outbox.
    pub fn saves(&mut self, form: &str, page: &Page, typed: &[(&str, &str)]) -> Value {
        let mut filled = page.form();
        for (name, _) in typed {
            filled.fields.retain(|(found, _)| found != name);
        }
        let typed = typed.iter();
        let typed = typed.map(|(name, text)| ((*name).to_owned(), (*text).to_owned()));
        filled.fields.extend(typed);
        self.envelope(form, &filled)
    }

    fn envelope(&mut self, form: &str, page: &PageForm) -> Value {
        self.seq += 1;
        let own = |name: &str| {
            let found = page.fields.iter().find(|(field, _)| field == name);
            found.map(|(_, text)| text.as_str())
        };
        let mut envelope = json!({
            "v": 1,
            "device": self.device,
            "seq": self.seq,
            "form": form,
            "entered_at": TYPED,
            "attempt": 1,
            "fields": typed_fields(page),
        });
        for (name, value) in [
            ("id", own("entry_id").map(Value::from)),
            ("subject", own("subject").map(Value::from)),
            ("base", own("base").map(Value::from)),
            ("person", own("person").map(Value::from)),
            ("card_code", own("card_code").map(Value::from)),
            (
                "form_version",
                own("form_version")
                    .and_then(|text| text.parse::<u16>().ok())
                    .map(Value::from),
            ),
            (
                "from_paper",
                (own("from") == Some("paper")).then_some(Value::Bool(true)),
            ),
        ] {
            if let Some(value) = value {
                envelope[name] = value;
            }
        }
        envelope
    }
}

/// The fields of a page as an envelope holds them: a plain save settles what the page asks.
fn typed_fields(page: &PageForm) -> Value {
    let mut fields = Map::new();
    let settled = page.fields.iter().filter(|(name, _)| name == "asking");
    let settled = settled.map(|(_, key)| ("asked", key.as_str()));
    let typed = page.fields.iter();
    let typed = typed.map(|(name, text)| (name.as_str(), text.as_str()));
    let typed = typed
        .filter(|(name, text)| !OWN_FIELDS.contains(name) && (*name, *text) != ("from", "paper"));
    for (name, text) in typed.chain(settled) {
        match fields.get_mut(name) {
            None => {
                fields.insert(name.to_owned(), text.into());
            }
            Some(Value::Array(texts)) => texts.push(text.into()),
            Some(one) => *one = Value::Array(vec![one.take(), text.into()]),
        }
    }
    fields.into()
}

/// Rain of a day in an envelope of its own, from no page.
pub fn rain(phone: &mut Phone, id: Uuid, inches: &str) -> Value {
    phone.seq += 1;
    json!({
        "v": 1,
        "id": id,
        "device": phone.device,
        "seq": phone.seq,
        "form": "weather",
        "form_version": 1,
        "fields": {"date": "2027-09-10", "rain": inches, "units": "fahrenheit pound foot"},
        "entered_at": TYPED,
        "attempt": 1,
    })
}

/// The same for the real program: of a day gone by on any clock, with a note that no other has.
pub fn past_rain(phone: &mut Phone, id: Uuid) -> Value {
    let mut envelope = rain(phone, id, "0.2");
    envelope["fields"]["date"] = PAST_DAY.into();
    envelope["fields"]["note"] = id.to_string().into();
    envelope
}

/// A moment as a phone writes it, some seconds from another.
pub fn seconds_later(moment: &str, seconds: i64) -> String {
    let moment: DateTime<FixedOffset> = moment.parse().expect("a moment");
    (moment + chrono::TimeDelta::seconds(seconds)).to_rfc3339()
}

/// An answer to a phone.
pub struct Answer {
    pub status: u16,
    pub server: String,
    pub body: Value,
}

impl Answer {
    /// The answer as JSON; every answer to a phone is some.
    pub fn of(page: &Page) -> Self {
        assert_eq!(
            page.header("content-type"),
            "application/json",
            "{}",
            page.body
        );
        assert_eq!(page.header("cache-control"), "no-store");
        Self {
            status: page.status,
            server: page.header("endpost-server").to_owned(),
            body: serde_json::from_str(&page.body).expect("JSON"),
        }
    }

    /// The status with the state's word.
    pub fn state(&self) -> (u16, &str) {
        (self.status, self.body["state"].as_str().unwrap_or(""))
    }

    pub fn text(&self, name: &str) -> &str {
        self.body[name].as_str().unwrap_or("")
    }
}

impl Farm {
    /// Sends an envelope to its own address.
    pub async fn put(&self, envelope: &Value) -> Answer {
        let id = envelope["id"].as_str().expect("an id");
        self.put_to(&format!("/api/entries/{id}"), envelope).await
    }

    pub async fn put_to(&self, path: &str, envelope: &Value) -> Answer {
        Answer::of(&self.send_json(Method::PUT, path, envelope).await)
    }

    /// Asks for receipts.
    pub async fn receipts(&self, question: &Value) -> Answer {
        Answer::of(
            &self
                .send_json(Method::POST, "/api/receipts", question)
                .await,
        )
    }

    pub async fn ping(&self) -> Answer {
        Answer::of(&self.get("/api/ping").await)
    }

    async fn send_json(&self, method: Method, path: &str, value: &Value) -> Page {
        let body = ("application/json", value.to_string().into_bytes());
        self.ask(method, path, Some(body)).await
    }
}
