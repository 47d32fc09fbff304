//! A way in that ended costs nothing that was typed.

use crate::support::caller::Caller;
use crate::support::farm::Farm;
use crate::support::phone::Phone;

async fn end_all(farm: &Farm) {
    let keys = farm.store.keys();
    for session in keys.sessions() {
        if session.role == endpost::science::access::Role::Helper {
            let path = format!("/phones/sessions/{}/end", session.id);
            farm.post(&path, &[]).await.sent_to("/phones");
        }
    }
}

#[tokio::test]
async fn a_page_saved_after_the_end_is_saved_with_one_tap_once_in_again() {
    let farm = Farm::guarded().await;
    let (helper, _) = farm.let_in("helper").await;
    let form = helper.get("/ripeness/new").await;
    end_all(&farm).await;
    let typed = [
        ("brix_1_1", "21,4"),
        ("note", "smells of \"vinegar\" & <wasps>"),
    ];
    let door = helper.tap(&form, "Save", &typed).await;
    assert_eq!(door.status, 401);
    door.says("brix_1_1: 21,4")
        .says("smells of \"vinegar\" & <wasps>");
    // A slip at the door keeps it as well.
    let slip = helper.tap(&door, "Come in", &[("code", "K7Q")]).await;
    assert_eq!(slip.status, 422);
    slip.says("A code has eight letters or digits")
        .says("brix_1_1: 21,4");
    let wrong = helper.tap(&slip, "Come in", &[("code", "0000-0000")]).await;
    assert_eq!(wrong.status, 422);
    wrong.says("brix_1_1: 21,4");
    let code = farm.code_for("helper").await;
    let is_in = helper.tap(&wrong, "Come in", &[("code", &code)]).await;
    assert_eq!(is_in.status, 200);
    is_in.says("This is not stored yet:");
    let saved = helper.tap(&is_in, "Save what you typed", &[]).await;
    let page = helper.get(saved.sent_to("/entries/").location()).await;
    page.says("21.4 °Brix")
        .says("smells of \"vinegar\" & <wasps>");
    // Tapped twice it is one entry.
    let again = helper.tap(&is_in, "Save what you typed", &[]).await;
    assert!(
        again.location().contains("now=again"),
        "{}",
        again.location()
    );
    farm.close().await;
}

#[tokio::test]
async fn an_envelope_sent_after_the_end_waits_and_is_stored_once_in_again() {
    let farm = Farm::guarded().await;
    let (helper, _) = farm.let_in("helper").await;
    let form = helper.get("/ripeness/new").await;
    let envelope = Phone::new(1).saves("sample", &form, &[("brix_1_1", "21.4")]);
    end_all(&farm).await;
    let answer = helper.put(&envelope).await;
    assert_eq!(answer.status, 401);
    assert!(answer.body.contains("\"not_let_in\""));
    assert_eq!(
        answer.header("endpost-server"),
        farm.store.house().server_id.to_string()
    );
    let ping = helper.get("/api/ping").await;
    assert_eq!(ping.status, 200);
    assert!(ping.body.contains("\"signed_in\":false"));
    assert!(ping.body.contains("\"need_a_look\":0"));
    let code = farm.code_for("helper").await;
    helper
        .post("/pair", &[("code", &code), ("then", "/")])
        .await
        .sent_to("/");
    assert!(
        helper
            .get("/api/ping")
            .await
            .body
            .contains("\"signed_in\":true")
    );
    assert_eq!(helper.put(&envelope).await.status, 201);
    assert_eq!(helper.put(&envelope).await.status, 200);
    farm.close().await;
}

#[tokio::test]
async fn a_session_ends_after_four_hundred_days() {
    let farm = Farm::guarded().await;
    let (_, cookie) = farm.let_in("helper").await;
    let farm = farm.later("2028-10-14T10:59:00Z").await;
    assert_eq!(
        Caller::with_cookie(&farm, &cookie)
            .get("/blocks")
            .await
            .status,
        200
    );
    let farm = farm.later("2028-10-14T11:01:00Z").await;
    assert_eq!(
        Caller::with_cookie(&farm, &cookie)
            .get("/blocks")
            .await
            .status,
        401
    );
    farm.close().await;
}
