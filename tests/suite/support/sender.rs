//! Whoever sends to the real program and hears whether it was answered. Not here: the program
//! (`binary`), the pages of a farm inside the test (`farm`).

use reqwest::Client;
use serde_json::Value;

use super::farm::client_at;

const FORM: &str = "application/x-www-form-urlencoded";

/// A client of the program at one address.
pub struct Sender {
    client: Client,
    address: String,
}

impl Sender {
    /// "http://127.0.0.1:41235"
    pub fn to(address: &str) -> Self {
        Self {
            client: client_at(address),
            address: address.to_owned(),
        }
    }

    /// Sends an envelope: the status and the answer, or none where the line broke.
    pub async fn put(&self, envelope: &Value) -> Option<(u16, Value)> {
        let id = envelope["id"].as_str().expect("an id");
        let request = self
            .client
            .put(format!("{}/api/entries/{id}", self.address))
            .header("content-type", "application/json")
            .body(envelope.to_string());
        let answer = request.send().await.ok()?;
        let status = answer.status().as_u16();
        let body = answer.bytes().await.ok()?;
        Some((status, serde_json::from_slice(&body).ok()?))
    }

    /// Posts a page: the status with the page that came, or where it leads on.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Option<(u16, String)> {
        let body = form_urlencoded::Serializer::new(String::new())
            .extend_pairs(fields)
            .finish();
        let request = self
            .client
            .post(format!("{}{path}", self.address))
            .header("content-type", FORM)
            .body(body);
        let answer = request.send().await.ok()?;
        let status = answer.status().as_u16();
        if let Some(location) = answer.headers().get("location") {
            let location = location.to_str().expect("a readable address");
            let record = location.split('?').next().unwrap_or_default();
            return Some((status, record.to_owned()));
        }
        Some((status, answer.text().await.ok()?))
    }

    /// The first page of a farm, filled in: Tamarack Bend with block A.
    pub async fn starts_the_farm(&self) {
        let farm = [
            ("name", "Tamarack Bend"),
            ("zone", "America/New_York"),
            ("temperature", "celsius"),
            ("mass", "kilogram"),
            ("length", "metre"),
            ("block_name", "A"),
        ];
        let (status, _) = self.post("/start", &farm).await.expect("an answer");
        assert_eq!(status, 303);
    }
}
