//! Many phones at once, on a line that loses one answer in five. Not here: one phone (`put`).

use endpost::store::{FIRST_DAY, LAST_DAY};
use futures_util::future::join_all;
use uuid::Uuid;

use crate::support::farm::Farm;
use crate::support::phone::{Phone, rain};

const PHONES: u32 = 30;
const ENTRIES: u32 = 500;

/// Sends a phone's share; every fifth answer is lost, so that the entry is sent again.
async fn send_share(farm: &Farm, number: u32) -> u32 {
    let mut phone = Phone::new(number);
    let mut sent = 0;
    for turn in (number..ENTRIES).step_by(PHONES as usize) {
        let envelope = rain(&mut phone, Uuid::now_v7(), "0.2");
        let answer = farm.put(&envelope).await;
        assert_eq!(answer.state(), (201, "stored"));
        if turn % 5 == 0 {
            let again = farm.put(&envelope).await;
            assert_eq!(again.state(), (200, "stored"));
            assert_eq!(again.body["replayed"], true);
        }
        sent += 1;
    }
    sent
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn five_hundred_entries_of_thirty_phones_are_five_hundred_records() {
    let farm = Farm::started().await;
    let sent = join_all((0..PHONES).map(|number| send_share(&farm, number))).await;
    assert_eq!(sent.iter().sum::<u32>(), ENTRIES);
    let mut read = farm.store.read().await.unwrap();
    let days = read.weather_between(FIRST_DAY, LAST_DAY).await.unwrap();
    assert_eq!(days.len(), ENTRIES as usize);
    assert_eq!(read.how_many_need_a_look().await.unwrap(), 0);
    let phones = read.phones().await.unwrap();
    let numbered = phones.iter().filter(|phone| phone.last_seq.is_some());
    for phone in numbered.clone() {
        let all: Vec<i64> = (1..=phone.last_seq.unwrap()).collect();
        assert_eq!(phone.arrived, all);
    }
    assert_eq!(numbered.count(), PHONES as usize);
    drop(read);
    farm.close().await;
}
