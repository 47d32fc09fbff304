//! The keeper's list of phones: who is in and for what, names, one phone under two ids, ends.

use endpost::science::access::Role;
use reqwest::Method;
use serde_json::json;

use crate::support::caller::Caller;
use crate::support::entries::id;
use crate::support::farm::Farm;
use crate::support::phone::{Phone, rain};

#[tokio::test]
async fn a_phone_that_came_in_stands_on_the_list_with_its_numbers() {
    let farm = Farm::guarded().await;
    let code = farm.post("/phones/new", &[("role", "helper")]).await;
    let shown = farm.get(code.location()).await;
    shown.says("may look and enter").says("Good once");
    let phone = Caller::on_the_wifi(&farm);
    // The square leads to a page that uses nothing up by being looked at.
    let signs = shown.code().replace('-', "");
    for _ in 0..2 {
        phone.get(&format!("/P/{signs}")).await.says("Come in");
    }
    let page = phone.get(&format!("/P/{signs}")).await;
    phone.tap(&page, "Come in", &[]).await.sent_to("/helpers");
    farm.get(code.location())
        .await
        .says("A phone came in by it");
    let mut own = Phone::new(1);
    own.seq = 2;
    assert_eq!(phone.put(&rain(&mut own, id(1), "0.2")).await.status, 201);
    let list = farm.get("/phones").await;
    list.says("may look and enter")
        .says("1 arrived, and it has numbered 3");
    list.says("End its way in");
    farm.close().await;
}

#[tokio::test]
async fn a_phone_has_a_name_and_can_be_the_same_as_another() {
    let farm = Farm::started().await;
    let (mut before, mut now) = (Phone::new(1), Phone::new(2));
    assert_eq!(farm.put(&rain(&mut before, id(1), "0.2")).await.status, 201);
    assert_eq!(farm.put(&rain(&mut now, id(2), "0.2")).await.state().0, 201);
    let (old, new) = (before.device.to_string(), now.device.to_string());
    farm.post(&format!("/phones/{new}/call"), &[("called", "Anna's")])
        .await
        .sent_to("/phones");
    let list = farm.get("/phones").await;
    list.says("Anna's (0002)").says("Phone 0001");
    assert_eq!(list.text_of("main ul.list > li").len(), 3);
    farm.post(&format!("/phones/{old}/same"), &[("as", &new)])
        .await
        .sent_to("/phones");
    let list = farm.get("/phones").await;
    list.says("As Phone 0001 before");
    // That, and the computer that the farm was started on.
    assert_eq!(list.text_of("main ul.list > li").len(), 2);
    // Not in a circle.
    let circle = farm
        .post(&format!("/phones/{new}/same"), &[("as", &old)])
        .await;
    assert_eq!(circle.status, 404);
    farm.post(&format!("/phones/{old}/same"), &[("as", "")])
        .await
        .sent_to("/phones");
    farm.get("/phones").await.says_not("before");
    farm.close().await;
}

#[tokio::test]
async fn a_phone_whose_way_in_was_ended_is_out() {
    let farm = Farm::guarded().await;
    let (helper, _) = farm.let_in("helper").await;
    assert_eq!(helper.get("/blocks").await.status, 200);
    let page = farm.get("/phones").await;
    let keys = farm.store.keys();
    let session = keys.sessions()[0].id;
    drop(keys);
    let end = format!("/phones/sessions/{session}/end");
    assert!(page.body.contains(&end));
    farm.post(&end, &[]).await.sent_to("/phones");
    assert_eq!(helper.get("/blocks").await.status, 401);
    farm.get("/phones").await.says("Was let in");
    farm.close().await;
}

#[tokio::test]
async fn a_phone_speaks_for_itself_alone() {
    let farm = Farm::guarded().await;
    let (one, _) = farm.let_in("helper").await;
    let (other, _) = farm.let_in("looker").await;
    let mut phone = Phone::new(1);
    assert_eq!(one.put(&rain(&mut phone, id(1), "0.2")).await.status, 201);
    let device_of = |role: Role| {
        let keys = farm.store.keys();
        let found = keys.sessions().into_iter().find(|one| one.role == role);
        found.expect("a session").device
    };
    assert_eq!(device_of(Role::Helper), phone.device);
    let lie = json!({"device": phone.device, "seq": i64::MAX, "waiting": 5, "ids": []});
    let body = ("application/json", lie.to_string().into_bytes());
    let page = other.ask(Method::POST, "/api/receipts", Some(body)).await;
    assert_eq!(page.status, 200);
    assert_ne!(device_of(Role::Looker), phone.device);
    farm.get("/phones").await.says_not("may still be on it");
    farm.close().await;
}
