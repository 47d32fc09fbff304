//! The failures that the house alone can show, one test for each, named after what happens.
//! Each asks the plain question: is it there, once, as it was typed. What else follows stands in
//! the files beside this one; a line that breaks (`broken_line`), a power cut and a full disk
//! (`power_cut`, `full_disk`), a copy put back (`restored`) stand there alone.
//! Not here: what only a phone can show (`browser`).

use endpost::store::ledger::State;
use endpost::store::{FIRST_DAY, LAST_DAY};
use uuid::Uuid;

use crate::support::binary::serve;
use crate::support::entries::id;
use crate::support::farm::{Farm, client_at};
use crate::support::phone::{Phone, rain};

/// How much rain is written down, and how many entries wait for a look.
async fn written_down(farm: &Farm) -> (usize, i64) {
    let mut read = farm.store.read().await.unwrap();
    let days = read.weather_between(FIRST_DAY, LAST_DAY).await.unwrap();
    (days.len(), read.how_many_need_a_look().await.unwrap())
}

async fn state(farm: &Farm, id: Uuid) -> Option<State> {
    farm.store.read().await.unwrap().state_of(id).await.unwrap()
}

#[tokio::test]
async fn server_stored_it_and_the_answer_was_lost() {
    let farm = Farm::started().await;
    let envelope = rain(&mut Phone::new(1), id(1), "0.2");
    let first = farm.put(&envelope).await;
    let again = farm.put(&envelope).await;
    assert_eq!(again.state(), (200, "stored"));
    assert_eq!(again.text("received_at"), first.text("received_at"));
    assert_eq!(again.body["fields"], first.body["fields"]);
    assert_eq!(written_down(&farm).await, (1, 0));
    farm.close().await;
}

#[tokio::test]
async fn server_was_killed_before_it_could_answer() {
    let folder = tempfile::tempdir().unwrap();
    let envelope = rain(&mut Phone::new(1), id(1), "0.2");
    let send = async |address: &str| {
        client_at(address)
            .put(format!("{address}/api/entries/{}", id(1)))
            .header("content-type", "application/json")
            .body(envelope.to_string())
            .send()
            .await
            .map(|answer| answer.status().as_u16())
    };
    let served = serve(folder.path());
    assert_eq!(send(&served.address).await.unwrap(), 202);
    served.kill_at_once();
    // The phone knows nothing of the answer, and sends again.
    let served = serve(folder.path());
    assert_eq!(send(&served.address).await.unwrap(), 200);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn double_tap_or_two_tabs() {
    let farm = Farm::started().await;
    let envelope = rain(&mut Phone::new(1), id(1), "0.2");
    let (one, two) = tokio::join!(farm.put(&envelope), farm.put(&envelope));
    let mut statuses = [one.status, two.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 201]);
    assert_eq!(written_down(&farm).await, (1, 0));
    farm.close().await;
}

#[tokio::test]
async fn same_id_with_other_values() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    farm.put(&rain(&mut phone, id(1), "0.2")).await;
    let other = rain(&mut phone, id(1), "0.3");
    let both = farm.put(&other).await;
    assert_eq!(both.state(), (200, "kept_both"));
    assert_eq!(both.text("id"), id(1).to_string());
    let second = both.text("id2");
    assert_eq!(
        state(&farm, second.parse().unwrap()).await,
        Some(State::Conflict)
    );
    assert_eq!(farm.put(&other).await.text("id2"), second);
    assert_eq!(written_down(&farm).await, (1, 1));
    farm.close().await;
}

#[tokio::test]
async fn phone_lost_with_entries_on_it() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    farm.put(&rain(&mut phone, id(1), "0.2")).await;
    let question = serde_json::json!({"device": phone.device, "seq": 3, "waiting": 2, "ids": []});
    farm.receipts(&question).await;
    farm.get("/phones")
        .await
        .says("Missing are numbers 2 to 3.");
    farm.close().await;
}

