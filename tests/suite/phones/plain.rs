//! A browser without scripts: 303, 422, the same again, and a page without an id.
//! Not here: forms as such (`web`).

use crate::support::farm::Farm;

#[tokio::test]
async fn a_plain_post_leads_on_and_sent_again_leads_to_the_same() {
    let farm = Farm::started().await;
    let page = farm.get("/weather/new").await;
    let first = farm.send(&page, &[("rain", "0.2")]).await;
    first.sent_to("/entries/");
    let again = farm.send(&page, &[("rain", "0.2")]).await;
    assert_eq!(again.record(), first.record());
    farm.get(again.location()).await.says("nothing was doubled");
    farm.close().await;
}

#[tokio::test]
async fn what_is_asked_comes_back_under_the_same_id_with_all_that_was_typed() {
    let farm = Farm::started().await;
    let page = farm.get("/weather/new").await;
    let asked = farm.send(&page, &[("rain", "much"), ("note", "wet")]).await;
    assert_eq!(asked.status, 422);
    assert_eq!(asked.typed("rain"), ["much"]);
    assert_eq!(asked.typed("note"), ["wet"]);
    assert_eq!(asked.typed("entry_id"), page.typed("entry_id"));
    farm.close().await;
}

#[tokio::test]
async fn a_page_sent_again_is_not_asked_what_it_answers_itself() {
    let farm = Farm::started().await;
    let page = farm.get("/people/new").await;
    let first = farm.send(&page, &[("initials", "LK")]).await;
    // By now the initials are taken, by this very entry.
    let again = farm.send(&page, &[("initials", "LK")]).await;
    assert_eq!(again.status, 303, "{}", again.text());
    assert_eq!(again.record(), first.record());
    farm.close().await;
}

#[tokio::test]
async fn a_page_without_an_id_or_with_a_broken_one_is_stored_all_the_same() {
    let farm = Farm::started().await;
    for (rain, entry_id) in [("0.1", ""), ("0.2", "nothing")] {
        let sent = farm
            .post(
                "/weather",
                &[
                    ("date", "2027-09-10"),
                    ("rain", rain),
                    ("entry_id", entry_id),
                ],
            )
            .await;
        sent.sent_to("/entries/");
        let page = farm.get(sent.location()).await;
        page.says("Stored 07:0");
        let id = page.record();
        let id = id.trim_start_matches("/entries/").parse().unwrap();
        let mut read = farm.store.read().await.unwrap();
        assert!(read.entry(id).await.unwrap().unwrap().no_client_id);
    }
    farm.close().await;
}
