//! Clocks that differ: the phone's, which is corrected by what it was wrong, and this computer's,
//! by which nothing is corrected while it can't be right. Not here: when the thing happened.

use serde_json::Value;

use crate::support::entries::id;
use crate::support::farm::Farm;
use crate::support::page::Page;
use crate::support::phone::{Phone, rain};

/// Rain in an envelope that was typed and sent at moments of the phone's clock.
fn typed_and_sent(phone: &mut Phone, number: u32, typed: &str, sent: &str) -> Value {
    let mut envelope = rain(phone, id(number), "0.2");
    envelope["entered_at"] = typed.into();
    envelope["sent_at"] = sent.into();
    envelope
}

async fn page_of(farm: &Farm, number: u32) -> Page {
    farm.get(&format!("/entries/{}", id(number))).await
}

#[tokio::test]
async fn typed_and_stored_are_told_where_they_are_apart() {
    let farm = Farm::started_at("2027-09-10T18:12:00Z").await;
    let mut phone = Phone::new(1);
    let sent = "2027-09-10T14:12:00-04:00";
    farm.put(&typed_and_sent(
        &mut phone,
        1,
        "2027-09-10T13:55:00-04:00",
        sent,
    ))
    .await;
    page_of(&farm, 1)
        .await
        .says("Typed Fri 10 Sept 13:55 on a phone, stored Fri 10 Sept 14:12.")
        .says_not("clock was");
    farm.put(&typed_and_sent(
        &mut phone,
        2,
        "2027-09-10T14:11:00-04:00",
        sent,
    ))
    .await;
    page_of(&farm, 2).await.says_not("on a phone");
    farm.close().await;
}

#[tokio::test]
async fn a_phone_whose_clock_is_slow_is_corrected_and_told() {
    let farm = Farm::started_at("2027-09-10T18:12:00Z").await;
    let mut phone = Phone::new(1);
    let envelope = typed_and_sent(
        &mut phone,
        1,
        "2027-09-10T10:55:00-04:00",
        "2027-09-10T11:12:00-04:00",
    );
    let answer = farm.put(&envelope).await;
    let skew = answer.body["skew_s"].as_i64().expect("a skew");
    assert!((10_800..10_860).contains(&skew), "{skew}");
    page_of(&farm, 1)
        .await
        .says("Typed Fri 10 Sept 13:55 on a phone")
        .says("The phone's clock was 3 h slow and said Fri 10 Sept 10:55.");
    let mut read = farm.store.read().await.unwrap();
    let entry = read.entry(id(1)).await.unwrap().unwrap();
    assert_eq!(
        entry.typed_at,
        Some("2027-09-10T14:55:00Z".parse().unwrap())
    );
    drop(read);
    farm.close().await;
}

#[tokio::test]
async fn a_clock_that_was_changed_in_between_is_said_and_not_corrected() {
    let farm = Farm::started_at("2027-09-10T18:12:00Z").await;
    let mut phone = Phone::new(1);
    let sent = "2027-09-10T14:12:00-04:00";
    farm.put(&typed_and_sent(
        &mut phone,
        1,
        "2027-09-10T13:55:00-04:00",
        sent,
    ))
    .await;
    farm.put(&typed_and_sent(
        &mut phone,
        2,
        "2027-09-10T12:00:00-04:00",
        sent,
    ))
    .await;
    page_of(&farm, 1).await.says_not("clock was changed");
    page_of(&farm, 2)
        .await
        .says("Typed Fri 10 Sept 12:00 on a phone")
        .says("The phone's clock was changed");
    farm.close().await;
}

#[tokio::test]
async fn a_computer_whose_clock_is_behind_says_so_on_every_page_and_corrects_nothing() {
    let farm = Farm::started_at("2027-09-10T18:12:00Z").await;
    let farm = farm.later("2027-09-10T15:00:00Z").await;
    let line = "This computer's clock says Fri 10 Sept 11:00, but the newest entry came Fri 10 \
                Sept 14:12: set its clock.";
    for path in ["/", "/blocks", "/house", "/phones", "/ripeness/new"] {
        farm.get(path).await.says(line);
    }
    let mut phone = Phone::new(1);
    let envelope = typed_and_sent(
        &mut phone,
        1,
        "2027-09-10T14:10:00-04:00",
        "2027-09-10T14:20:00-04:00",
    );
    let answer = farm.put(&envelope).await;
    assert_eq!(answer.state(), (201, "stored"));
    assert!(answer.body["skew_s"].is_null());
    page_of(&farm, 1)
        .await
        .says("Typed Fri 10 Sept 14:10 on a phone, stored Fri 10 Sept 11:00.")
        .says("This computer's own clock was behind");
    let farm = farm.later("2027-09-10T18:20:00Z").await;
    farm.get("/").await.says_not("set its clock");
    farm.close().await;
}
