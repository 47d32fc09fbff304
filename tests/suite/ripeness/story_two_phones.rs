//! Story 6: two phones, one bag. Vidal C on Mon 13 Sept 2027; both enter bag 1.
//! The figures are the story's own.

use super::{block_page, sampled};
use crate::support::farm::{Farm, client_at};
use crate::support::page::Page;

/// Phone 1 saves 19.4 at 07:40, phone 2 types 19.6 at 07:43.
async fn phone_2_is_asked() -> (Farm, Page) {
    let farm = Farm::at("2027-09-13T07:40:00-04:00").await;
    let bag = [("bag_1", "1"), ("brix_1_1", "19.4")];
    sampled(&farm, "C", &bag).await.is_stored();
    let farm = farm.later("2027-09-13T07:43:00-04:00").await;
    let asked = sampled(&farm, "C", &[("bag_1", "1"), ("brix_1_1", "19.6")]).await;
    asked.asks(
        "Another phone entered C Vidal bag 1 of Mon 13 Sept at 07:40: 19.4. Is yours another look \
         at the same bag, another bag, or a mistake?",
    );
    (farm, asked)
}

/// What each entry of the ledger holds under "brix_1_1", in order of arrival.
async fn readings(farm: &Farm) -> Vec<String> {
    let mut found = Vec::new();
    let mut read = farm.store.read().await.expect("a view");
    let [first, last] = ["2027-01-01", "2027-12-31"].map(|day| day.parse().expect("a date"));
    for sample in read.samples_between(first, last).await.expect("samples") {
        let entry = read.entry(sample.id).await.expect("an entry");
        found.push(
            entry
                .expect("its entry")
                .fields
                .first("brix_1_1")
                .to_owned(),
        );
    }
    found
}

#[tokio::test]
async fn another_look_makes_one_bag_of_two_readings() {
    let (farm, asked) = phone_2_is_asked().await;
    farm.tap(&asked, "Another look at the same bag")
        .await
        .is_stored();
    let block = block_page(&farm, "C").await;
    block.says("19.5 °Brix on 13 Sept (one bag, about ±1.4)");
    block.says_not("about ±1.0");
    assert_eq!(readings(&farm).await, ["19.4", "19.6"], "both are kept");
}

#[tokio::test]
async fn a_second_bag_makes_two() {
    let (farm, asked) = phone_2_is_asked().await;
    farm.tap(&asked, "Another bag: number 2").await.is_stored();
    let block = block_page(&farm, "C").await;
    block.says("19.5 °Brix on 13 Sept (two bags, 0.2 apart, about ±1.0)");
}

#[tokio::test]
async fn a_mistake_leaves_the_first_and_stays_readable() {
    let (farm, asked) = phone_2_is_asked().await;
    let record = farm.tap(&asked, "Mine is a mistake").await;
    record.says("Taken back.");
    record.says("19.6");
    let block = block_page(&farm, "C").await;
    block.says("19.4 °Brix on 13 Sept (one bag, about ±1.4)");
}

#[tokio::test]
async fn a_third_phone_hears_of_the_newest() {
    let (mut farm, asked) = phone_2_is_asked().await;
    farm.tap(&asked, "Another look at the same bag")
        .await
        .is_stored();
    farm.client = client_at(&farm.url(""));
    let third = sampled(&farm, "C", &[("bag_1", "1"), ("brix_1_1", "19.5")]).await;
    third.asks(
        "Another phone entered C Vidal bag 1 of Mon 13 Sept at 07:43: 19.6. Is yours another look \
         at the same bag, another bag, or a mistake?",
    );
}
