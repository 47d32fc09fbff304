//! What a helper may change: their own, for a day. What comes from out of range is never refused.

use serde_json::Value;

use crate::support::caller::Caller;
use crate::support::farm::Farm;
use crate::support::page::Page;
use crate::support::phone::Phone;

/// A helper's rain note, typed on the page: its path.
async fn rain_by(helper: &Caller, inches: &str) -> String {
    let page = helper.get("/weather/new").await;
    assert_eq!(page.status, 200, "{}", page.text());
    let saved = helper.tap(&page, "Save", &[("rain", inches)]).await;
    saved.record()
}

fn body(page: &Page) -> Value {
    serde_json::from_str(&page.body).expect("JSON")
}

#[tokio::test]
async fn a_helper_corrects_and_takes_back_what_they_entered() {
    let farm = Farm::guarded().await;
    let (helper, _) = farm.let_in("helper").await;
    let record = rain_by(&helper, "0.2").await;
    let form = helper.get(&format!("{record}/correct")).await;
    helper
        .tap(&form, "Save", &[("rain", "0.3")])
        .await
        .sent_to("/entries/");
    let page = helper.get(&record).await;
    page.says("0.3 in.");
    let gone = helper.tap(&page, "Take it back", &[]).await;
    assert_eq!(gone.status, 303, "{}", gone.text());
    helper.get(&record).await.says("Taken back");
    farm.close().await;
}

#[tokio::test]
async fn what_another_entered_is_the_keepers_to_change() {
    let farm = Farm::guarded().await;
    let (one, _) = farm.let_in("helper").await;
    let (other, _) = farm.let_in("helper").await;
    let record = rain_by(&one, "0.2").await;
    let page = other.get(&record).await;
    page.says("0.2 in.");
    let buttons = page.text_of("main button");
    assert!(buttons.is_empty(), "{buttons:?}");
    assert_eq!(other.get(&format!("{record}/correct")).await.status, 403);
    let page = other.post(&format!("{record}/void"), &[]).await;
    assert_eq!(page.status, 409);
    page.says("Only the keeper does this, or for a day whoever entered it.");
    farm.get(&record)
        .await
        .says("0.2 in.")
        .says_not("taken back");
    // The keeper may.
    let form = farm.get(&format!("{record}/correct")).await;
    farm.send(&form, &[("rain", "0.4")])
        .await
        .sent_to("/entries/");
    farm.close().await;
}

#[tokio::test]
async fn a_change_of_anothers_from_out_of_range_is_kept_and_asked_about() {
    let farm = Farm::guarded().await;
    let (one, _) = farm.let_in("helper").await;
    let (other, _) = farm.let_in("helper").await;
    let record = rain_by(&one, "0.2").await;
    let form = one.get(&format!("{record}/correct")).await;
    let envelope = Phone::new(2).saves("weather", &form, &[("rain", "0.9")]);
    let answer = other.put(&envelope).await;
    assert_eq!(answer.status, 202, "{}", answer.body);
    assert_eq!(body(&answer)["state"], "held");
    assert!(answer.body.contains("The keeper says whether it stands."));
    farm.get(&record).await.says("0.2 in.");
    farm.get("/held").await.says("0.9");
    // Its own phone may send the same.
    let own = Phone::new(1).saves(
        "weather",
        &one.get(&format!("{record}/correct")).await,
        &[("rain", "0.3")],
    );
    assert_eq!(one.put(&own).await.status, 201);
    farm.close().await;
}

#[tokio::test]
async fn after_a_day_a_helpers_own_is_the_keepers_too() {
    let farm = Farm::guarded().await;
    let (helper, cookie) = farm.let_in("helper").await;
    let record = rain_by(&helper, "0.2").await;
    let farm = farm.later("2027-09-11T10:30:00Z").await;
    let helper = Caller::with_cookie(&farm, &cookie);
    assert_eq!(helper.get(&format!("{record}/correct")).await.status, 200);
    let farm = farm.later("2027-09-11T11:30:00Z").await;
    let helper = Caller::with_cookie(&farm, &cookie);
    let page = helper.get(&format!("{record}/correct")).await;
    assert_eq!(page.status, 403);
    page.says("for a day");
    farm.close().await;
}

