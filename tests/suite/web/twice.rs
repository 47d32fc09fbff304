//! Pages sent twice: a double tap, a reload, Back with other values. Not here: the door (`store`).

use endpost::store::{FIRST_DAY, LAST_DAY};

use super::manners::well_mannered;
use crate::support::farm::Farm;
use crate::support::page::Page;

async fn weather_entries(farm: &Farm) -> usize {
    let mut read = farm.store.read().await.unwrap();
    let counting = read.weather_between(FIRST_DAY, LAST_DAY).await.unwrap();
    let waiting = read.need_a_look().await.unwrap();
    counting.len() + waiting.len()
}

/// A page sent, and sent again with other values; gives the page of the second.
pub async fn sent_twice_with_other_values(farm: &Farm) -> Page {
    let form = farm.get("/weather/new").await;
    farm.send(&form, &[("rain", "0.2")])
        .await
        .sent_to("/entries/");
    let second = farm.send(&form, &[("rain", "0.3")]).await;
    farm.get(second.location()).await
}

pub async fn both_are_listed(farm: &Farm) {
    let list = farm.get("/weather").await;
    list.says("0.2 in.").says("0.3 in.");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_double_tap_is_one_entry() {
    let farm = Farm::started().await;
    let form = farm.get("/weather/new").await;
    let rain = [("rain", "0.2")];
    let (one, two) = tokio::join!(farm.send(&form, &rain), farm.send(&form, &rain));
    assert_eq!(one.record(), two.record());
    assert_eq!(weather_entries(&farm).await, 1);
    let third = farm.send(&form, &rain).await;
    let page = farm.get(third.location()).await;
    assert!(
        page.text().contains("nothing was doubled"),
        "{}",
        page.text()
    );
    assert_eq!(weather_entries(&farm).await, 1);
    farm.close().await;
}

#[tokio::test]
async fn a_reload_of_the_record_stores_nothing() {
    let farm = Farm::started().await;
    let first = farm.save("/weather/new", &[("rain", "0.2")]).await;
    let commits = farm.store.commits();
    for _ in 0..3 {
        let again = farm.get(&first.path).await;
        assert_eq!(again.status, 200);
        assert!(again.text().contains("Stored 07:0"), "{}", again.text());
    }
    assert_eq!(farm.store.commits(), commits);
    farm.close().await;
}

#[tokio::test]
async fn back_with_other_values_keeps_both_and_asks() {
    let farm = Farm::started().await;
    let page = sent_twice_with_other_values(&farm).await;
    well_mannered(&page);
    assert!(page.text().contains("Both are kept"), "{}", page.text());
    assert_eq!(weather_entries(&farm).await, 2);
    assert!(farm.get("/").await.text().contains("1 entry needs a look"));

    let settled = farm.send(&page, &[("settled", "second")]).await;
    let page = farm.get(settled.location()).await;
    well_mannered(&page);
    assert!(!farm.get("/").await.text().contains("needs a look"));
    both_are_listed(&farm).await;
    farm.close().await;
}

#[tokio::test]
async fn an_answer_that_is_none_of_the_three_settles_nothing() {
    let farm = Farm::started().await;
    let page = sent_twice_with_other_values(&farm).await;
    let answer = farm.send(&page, &[("settled", "whatever")]).await;
    assert_eq!(answer.status, 422);
    well_mannered(&answer);
    assert!(farm.get("/").await.text().contains("1 entry needs a look"));
    farm.close().await;
}

#[tokio::test]
async fn two_pages_are_two_entries_even_with_the_same_values() {
    let farm = Farm::started().await;
    for _ in 0..2 {
        farm.save("/weather/new", &[("rain", "0.2")]).await;
    }
    assert_eq!(weather_entries(&farm).await, 2);
    farm.close().await;
}

#[tokio::test]
async fn the_first_start_sent_twice_makes_one_farm() {
    let farm = Farm::empty().await;
    let form = farm.get("/start").await;
    let fields = [
        ("name", "Tamarack Bend"),
        ("zone", "America/New_York"),
        ("block_name", "A"),
    ];
    farm.send(&form, &fields).await.sent_to("/ripeness/new");
    farm.send(&form, &fields).await.sent_to("/");
    let mut read = farm.store.read().await.unwrap();
    assert_eq!(read.blocks().await.unwrap().len(), 1);
    drop(read);
    farm.close().await;
}

#[tokio::test]
async fn taken_back_by_a_tap_it_is_struck_through() {
    let farm = Farm::started().await;
    let page = farm.save("/weather/new", &[("rain", "0.2")]).await;
    assert!(page.text().contains("Undo this save"), "{}", page.text());
    let undone = farm.send(&page, &[]).await;
    let page = farm.get(undone.location()).await;
    assert!(page.text().contains("Taken back"), "{}", page.text());
    let struck = page.text_of("s").join(" ");
    assert!(struck.contains("0.2 in."), "{}", page.text());
    assert!(!farm.get("/weather").await.text().contains("0.2 in."));
    farm.close().await;
}
