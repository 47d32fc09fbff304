//! A line that breaks after any number of bytes, going or coming: half an entry is none, and one
//! whose answer was lost is there once. Not here: lines that hold (`put`).

use endpost::store::{FIRST_DAY, LAST_DAY};
use reqwest::Method;
use serde_json::Value;
use uuid::Uuid;

use crate::support::farm::Farm;
use crate::support::phone::{Phone, rain};
use crate::support::wire::{Breaks, Wire};

const FORM: &str = "application/x-www-form-urlencoded";

/// A dozen places over a whole length, both ends and the bytes beside them among them.
fn places(length: usize) -> Vec<usize> {
    let mut places: Vec<usize> = (0..=12).map(|part| length * part / 12).collect();
    places.extend([1, length.saturating_sub(1)]);
    places
}

async fn is_here(farm: &Farm, id: Uuid) -> bool {
    let mut read = farm.store.read().await.unwrap();
    read.entry(id).await.unwrap().is_some()
}

async fn how_many(farm: &Farm) -> usize {
    let mut read = farm.store.read().await.unwrap();
    assert_eq!(read.how_many_need_a_look().await.unwrap(), 0);
    read.weather_between(FIRST_DAY, LAST_DAY)
        .await
        .unwrap()
        .len()
}

fn put(farm: &Farm, envelope: &Value) -> Wire {
    let path = format!("/api/entries/{}", envelope["id"].as_str().expect("an id"));
    let body = envelope.to_string();
    Wire::new(&farm.url(""), Method::PUT, &path, "application/json", &body)
}

fn post(farm: &Farm, id: Uuid) -> Wire {
    let body = format!("entry_id={id}&form_version=1&date=2027-09-10&rain=0.2");
    Wire::new(&farm.url(""), Method::POST, "/weather", FORM, &body)
}

/// The length of a whole answer to a request.
async fn length_of_answer(wire: &Wire) -> usize {
    wire.send(Breaks::Coming(64 * 1024)).await.len()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_envelope_cut_on_its_way_is_stored_whole_or_not_at_all() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    let sample = put(&farm, &rain(&mut phone, Uuid::now_v7(), "0.2"));
    let whole = sample.request.len();
    let mut entries = 0;
    for bytes in places(whole) {
        let id = Uuid::now_v7();
        let envelope = rain(&mut phone, id, "0.2");
        let wire = put(&farm, &envelope);
        wire.send(Breaks::Going(bytes.min(wire.request.len())))
            .await;
        if bytes + 2 < whole {
            assert!(!is_here(&farm, id).await, "cut after {bytes} of {whole}");
        }
        let answer = farm.put(&envelope).await;
        assert_eq!(answer.text("state"), "stored", "cut after {bytes}");
        entries += 1;
        assert_eq!(how_many(&farm).await, entries, "cut after {bytes}");
    }
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_envelope_whose_answer_was_cut_is_there_once() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    let sample = put(&farm, &rain(&mut phone, Uuid::now_v7(), "0.2"));
    let whole = length_of_answer(&sample).await;
    assert!(whole > 300, "an answer of {whole} bytes");
    let mut entries = 1;
    for bytes in places(whole) {
        let envelope = rain(&mut phone, Uuid::now_v7(), "0.2");
        put(&farm, &envelope).send(Breaks::Coming(bytes)).await;
        let answer = farm.put(&envelope).await;
        assert_eq!(answer.text("state"), "stored", "cut after {bytes}");
        entries += 1;
        assert_eq!(how_many(&farm).await, entries, "cut after {bytes}");
    }
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_plain_post_cut_either_way_is_there_once() {
    let farm = Farm::started().await;
    let sample = post(&farm, Uuid::now_v7());
    let going = sample.request.len();
    let coming = length_of_answer(&sample).await;
    let mut entries = 1;
    let going = places(going).into_iter().map(Breaks::Going);
    let coming = places(coming).into_iter().map(Breaks::Coming);
    for breaks in going.chain(coming) {
        let id = Uuid::now_v7();
        post(&farm, id).send(breaks).await;
        let again = farm
            .post(
                "/weather",
                &[
                    ("entry_id", id.to_string().as_str()),
                    ("form_version", "1"),
                    ("date", "2027-09-10"),
                    ("rain", "0.2"),
                ],
            )
            .await;
        again.sent_to(&format!("/entries/{id}"));
        entries += 1;
        assert_eq!(how_many(&farm).await, entries, "{breaks:?}");
    }
    farm.close().await;
}
