//! Two pages that change the same record: the later one puts nothing back unseen; and what undo
//! takes back then. Not here: the same page sent twice (`twice`).

use super::manners::well_mannered;
use crate::support::farm::Farm;

#[tokio::test]
async fn a_page_opened_before_anothers_change_says_so_and_then_saves() {
    let farm = Farm::started().await;
    let path = farm.save("/weather/new", &[("low", "41")]).await.record();
    let correct = format!("{path}/correct");
    let (one, two) = (farm.get(&correct).await, farm.get(&correct).await);
    let saved = farm.send(&one, &[("low", "44")]).await;
    saved.sent_to("/entries/");
    let asked = farm.send(&two, &[("rain", "0.3")]).await;
    assert_eq!(asked.status, 422);
    well_mannered(&asked);
    asked
        .says("It was changed after this page was opened, Fri 10 Sept 07:00")
        .says("Lowest 41 °F, now 44 °F");
    assert_eq!(asked.typed("rain"), ["0.3"], "what was typed stays");
    farm.get(&path).await.says("44 °F");
    // Looked at and saved, it counts; sent twice it is one change.
    for _ in 0..2 {
        farm.send(&asked, &[]).await.sent_to("/entries/");
    }
    let page = farm.get(&path).await;
    page.says("41 °F").says("0.3 in.");
    assert_eq!(page.text_of("main ol.list > li").len(), 3);
    farm.close().await;
}

#[tokio::test]
async fn the_same_page_sent_twice_is_not_overtaken_by_itself() {
    let farm = Farm::started().await;
    let path = farm.save("/weather/new", &[("low", "41")]).await.record();
    let page = farm.get(&format!("{path}/correct")).await;
    for _ in 0..2 {
        farm.send(&page, &[("low", "44")])
            .await
            .sent_to("/entries/");
    }
    assert_eq!(farm.get(&path).await.text_of("main ol.list > li").len(), 2);
    farm.close().await;
}

#[tokio::test]
async fn undo_takes_back_the_last_change_wherever_it_is_tapped() {
    let farm = Farm::started().await;
    let path = farm.save("/weather/new", &[("low", "41")]).await.record();
    farm.get(&path).await.says("Undo this save");
    farm.save(&format!("{path}/correct"), &[("low", "44")])
        .await;
    let page = farm.get(&path).await;
    let undo = page.form_of_button("Undo the last change");
    let done = farm.post(&undo.path, &[]).await;
    let page = farm.get(done.location()).await;
    page.says("Done. This is what counts now.");
    assert_eq!(page.value_of("Lowest").as_deref(), Some("41 °F"));
    page.says("The change of 07:00 taken back");
    farm.close().await;
}

#[tokio::test]
async fn a_record_taken_back_shows_what_counted_last() {
    let farm = Farm::started().await;
    let path = farm.save("/weather/new", &[("low", "41")]).await.record();
    farm.save(&format!("{path}/correct"), &[("low", "44")])
        .await;
    farm.post(&format!("{path}/void"), &[]).await.sent_to(&path);
    let page = farm.get(&path).await;
    assert_eq!(page.text_of("dl.read s"), ["44 °F"]);
    assert!(page.text_of("main ol.list > li")[1].contains("41 °F now 44 °F"));
    farm.close().await;
}

#[tokio::test]
async fn taking_back_a_spray_says_what_it_no_longer_closes() {
    let farm = Farm::started().await;
    let block = farm.block("A").await;
    let spray = [
        ("block", block.as_str()),
        ("date", "2027-09-09"),
        ("ended", "10:00"),
        ("product_1_name", "First"),
        ("product_1_entry", "48"),
        ("product_1_harvest", "14"),
    ];
    farm.type_in("/sprays/new", &spray)
        .await
        .says("closed by it no longer");
    let rain = farm.save("/weather/new", &[("low", "41")]).await;
    rain.says_not("closed by it no longer");
    farm.close().await;
}

#[tokio::test]
async fn a_change_that_moved_the_record_is_told_by_its_headline() {
    let farm = Farm::started().await;
    let path = farm.save("/weather/new", &[("low", "41")]).await.record();
    let page = farm.get(&format!("{path}/correct")).await;
    farm.save(&format!("{path}/correct"), &[("date", "2027-09-09")])
        .await;
    let asked = farm.send(&page, &[("low", "42")]).await;
    assert_eq!(asked.status, 422);
    asked.says("Weather of Fri 10 Sept 2027, now Weather of Thu 9 Sept 2027");
    farm.close().await;
}

#[tokio::test]
async fn a_change_taken_back_meanwhile_is_told_as_that() {
    let farm = Farm::started().await;
    let path = farm.save("/weather/new", &[("low", "41")]).await.record();
    let change = farm
        .save(&format!("{path}/correct"), &[("low", "44")])
        .await;
    let page = farm.get(&format!("{path}/correct")).await;
    farm.post(&format!("{}/void", change.record()), &[])
        .await
        .sent_to(&path);
    let asked = farm.send(&page, &[("rain", "0.3")]).await;
    asked.says("What this page began with was taken back, Fri 10 Sept 07:00");
    asked.says("Lowest 44 °F, now 41 °F");
    farm.close().await;
}
