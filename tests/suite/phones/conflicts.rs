//! Changes that were overtaken, and repeats from pages without an id: both are kept, and somebody
//! says what they are. Not here: the same id with other contents (`web::twice`).

use endpost::store::ledger::{NewEntry, State};
use serde_json::Value;

use crate::support::entries::{arrival, entry, id, new_store, rain as rain_of};
use crate::support::farm::Farm;
use crate::support::page::Page;
use crate::support::phone::{Phone, rain};

/// Rain stored, and the page that changes it as a phone opened it before somebody else did.
async fn changed_by_two(farm: &Farm) -> (Page, Value) {
    farm.put(&rain(&mut Phone::new(1), id(1), "0.2")).await;
    let path = format!("/entries/{}/correct", id(1));
    let page = farm.get(&path).await;
    let change = Phone::new(2).saves("weather", &page, &[("rain", "0.4")]);
    farm.save(&path, &[("rain", "0.3")]).await;
    (page, change)
}

#[tokio::test]
async fn an_overtaken_change_is_kept_beside_what_stands() {
    let farm = Farm::started().await;
    let (_, change) = changed_by_two(&farm).await;
    let answer = farm.put(&change).await;
    assert_eq!(answer.state(), (200, "conflict"));
    assert_eq!(answer.text("record"), id(1).to_string());
    farm.get("/weather").await.says("0.3 in.");
    assert_eq!(farm.put(&change).await.body["replayed"], true);
    let held = farm.get("/held").await;
    held.says("changed by somebody else meanwhile");
    let page = farm
        .get(&format!("/entries/{}?now=new", answer.text("id")))
        .await;
    page.says("Somebody else changed it meanwhile")
        .says("Rain 0.3 in., now 0.4 in.");
    assert_eq!(
        page.text_of("section.summary button"),
        ["Take this one", "Leave what stands"]
    );
    farm.close().await;
}

#[tokio::test]
async fn the_overtaken_change_counts_when_somebody_takes_it() {
    let farm = Farm::started().await;
    let (_, change) = changed_by_two(&farm).await;
    let answer = farm.put(&change).await;
    let page = farm.get(&format!("/entries/{}", answer.text("id"))).await;
    farm.tap(&page, "Take this one").await.says("0.4 in.");
    farm.get("/weather").await.says("0.4 in.");
    farm.get("/held").await.says("None.");
    assert_eq!(
        farm.store.check().await.unwrap().faults,
        Vec::<String>::new()
    );
    farm.close().await;
}

#[tokio::test]
async fn what_stands_goes_on_counting_when_somebody_leaves_it() {
    let farm = Farm::started().await;
    let (_, change) = changed_by_two(&farm).await;
    let answer = farm.put(&change).await;
    let page = farm.get(&format!("/entries/{}", answer.text("id"))).await;
    farm.tap(&page, "Leave what stands").await;
    farm.get("/weather").await.says("0.3 in.");
    farm.get("/held").await.says("None.");
    assert_eq!(
        farm.store.check().await.unwrap().faults,
        Vec::<String>::new()
    );
    farm.close().await;
}

#[tokio::test]
async fn an_overtaken_change_does_not_stand_alone() {
    let farm = Farm::started().await;
    let (_, change) = changed_by_two(&farm).await;
    let answer = farm.put(&change).await;
    let path = format!("/entries/{}/settle", answer.text("id"));
    let refused = farm.post(&path, &[("settled", "second")]).await;
    assert_eq!(refused.status, 409);
    refused.says("can't stand beside it");
    farm.close().await;
}

#[tokio::test]
async fn who_looks_is_asked_about_a_change_that_was_overtaken() {
    let farm = Farm::started().await;
    let (page, mut change) = changed_by_two(&farm).await;
    change["may_ask"] = true.into();
    assert_eq!(farm.put(&change).await.state(), (422, "asks"));
    // The same page posted by itself shows what is asked.
    let asked = farm.send(&page, &[("rain", "0.4")]).await;
    assert_eq!(asked.status, 422);
    asked.says("It was changed after this page was opened");
    farm.close().await;
}

#[tokio::test]
async fn two_who_mend_the_same_are_both_kept() {
    let farm = Farm::started().await;
    farm.put(&rain(&mut Phone::new(1), id(1), "much")).await;
    let path = format!("/entries/{}/correct", id(1));
    let page = farm.get(&path).await;
    let change = Phone::new(2).saves("weather", &page, &[("rain", "0.4")]);
    farm.save(&path, &[("rain", "0.3")]).await;
    assert_eq!(farm.put(&change).await.state(), (200, "conflict"));
    farm.get("/weather").await.says("0.3 in.");
    farm.close().await;
}

/// The same page twice, posted by a browser that sends no id.
async fn without_an_id(farm: &Farm) -> [Page; 2] {
    let send = || async {
        let sent = farm
            .post("/weather", &[("date", "2027-09-10"), ("rain", "0.2")])
            .await;
        farm.get(sent.location()).await
    };
    [send().await, send().await]
}

#[tokio::test]
async fn a_repeat_without_an_id_is_kept_and_asked_about() {
    let farm = Farm::started().await;
    let [first, second] = without_an_id(&farm).await;
    first.says("Stored 07:0");
    second.says("This looks like a repeat");
    assert_eq!(
        second.text_of("section.summary button"),
        ["Keep both", "It was a repeat"]
    );
    farm.get("/held").await.says("looks like a repeat");
    farm.tap(&second, "Keep both").await;
    let listed = farm.get("/weather").await.text();
    assert_eq!(listed.matches("0.2 in.").count(), 2, "{listed}");
    farm.close().await;
}

#[tokio::test]
async fn a_repeat_that_was_one_is_left_out() {
    let farm = Farm::started().await;
    let [_, second] = without_an_id(&farm).await;
    farm.tap(&second, "It was a repeat").await;
    let listed = farm.get("/weather").await.text();
    assert_eq!(listed.matches("0.2 in.").count(), 1, "{listed}");
    let third = farm
        .post(
            "/weather",
            &[("date", "2027-09-10"), ("rain", "0.2"), ("entry_id", "x")],
        )
        .await;
    farm.get(third.location())
        .await
        .says("This looks like a repeat");
    assert_eq!(
        farm.store.check().await.unwrap().faults,
        Vec::<String>::new()
    );
    farm.close().await;
}

#[tokio::test]
async fn only_the_same_device_within_two_minutes_repeats() {
    let (_folder, store) = new_store().await;
    let without_id = |number: u32, minute: u32, device: u32| NewEntry {
        no_client_id: true,
        device_id: Some(id(device)),
        received_at: arrival(minute),
        ..entry(number, rain_of(9, 5.0))
    };
    for (number, minute, device, state) in [
        (1, 0, 50, State::Stored),
        (2, 2, 50, State::Conflict),
        (3, 5, 50, State::Stored),
        (4, 5, 51, State::Stored),
    ] {
        let receipt = store
            .enter(without_id(number, minute, device))
            .await
            .unwrap();
        assert_eq!(receipt.state, state, "entry {number}");
    }
    store.close().await;
}
