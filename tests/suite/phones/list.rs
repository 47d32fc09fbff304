//! The list of phones: which of their numbers arrived, and what they told. Not here: receipts.

use serde_json::json;

use crate::support::entries::id;
use crate::support::farm::Farm;
use crate::support::phone::{Phone, rain};

#[tokio::test]
async fn a_number_that_never_arrived_shows_as_a_gap() {
    let farm = Farm::started().await;
    farm.get("/house").await.says("Phones");
    let mut phone = Phone::new(0xBEE5);
    for number in [1, 2, 4] {
        phone.seq = i64::from(number) - 1;
        farm.put(&rain(&mut phone, id(number), "0.2")).await;
    }
    farm.get("/phones")
        .await
        .says("Phone BEE5")
        .says("The newest that arrived has number 4.")
        .says("3 arrived, and it has numbered 4: 1 may still be on it, or was discarded there. Missing is number 3.");
    let question = json!({"device": phone.device, "seq": 7, "waiting": 3, "ids": []});
    farm.receipts(&question).await;
    farm.get("/phones")
        .await
        .says("its newest entry has number 7, and 3 wait on it")
        .says("3 arrived, and it has numbered 7: 4 may still be on it, or was discarded there. Missing are numbers 3 and 5 to 7.");
    farm.close().await;
}

#[tokio::test]
async fn a_phone_whose_numbers_all_arrived_has_no_gap() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    for number in 1..=3 {
        farm.put(&rain(&mut phone, id(number), "0.2")).await;
    }
    let question = json!({"device": phone.device, "seq": 3, "waiting": 0, "ids": []});
    farm.receipts(&question).await;
    farm.get("/phones")
        .await
        .says("none waits on it")
        .says_not("may still be on it");
    farm.close().await;
}

#[tokio::test]
async fn a_plain_post_counts_under_the_number_its_page_tells() {
    let farm = Farm::started().await;
    let phone = Phone::new(0xCAFE);
    let device = phone.device.to_string();
    let typed = [("device", device.as_str()), ("seq", "1"), ("rain", "0.2")];
    farm.save("/weather/new", &typed).await.says_not("CAFE");
    farm.get("/phones")
        .await
        .says("Phone CAFE")
        .says("The newest that arrived has number 1.");
    farm.close().await;
}

#[tokio::test]
async fn numbers_past_all_counting_are_only_numbers() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    phone.seq = i64::MAX - 1;
    farm.put(&rain(&mut phone, id(1), "0.2")).await;
    let device = phone.device;
    let question = json!({"device": device, "seq": i64::MIN, "waiting": -1, "ids": []});
    assert_eq!(farm.receipts(&question).await.status, 200);
    farm.get("/phones").await.says("may still be on it");
    farm.close().await;
}

#[tokio::test]
async fn one_phone_is_one_whichever_way_its_pages_come() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(0xCAFE);
    farm.put(&rain(&mut phone, id(1), "0.2")).await;
    let device = phone.device.to_string();
    // A question on a page keeps the number that the phone gave it, by whichever button it goes.
    let typed = [("device", device.as_str()), ("seq", "2"), ("rain", "33")];
    let asked = farm.type_in("/weather/new", &typed).await;
    assert_eq!(asked.status, 422, "{}", asked.text());
    let record = farm.send(&asked, &[("rain", "0.3")]).await.record();
    farm.get(&record).await.says("0.3 in.");
    // What the browser sends by itself is from the same phone.
    farm.save("/weather/new", &[("rain", "0.4")]).await;
    let seen = farm.store.read().await.unwrap().phones().await.unwrap();
    let called: Vec<_> = seen
        .iter()
        .map(|one| (one.device, one.arrived.clone()))
        .collect();
    assert!(called.contains(&(phone.device, vec![1, 2])), "{called:?}");
    let newest = seen.first().map(|one| one.device);
    assert_eq!(newest, Some(phone.device), "{called:?}");
    farm.close().await;
}

#[tokio::test]
async fn what_a_phone_told_is_no_news_once_all_of_it_arrived() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(0xBEE5);
    farm.put(&rain(&mut phone, id(1), "0.2")).await;
    let question = json!({"device": phone.device, "seq": 2, "waiting": 1, "ids": []});
    farm.receipts(&question).await;
    farm.get("/phones").await.says("and 1 waits on it");
    farm.put(&rain(&mut phone, id(2), "0.3")).await;
    farm.get("/phones")
        .await
        .says_not("waits on it")
        .says("has number 2");
    farm.close().await;
}
