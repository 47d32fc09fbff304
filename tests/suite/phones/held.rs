//! What this house can't read or does not know any more: kept as typed, with the reason, never
//! refused. Not here: values that can't be (`web::keeping`).

use endpost::store::ledger::{Kind, Source};
use serde_json::json;

use crate::support::entries::id;
use crate::support::farm::Farm;
use crate::support::phone::{Phone, rain};

#[tokio::test]
async fn a_page_that_is_not_known_is_kept_under_its_name() {
    let farm = Farm::started().await;
    let mut envelope = rain(&mut Phone::new(1), id(1), "0.2");
    envelope["form"] = "moon".into();
    envelope["fields"] = json!({"phase": "waning", "form": "x"});
    envelope["may_ask"] = true.into();
    let answer = farm.put(&envelope).await;
    assert_eq!(answer.state(), (202, "held"));
    assert_eq!(answer.body["fields"]["phase"], "waning");
    assert_eq!(farm.put(&envelope).await.body["replayed"], true);
    let held = farm.get("/held").await;
    held.says("A page this Endpost does not know, kept as typed")
        .says("\"moon\"")
        .says("waning")
        .says_not("Mend it");
    let page = farm.get(&format!("/entries/{}", id(1))).await;
    page.says("waning").says_not("Mend it");
    let mut read = farm.store.read().await.unwrap();
    assert_eq!(read.entry(id(1)).await.unwrap().unwrap().kind, Kind::Unread);
    drop(read);
    assert_eq!(
        farm.store.check().await.unwrap().faults,
        Vec::<String>::new()
    );
    farm.close().await;
}

#[tokio::test]
async fn acts_of_the_house_are_no_pages_of_a_phone() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    for (number, word) in [(1, "void"), (2, "choice"), (3, "unread")] {
        let mut envelope = rain(&mut phone, id(number), "0.2");
        envelope["form"] = word.into();
        assert_eq!(farm.put(&envelope).await.state(), (202, "held"), "{word}");
    }
    farm.close().await;
}

#[tokio::test]
async fn a_page_of_a_newer_endpost_is_kept_until_somebody_mends_it() {
    let farm = Farm::started().await;
    let mut envelope = rain(&mut Phone::new(1), id(1), "0.2");
    envelope["form_version"] = 9.into();
    let answer = farm.put(&envelope).await;
    assert_eq!(answer.state(), (202, "held"));
    let why = answer.body["problems"][0].as_str().unwrap_or("");
    assert!(why.contains("version 9"), "{why}");
    let path = format!("/entries/{}/correct", id(1));
    farm.save(&path, &[]).await.says("0.2 in.");
    farm.get("/held").await.says("None.");
    farm.close().await;
}

#[tokio::test]
async fn an_older_version_of_a_page_is_still_taken() {
    let farm = Farm::started().await;
    let mut envelope = rain(&mut Phone::new(1), id(1), "0.2");
    envelope["form_version"] = 0.into();
    assert_eq!(farm.put(&envelope).await.state(), (201, "stored"));
    farm.close().await;
}

#[tokio::test]
async fn a_block_taken_back_meanwhile_keeps_its_name() {
    let farm = Farm::started().await;
    let added = farm
        .save("/blocks/new", &[("name", "B"), ("variety", "Frontenac")])
        .await;
    let page = farm
        .get(&format!("/ripeness/new?block={}", farm.block("B").await))
        .await;
    let envelope = Phone::new(1).saves(
        "sample",
        &page,
        &[("brix_1_1", "21.4"), ("berries_1", "100")],
    );
    farm.tap(&added, "Undo this save").await;
    assert_eq!(farm.put(&envelope).await.state(), (202, "held"));
    farm.get("/held").await.says("B Frontenac, taken back");
    farm.close().await;
}

#[tokio::test]
async fn initials_that_nobody_has_any_more_stay_as_typed() {
    let farm = Farm::started().await;
    farm.save("/people/new", &[("initials", "LK")]).await;
    let mut phone = Phone::new(1);
    let mut envelope = rain(&mut phone, id(1), "0.2");
    envelope["person"] = "OW".into();
    let answer = farm.put(&envelope).await;
    assert_eq!(answer.state(), (202, "held"));
    farm.get(&format!("/entries/{}", id(1)))
        .await
        .says("OW is not on the list of people.")
        .says("by OW");
    let mut envelope = rain(&mut phone, id(2), "0.2");
    envelope["person"] = "LK".into();
    assert_eq!(farm.put(&envelope).await.state(), (201, "stored"));
    farm.get(&format!("/entries/{}", id(2))).await.says("by LK");
    farm.close().await;
}

#[tokio::test]
async fn paper_is_what_the_page_says_and_not_what_a_code_suggests() {
    let farm = Farm::started().await;
    let source = async |id| {
        let mut read = farm.store.read().await.unwrap();
        let entry = read.entry(id).await.unwrap().unwrap();
        (entry.source, entry.card_code)
    };
    let mut phone = Phone::new(1);
    let mut envelope = rain(&mut phone, id(1), "0.2");
    envelope["card_code"] = "K7Q2".into();
    farm.put(&envelope).await;
    assert_eq!(
        source(id(1)).await,
        (Source::Phone, Some("K7Q2".to_owned()))
    );
    let mut envelope = rain(&mut phone, id(2), "0.3");
    envelope["card_code"] = "K7Q2".into();
    envelope["from_paper"] = true.into();
    farm.put(&envelope).await;
    assert_eq!(
        source(id(2)).await,
        (Source::Paper, Some("K7Q2".to_owned()))
    );
    let page = farm.get("/weather/new?from=paper").await;
    let stored = farm
        .send(&page, &[("rain", "0.4"), ("date", "2027-09-10")])
        .await;
    farm.get(stored.location()).await.says("from paper");
    farm.close().await;
}

#[tokio::test]
async fn a_day_typed_under_the_name_from_stays_a_day() {
    let farm = Farm::started().await;
    let path = format!("/rows/new?from=paper&block={}", farm.block("A").await);
    let page = farm.get(&path).await;
    let typed = [("rows", "2 rows, 3 panels, 4 vines")];
    let envelope = Phone::new(1).saves("rows", &page, &typed);
    assert_eq!(envelope["fields"]["from"], "2027-01-01");
    assert_eq!(envelope["from_paper"], true);
    let stored = farm.send(&page, &typed).await;
    farm.get(stored.location())
        .await
        .says("1 Jan")
        .says("from paper");
    assert_eq!(farm.put(&envelope).await.body["replayed"], true);
    farm.close().await;
}
