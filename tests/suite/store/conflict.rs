//! The same id with other contents: kept as a twin, and settled in three ways.
//! Not here: how a page asks (`web::twice`).

use endpost::store::Store;
use endpost::store::ledger::{Outcome, Settled, State};
use tempfile::TempDir;
use uuid::Uuid;

use super::door::{checks, kept, rain_that_counts, refused};
use crate::support::entries::{about, block, choice, entry, held, id, new_store, rain, void};

/// Rain of 1 mm, and under the same id rain of 2 mm.
async fn two_under_one_id() -> (TempDir, Store, Uuid) {
    let (folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    let second = store.enter(entry(1, rain(9, 2.0))).await.unwrap();
    assert_eq!(second.outcome, Outcome::KeptBoth);
    assert_ne!(second.id, id(1));
    (folder, store, second.id)
}

#[tokio::test]
async fn the_second_is_kept_and_waits() {
    let (_folder, store, twin) = two_under_one_id().await;
    let second = kept(&store, twin).await;
    assert_eq!(
        (second.state, second.twin_of),
        (State::Conflict, Some(id(1)))
    );
    assert_eq!(rain_that_counts(&store).await, [1.0]);
    let again = store.enter(entry(1, rain(9, 2.0))).await.unwrap();
    assert_eq!((again.outcome, again.id), (Outcome::KeptBoth, twin));
    let third = store.enter(entry(1, rain(9, 3.0))).await.unwrap();
    assert_ne!(third.id, twin, "a third is another");
    let mut read = store.read().await.unwrap();
    assert_eq!(read.how_many_need_a_look().await.unwrap(), 2);
    drop(read);
    checks(&store).await;
}

#[tokio::test]
async fn it_was_a_correction() {
    let (_folder, store, twin) = two_under_one_id().await;
    let told = choice(5, twin, Settled::Correction);
    assert_eq!(store.enter(told).await.unwrap().state, State::Stored);
    assert_eq!(rain_that_counts(&store).await, [2.0]);
    let second = kept(&store, twin).await;
    assert_eq!((second.state, second.record), (State::Stored, id(1)));
    let mut read = store.read().await.unwrap();
    let in_force = read.entry_in_force(id(1)).await.unwrap().unwrap();
    assert_eq!(in_force.id, twin);
    drop(read);
    checks(&store).await;
}

#[tokio::test]
async fn they_are_two() {
    let (_folder, store, twin) = two_under_one_id().await;
    store.enter(choice(5, twin, Settled::Second)).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, [1.0, 2.0]);
    assert_eq!(kept(&store, twin).await.state, State::Stored);
    checks(&store).await;
}

#[tokio::test]
async fn it_was_a_slip() {
    let (_folder, store, twin) = two_under_one_id().await;
    store
        .enter(choice(5, twin, Settled::Mistake))
        .await
        .unwrap();
    assert_eq!(rain_that_counts(&store).await, [1.0]);
    assert_eq!(kept(&store, twin).await.state, State::Void);
    checks(&store).await;
}

#[tokio::test]
async fn it_is_settled_once() {
    let (_folder, store, twin) = two_under_one_id().await;
    store
        .enter(choice(5, twin, Settled::Mistake))
        .await
        .unwrap();
    let late = choice(6, twin, Settled::Second);
    refused(&store, late, "This has been settled before.").await;
    assert_eq!(rain_that_counts(&store).await, [1.0]);
    checks(&store).await;
}

#[tokio::test]
async fn a_twin_that_was_not_understood_is_held_when_it_is_wanted() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    let twin = store.enter(held(1, rain(9, 999.0), "999?")).await.unwrap();
    assert_eq!(twin.state, State::Conflict);
    store
        .enter(choice(5, twin.id, Settled::Second))
        .await
        .unwrap();
    let second = kept(&store, twin.id).await;
    assert_eq!(
        (second.state, second.problems),
        (State::Held, vec!["999?".to_owned()])
    );
    checks(&store).await;
}

