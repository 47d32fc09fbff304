//! What one envelope is answered, and what is stored by it. Not here: lost answers (`matrix`).

use serde_json::{Value, json};
use uuid::Uuid;

use crate::support::entries::id;
use crate::support::farm::Farm;
use crate::support::phone::{Phone, rain};

/// Whether the house has an entry under an id.
async fn is_here(farm: &Farm, id: Uuid) -> bool {
    let mut read = farm.store.read().await.expect("a view");
    read.entry(id).await.expect("a look").is_some()
}

#[tokio::test]
async fn an_envelope_is_stored_and_read_back() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    let answer = farm.put(&rain(&mut phone, id(1), "0.2")).await;
    assert_eq!(answer.state(), (201, "stored"));
    assert_eq!(answer.text("id"), id(1).to_string());
    assert_eq!(answer.text("record"), id(1).to_string());
    assert_eq!(answer.body["fields"]["rain"], "0.2");
    assert_eq!(answer.body["problems"], json!([]));
    assert!(answer.body["replayed"].is_null());
    let read_as = answer.body["read_as"].to_string();
    assert!(read_as.contains("0.2 in."), "{read_as}");
    let house = farm.store.house();
    assert_eq!(answer.text("server_id"), house.server_id.to_string());
    assert_eq!(answer.text("db_epoch"), house.db_epoch.to_string());
    assert_eq!(answer.server, house.server_id.to_string());
    farm.get("/weather").await.says("0.2 in.");
    farm.close().await;
}

#[tokio::test]
async fn the_same_page_is_the_same_entry_by_either_way() {
    let farm = Farm::started().await;
    let page = farm.get("/ripeness/new").await;
    let typed = [("brix_1_1", "21,4"), ("berries_1", "100")];
    let envelope = Phone::new(1).saves("sample", &page, &typed);
    let plain = farm.send(&page, &typed).await;
    let by_post = plain.record();
    let id = envelope["id"].as_str().unwrap();
    assert_eq!(by_post, format!("/entries/{id}"));
    let answer = farm.put(&envelope).await;
    assert_eq!(answer.state(), (200, "stored"));
    assert_eq!(answer.body["replayed"], true);
    farm.close().await;
}

#[tokio::test]
async fn what_is_asked_is_asked_only_where_somebody_looks() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    let mut envelope = rain(&mut phone, id(1), "33");
    envelope["may_ask"] = true.into();
    assert_eq!(farm.put(&envelope).await.state(), (422, "asks"));
    assert!(!is_here(&farm, id(1)).await);
    envelope["may_ask"] = false.into();
    let answer = farm.put(&envelope).await;
    assert_eq!(answer.state(), (202, "held"));
    assert_ne!(answer.body["problems"], json!([]));
    assert_eq!(answer.body["read_as"], json!([]));
    farm.get("/held").await.says("33");
    farm.close().await;
}

#[tokio::test]
async fn what_no_phone_sends_is_said_to_be_unreadable() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    let good = rain(&mut phone, id(1), "0.2");
    let with = |name: &str, value: Value| {
        let mut changed = good.clone();
        changed[name] = value;
        changed
    };
    for (envelope, status) in [
        (with("v", json!(2)), 400),
        (with("fields", json!("0.2")), 400),
        (with("seq", json!("one")), 400),
        (with("entered_at", json!("this morning")), 400),
        (with("note", json!("x".repeat(70_000))), 413),
    ] {
        let answer = farm.put(&envelope).await;
        assert_eq!(answer.state(), (status, "unreadable"), "{envelope}");
        assert!(answer.text("why").ends_with('.'), "{}", answer.body);
    }
    let other = format!("/api/entries/{}", id(2));
    assert_eq!(
        farm.put_to(&other, &good).await.state(),
        (400, "unreadable")
    );
    let plain = farm
        .ask(
            reqwest::Method::PUT,
            &format!("/api/entries/{}", id(1)),
            Some(("text/plain", good.to_string().into_bytes())),
        )
        .await;
    assert_eq!(plain.status, 415);
    assert_eq!(
        farm.store
            .read()
            .await
            .unwrap()
            .how_many_need_a_look()
            .await
            .unwrap(),
        0
    );
    assert!(!is_here(&farm, id(1)).await);
    farm.close().await;
}

#[tokio::test]
async fn a_phone_of_another_house_keeps_its_entry() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    let mut envelope = rain(&mut phone, id(1), "0.2");
    envelope["server_id"] = Uuid::new_v4().to_string().into();
    assert_eq!(farm.put(&envelope).await.state(), (409, "other_server"));
    assert!(!is_here(&farm, id(1)).await);
    envelope["server_id"] = farm.store.house().server_id.to_string().into();
    assert_eq!(farm.put(&envelope).await.state(), (201, "stored"));
    farm.close().await;
}

#[tokio::test]
async fn a_ping_says_who_answers() {
    let farm = Farm::started().await;
    let answer = farm.ping().await;
    let house = farm.store.house();
    assert_eq!(answer.status, 200);
    assert_eq!(answer.server, house.server_id.to_string());
    assert_eq!(answer.text("server_id"), house.server_id.to_string());
    assert_eq!(answer.text("db_epoch"), house.db_epoch.to_string());
    assert_eq!(answer.text("app"), env!("CARGO_PKG_VERSION"));
    assert_eq!(answer.body["forms"]["sample"], 1);
    assert_eq!(answer.body["forms"]["void"], Value::Null);
    assert_eq!(answer.body["need_a_look"], 0);
    assert!(answer.text("now").starts_with("2027-09-10T11:0"));
    farm.close().await;
}

#[tokio::test]
async fn receipts_tell_what_became_of_each() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    farm.put(&rain(&mut phone, id(1), "0.2")).await;
    farm.put(&rain(&mut phone, id(2), "much")).await;
    let question = json!({
        "device": phone.device, "seq": 3, "waiting": 1, "ids": [id(1), id(2), id(3)],
    });
    let answer = farm.receipts(&question).await;
    assert_eq!(answer.status, 200);
    let expected = json!({
        id(1).to_string(): "stored", id(2).to_string(): "held", id(3).to_string(): "unknown",
    });
    assert_eq!(answer.body["receipts"], expected);
    assert_eq!(
        answer.text("db_epoch"),
        farm.store.house().db_epoch.to_string()
    );
    let many: Vec<Uuid> = (0..201).map(id).collect();
    let question = json!({"device": phone.device, "seq": 3, "waiting": 1, "ids": many});
    assert_eq!(farm.receipts(&question).await.state(), (400, "unreadable"));
    farm.close().await;
}