#[tokio::test]
async fn whoever_may_look_enters_nothing_and_their_phone_keeps_it() {
    let farm = Farm::guarded().await;
    let (looker, _) = farm.let_in("looker").await;
    assert_eq!(looker.get("/").await.status, 200);
    let page = looker.get("/weather/new").await;
    assert_eq!(page.status, 403);
    page.says("let in to look");
    let mut phone = Phone::new(1);
    let envelope = crate::support::phone::rain(&mut phone, crate::support::entries::id(7), "0.2");
    let answer = looker.put(&envelope).await;
    assert_eq!(
        (answer.status, &body(&answer)["state"]),
        (403, &Value::from("refused"))
    );
    let page = looker
        .post("/weather", &[("rain", "0.2"), ("date", "2027-09-10")])
        .await;
    assert_eq!(page.status, 403);
    page.says("rain: 0.2");
    farm.close().await;
}

/// An id stands in the address of its entry's page: whoever knows it has entered nothing by it.
#[tokio::test]
async fn sending_anothers_id_again_changes_and_takes_back_nothing() {
    let farm = Farm::guarded().await;
    let fields = [
        ("date", "2027-09-10"),
        ("rain", "0.5"),
        ("units", "fahrenheit pound foot"),
    ];
    let own = [("entry_id", "0199f000-0000-7000-8000-00000000000a")];
    let keepers: Vec<(&str, &str)> = fields.iter().chain(&own).copied().collect();
    farm.post("/weather", &keepers).await.sent_to("/entries/");
    let record = "/entries/0199f000-0000-7000-8000-00000000000a";
    let (helper, _) = farm.let_in("helper").await;
    // The same page as a mistake.
    let mistake: Vec<(&str, &str)> = keepers.iter().copied().chain([("mistake", "1")]).collect();
    helper.post("/weather", &mistake).await.sent_to(record);
    farm.get(record)
        .await
        .says("0.5 in.")
        .says_not("Taken back");
    // Other figures under its id, settled as a correction.
    let other = [("date", "2027-09-10"), ("rain", "3.0"), own[0]];
    let twin = helper.post("/weather", &other).await;
    let twin = twin.sent_to("/entries/").record();
    assert_ne!(twin, record);
    let settled = helper
        .post(&format!("{twin}/settle"), &[("settled", "correction")])
        .await;
    assert_eq!(settled.status, 409, "{}", settled.text());
    farm.get(record).await.says("0.5 in.").says_not("3.0 in.");
    // A second of their own is theirs to say.
    helper
        .post(&format!("{twin}/settle"), &[("settled", "second")])
        .await
        .sent_to(&twin);
    farm.close().await;
}

#[tokio::test]
async fn what_the_keeper_has_corrected_is_the_keepers() {
    let farm = Farm::guarded().await;
    let (helper, _) = farm.let_in("helper").await;
    let record = rain_by(&helper, "0.2").await;
    let form = farm.get(&format!("{record}/correct")).await;
    farm.send(&form, &[("rain", "0.4")])
        .await
        .sent_to("/entries/");
    assert_eq!(helper.get(&format!("{record}/correct")).await.status, 403);
    let page = helper.get(&record).await;
    let buttons = page.text_of("main button");
    assert!(buttons.is_empty(), "{buttons:?}");
    assert_eq!(
        helper.post(&format!("{record}/void"), &[]).await.status,
        409
    );
    farm.get(&record).await.says("0.4 in.");
    farm.close().await;
}

#[tokio::test]
async fn whoever_comes_in_again_with_the_same_phone_corrects_what_they_entered() {
    let farm = Farm::guarded().await;
    let (helper, cookie) = farm.let_in("helper").await;
    let record = rain_by(&helper, "0.2").await;
    let session = farm.store.keys().sessions()[0].id;
    farm.post(&format!("/phones/sessions/{session}/end"), &[])
        .await
        .sent_to("/phones");
    assert_eq!(helper.get(&record).await.status, 401);
    let code = farm.code_for("helper").await;
    helper
        .post("/pair", &[("code", &code), ("then", "/")])
        .await
        .sent_to("/helpers");
    assert_eq!(helper.get(&format!("{record}/correct")).await.status, 200);
    // Its old secret is worth nothing.
    assert_eq!(
        Caller::with_cookie(&farm, &cookie)
            .get(&record)
            .await
            .status,
        401
    );
    farm.close().await;
}
