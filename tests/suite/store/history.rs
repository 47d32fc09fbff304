//! Corrections and what is taken back: the old stays readable, a record keeps its place.
//! Not here: pages of an entry (`web`).

use endpost::store::ledger::{State, Values};

use super::door::{checks, kept, rain_that_counts, refused};
use crate::support::entries::{about, block, entry, id, new_store, rain, sample, september, void};

#[tokio::test]
async fn a_correction_keeps_place_and_history() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(entry(2, rain(9, 5.0))).await.unwrap();
    let receipt = store.enter(about(3, id(1), rain(9, 2.0))).await.unwrap();
    assert_eq!(receipt.record, id(1));
    // Both fell on one day; the first entered still stands first.
    assert_eq!(rain_that_counts(&store).await, [2.0, 5.0]);
    let mut read = store.read().await.unwrap();
    let past = read.history(id(1)).await.unwrap();
    let told: Vec<_> = past
        .iter()
        .map(|one| (one.id, one.values.clone()))
        .collect();
    assert_eq!(
        told,
        [
            (id(1), Some(Values::from(rain(9, 1.0)))),
            (id(3), Some(Values::from(rain(9, 2.0)))),
        ]
    );
    let in_force = read.entry_in_force(id(1)).await.unwrap().unwrap();
    assert_eq!(in_force.id, id(3));
    drop(read);
    checks(&store).await;
}

#[tokio::test]
async fn a_correction_of_a_correction_speaks_of_the_record() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(about(2, id(1), rain(9, 2.0))).await.unwrap();
    store.enter(about(3, id(2), rain(9, 3.0))).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, [3.0]);
    let mut read = store.read().await.unwrap();
    let past = read.history(id(1)).await.unwrap();
    assert_eq!(past.len(), 3);
    drop(read);
    checks(&store).await;
}

#[tokio::test]
async fn at_any_depth_a_correction_speaks_of_the_first() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    for number in 2..7 {
        let amount = f64::from(number);
        let deeper = about(number, id(number - 1), rain(9, amount));
        let receipt = store.enter(deeper).await.unwrap();
        assert_eq!((receipt.state, receipt.record), (State::Stored, id(1)));
        assert_eq!(kept(&store, id(number)).await.subject, Some(id(1)));
        assert_eq!(rain_that_counts(&store).await, [amount]);
    }
    let mut read = store.read().await.unwrap();
    assert_eq!(read.history(id(1)).await.unwrap().len(), 6);
    let in_force = read.entry_in_force(id(1)).await.unwrap().unwrap();
    assert_eq!(in_force.id, id(6));
    drop(read);
    checks(&store).await;
}

#[tokio::test]
async fn what_was_taken_back_is_not_corrected_unseen() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(void(2, id(1))).await.unwrap();
    let late = store.enter(about(3, id(1), rain(9, 2.0))).await.unwrap();
    assert_eq!(late.state, State::Held);
    assert_eq!(late.problems, ["The entry it speaks of was taken back."]);
    assert_eq!(rain_that_counts(&store).await, Vec::<f64>::new());
    checks(&store).await;
}

#[tokio::test]
async fn taken_back_it_counts_no_more_and_stays_readable() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(void(2, id(1))).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, Vec::<f64>::new());
    let first = kept(&store, id(1)).await;
    assert_eq!(first.state, State::Void);
    assert_eq!(first.values, Some(Values::from(rain(9, 1.0))));
    checks(&store).await;
}

#[tokio::test]
async fn when_a_correction_is_taken_back_what_stood_before_counts() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(about(2, id(1), rain(9, 2.0))).await.unwrap();
    store.enter(about(3, id(1), rain(9, 3.0))).await.unwrap();
    store.enter(void(4, id(3))).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, [2.0]);
    store.enter(void(5, id(2))).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, [1.0]);
    assert_eq!(kept(&store, id(1)).await.state, State::Stored);
    checks(&store).await;
}

#[tokio::test]
async fn a_block_that_samples_hang_on_is_not_taken_back() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, block("A"))).await.unwrap();
    store.enter(entry(2, sample(id(1), 9, 21.5))).await.unwrap();
    let why = "This can't be taken back: other entries hang on it.";
    refused(&store, void(3, id(1)), why).await;
    assert_eq!(kept(&store, id(1)).await.state, State::Stored);
    let mut read = store.read().await.unwrap();
    let samples = read.samples_between(september(1), september(30)).await;
    assert_eq!(samples.unwrap().len(), 1);
    drop(read);
    checks(&store).await;
}

#[tokio::test]
async fn an_entry_taken_back_twice_is_taken_back_once() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(void(2, id(1))).await.unwrap();
    let why = "This has been taken back before.";
    refused(&store, void(3, id(1)), why).await;
    assert_eq!(kept(&store, id(1)).await.state, State::Void);
    assert_eq!(rain_that_counts(&store).await, Vec::<f64>::new());
    checks(&store).await;
}

#[tokio::test]
async fn a_void_that_is_taken_back_does_not_lose_the_record() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(void(2, id(1))).await.unwrap();
    store.enter(void(3, id(2))).await.unwrap();
    assert_eq!(kept(&store, id(1)).await.state, State::Stored);
    assert_eq!(kept(&store, id(2)).await.state, State::Void);
    assert_eq!(rain_that_counts(&store).await, [1.0]);
    checks(&store).await;
}

#[tokio::test]
async fn a_choice_that_is_taken_back_makes_no_second_record() {
    use endpost::store::ledger::Settled;
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    let twin = store.enter(entry(1, rain(9, 2.0))).await.unwrap();
    let settled = crate::support::entries::choice(5, twin.id, Settled::Correction);
    store.enter(settled).await.unwrap();
    refused(&store, void(6, id(5)), "What was settled stays settled.").await;
    assert_eq!(rain_that_counts(&store).await, [2.0]);
    checks(&store).await;
}