#[tokio::test]
async fn phone_clock_is_wrong() {
    let farm = Farm::started().await;
    let mut envelope = rain(&mut Phone::new(1), id(1), "0.2");
    envelope["entered_at"] = "1970-01-01T00:10:00Z".into();
    envelope["sent_at"] = "1970-01-01T00:20:00Z".into();
    assert_eq!(farm.put(&envelope).await.state(), (201, "stored"));
    farm.get(&format!("/entries/{}", id(1)))
        .await
        .says("Typed Fri 10 Sept 06:50 on a phone")
        .says("days slow");
    farm.close().await;
}

#[tokio::test]
async fn moments_at_the_ends_of_time_are_taken() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    for (number, typed, sent) in [
        (1, "9999-12-31T23:59:59Z", "0001-01-01T00:00:00Z"),
        (2, "0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z"),
    ] {
        let mut envelope = rain(&mut phone, id(number), "0.2");
        envelope["entered_at"] = typed.into();
        envelope["sent_at"] = sent.into();
        assert_eq!(farm.put(&envelope).await.state(), (201, "stored"));
        assert_eq!(
            farm.get(&format!("/entries/{}", id(number))).await.status,
            200
        );
    }
    farm.close().await;
}

#[tokio::test]
async fn server_clock_is_wrong() {
    let farm = Farm::started().await.later("2027-09-01T11:00:00Z").await;
    let answer = farm.put(&rain(&mut Phone::new(1), id(1), "0.2")).await;
    // The day is in the future by this clock, which is asked about: kept as typed, never refused.
    assert_eq!(answer.status, 202);
    farm.get("/").await.says("set its clock");
    farm.close().await;
}

#[tokio::test]
async fn new_database_on_the_same_address() {
    let first = Farm::started().await;
    let mut envelope = rain(&mut Phone::new(1), id(1), "0.2");
    envelope["server_id"] = first.store.house().server_id.to_string().into();
    first.close().await;
    let other = Farm::started().await;
    assert_eq!(other.put(&envelope).await.state(), (409, "other_server"));
    assert_eq!(written_down(&other).await, (0, 0));
    other.close().await;
}

#[tokio::test]
async fn another_machine_at_the_address_can_be_told_apart() {
    let farm = Farm::started().await;
    let own = farm.store.house().server_id.to_string();
    for path in ["/", "/api/ping", "/nowhere", "/icon.svg"] {
        assert_eq!(farm.get(path).await.header("endpost-server"), own, "{path}");
    }
    farm.close().await;
}

#[tokio::test]
async fn form_changed_while_the_phone_was_away() {
    let farm = Farm::started().await;
    let mut envelope = rain(&mut Phone::new(1), id(1), "0.2");
    envelope["form_version"] = 2.into();
    envelope["fields"]["cloud"] = "low".into();
    let answer = farm.put(&envelope).await;
    assert_eq!(answer.state(), (202, "held"));
    assert_eq!(answer.body["fields"]["cloud"], "low");
    farm.close().await;
}

#[tokio::test]
async fn rule_is_not_met_after_hours_out_of_range() {
    let farm = Farm::started().await;
    let answer = farm.put(&rain(&mut Phone::new(1), id(1), "buckets")).await;
    assert_eq!(answer.state(), (202, "held"));
    assert_eq!(answer.body["fields"]["rain"], "buckets");
    farm.get("/").await.says("1 entry needs a look");
    farm.close().await;
}

#[tokio::test]
async fn change_of_something_that_was_changed_meanwhile() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    farm.put(&rain(&mut phone, id(1), "0.2")).await;
    let mut change = |number, text| {
        let mut envelope = rain(&mut phone, id(number), text);
        envelope["subject"] = id(1).to_string().into();
        envelope["base"] = id(1).to_string().into();
        envelope
    };
    let changes = [change(2, "0.3"), change(3, "0.4")];
    assert_eq!(farm.put(&changes[0]).await.state(), (201, "stored"));
    assert_eq!(farm.put(&changes[1]).await.state(), (200, "conflict"));
    assert_eq!(written_down(&farm).await, (1, 1));
    farm.get("/weather").await.says("0.3 in.");
    farm.close().await;
}