#[tokio::test]
async fn a_correction_sent_twice_with_other_values_is_asked_about_too() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(about(2, id(1), rain(9, 2.0))).await.unwrap();
    let twin = store.enter(about(2, id(1), rain(9, 3.0))).await.unwrap();
    assert_eq!(twin.outcome, Outcome::KeptBoth);
    assert_eq!(rain_that_counts(&store).await, [2.0]);
    store
        .enter(choice(5, twin.id, Settled::Correction))
        .await
        .unwrap();
    assert_eq!(rain_that_counts(&store).await, [3.0]);
    checks(&store).await;
}

/// The twin arrived before the later correction, but it was settled after it.
#[tokio::test]
async fn a_twin_settled_late_is_in_force_on_pages_as_in_the_tables() {
    let (_folder, store, twin) = two_under_one_id().await;
    store.enter(about(3, id(1), rain(9, 3.0))).await.unwrap();
    store
        .enter(choice(5, twin, Settled::Correction))
        .await
        .unwrap();
    assert_eq!(rain_that_counts(&store).await, [2.0]);
    let mut read = store.read().await.unwrap();
    let in_force = read.entry_in_force(id(1)).await.unwrap().unwrap();
    assert_eq!(in_force.id, twin);
    drop(read);
    checks(&store).await;
    store.enter(void(6, twin)).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, [3.0]);
    checks(&store).await;
}

#[tokio::test]
async fn a_twin_that_corrects_a_held_entry_mends_it() {
    let (_folder, store) = new_store().await;
    store.enter(held(1, rain(9, 215.0), "215?")).await.unwrap();
    let twin = store.enter(entry(1, rain(9, 2.0))).await.unwrap();
    store
        .enter(choice(5, twin.id, Settled::Correction))
        .await
        .unwrap();
    assert_eq!(kept(&store, id(1)).await.state, State::Stored);
    assert_eq!(rain_that_counts(&store).await, [2.0]);
    checks(&store).await;
    store.enter(void(6, twin.id)).await.unwrap();
    assert_eq!(kept(&store, id(1)).await.state, State::Held);
    checks(&store).await;
}

#[tokio::test]
async fn a_twin_can_not_correct_what_was_taken_back_nor_another_kind() {
    let (_folder, store, twin) = two_under_one_id().await;
    store.enter(void(3, id(1))).await.unwrap();
    let why = "The entry it speaks of was taken back.";
    refused(&store, choice(5, twin, Settled::Correction), why).await;
    assert_eq!(rain_that_counts(&store).await, Vec::<f64>::new());
    store.enter(choice(6, twin, Settled::Second)).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, [2.0]);

    let other = store.enter(entry(1, block("A"))).await.unwrap();
    assert_eq!(other.outcome, Outcome::KeptBoth);
    let why = "It speaks of an entry of another kind.";
    refused(&store, choice(7, other.id, Settled::Correction), why).await;
    assert_eq!(kept(&store, other.id).await.state, State::Conflict);
    checks(&store).await;
}

#[tokio::test]
async fn the_same_texts_about_another_record_are_another_entry() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(8, 1.0))).await.unwrap();
    store.enter(entry(2, rain(9, 1.5))).await.unwrap();
    store.enter(about(3, id(1), rain(8, 4.0))).await.unwrap();
    let other = store.enter(about(3, id(2), rain(8, 4.0))).await.unwrap();
    assert_eq!(other.outcome, Outcome::KeptBoth);
    store
        .enter(choice(5, other.id, Settled::Second))
        .await
        .unwrap();
    assert_eq!(rain_that_counts(&store).await, [4.0, 4.0]);
    checks(&store).await;
}

#[tokio::test]
async fn a_correction_of_an_entry_that_is_not_settled_waits_for_it() {
    let (_folder, store, twin) = two_under_one_id().await;
    let early = store.enter(about(3, twin, rain(9, 7.0))).await.unwrap();
    assert_eq!(early.state, State::Held);
    store
        .enter(choice(5, twin, Settled::Correction))
        .await
        .unwrap();
    let waiting = kept(&store, id(3)).await;
    assert_eq!((waiting.state, waiting.record), (State::Held, id(1)));
    store.enter(about(6, id(3), rain(9, 7.0))).await.unwrap();
    assert_eq!(kept(&store, id(3)).await.state, State::Stored);
    assert_eq!(rain_that_counts(&store).await, [7.0]);
    checks(&store).await;
}
