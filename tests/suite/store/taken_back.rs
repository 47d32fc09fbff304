//! What a void does when it is taken back itself: what stood before stands again, exactly so.
//! Not here: first voids of records and corrections (`history`).

use endpost::store::ledger::{NewEntry, State};

use super::door::{checks, kept, rain_that_counts, refused};
use crate::support::entries::{about, block, entry, held, id, new_store, rain, sample, void};

#[tokio::test]
async fn a_twin_brought_back_waits_for_a_choice_again() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    let twin = store.enter(entry(1, rain(9, 2.0))).await.unwrap().id;
    store.enter(void(3, twin)).await.unwrap();
    assert_eq!(kept(&store, twin).await.state, State::Void);
    store.enter(void(4, id(3))).await.unwrap();
    assert_eq!(kept(&store, twin).await.state, State::Conflict);
    assert_eq!(rain_that_counts(&store).await, [1.0]);
    checks(&store).await;
}

#[tokio::test]
async fn a_void_of_a_void_of_a_void_takes_it_back_again() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(void(2, id(1))).await.unwrap();
    for (number, counts) in [(3, vec![1.0]), (4, vec![]), (5, vec![1.0]), (6, vec![])] {
        store.enter(void(number, id(number - 1))).await.unwrap();
        assert_eq!(rain_that_counts(&store).await, counts, "after {number}");
        let first = kept(&store, id(1)).await.state;
        assert_eq!(first == State::Stored, !counts.is_empty());
        let void_of_it = kept(&store, id(2)).await.state;
        assert_eq!(void_of_it == State::Void, !counts.is_empty());
        checks(&store).await;
    }
}

#[tokio::test]
async fn a_void_does_not_come_back_to_what_is_void_by_another() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(void(2, id(1))).await.unwrap();
    store.enter(void(3, id(2))).await.unwrap();
    store.enter(void(4, id(1))).await.unwrap();
    refused(&store, void(5, id(3)), "This has been taken back before.").await;
    assert_eq!(kept(&store, id(3)).await.state, State::Stored);
    assert_eq!(kept(&store, id(1)).await.voided_by, Some(id(4)));
    checks(&store).await;
}

#[tokio::test]
async fn an_entry_held_by_a_table_comes_back_held() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, block("A"))).await.unwrap();
    let why = "Another block has this name.";
    assert_eq!(
        store.enter(entry(2, block("A"))).await.unwrap().problems,
        [why]
    );
    store.enter(void(3, id(2))).await.unwrap();
    store.enter(void(4, id(3))).await.unwrap();
    let back = kept(&store, id(2)).await;
    assert_eq!(
        (back.state, back.problems),
        (State::Held, vec![why.to_owned()])
    );
    checks(&store).await;
}

#[tokio::test]
async fn a_name_that_is_taken_meanwhile_is_said() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, block("A"))).await.unwrap();
    store.enter(void(2, id(1))).await.unwrap();
    store.enter(entry(3, block("A"))).await.unwrap();
    refused(&store, void(4, id(2)), "Another block has this name.").await;
    assert_eq!(kept(&store, id(1)).await.state, State::Void);
    checks(&store).await;
}

/// Acts that the rules refuse are no field data: they leave nothing that needs a look.
#[tokio::test]
async fn acts_that_are_refused_do_not_lie_in_the_list() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, block("A"))).await.unwrap();
    store.enter(entry(2, sample(id(1), 9, 21.5))).await.unwrap();
    let others = "This can't be taken back: other entries hang on it.";
    refused(&store, void(3, id(1)), others).await;
    refused(
        &store,
        void(4, id(77)),
        "The entry it speaks of is not here.",
    )
    .await;
    let says_nothing = NewEntry {
        values: None,
        ..void(5, id(2))
    };
    refused(
        &store,
        says_nothing,
        "This does not say what is to be done.",
    )
    .await;
    let mut read = store.read().await.unwrap();
    assert_eq!(read.how_many_need_a_look().await.unwrap(), 0);
    drop(read);
    checks(&store).await;
}

#[tokio::test]
async fn a_record_taken_back_keeps_its_held_corrections() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    store.enter(about(2, id(1), rain(9, 2.0))).await.unwrap();
    let mut change = held(3, rain(9, 215.0), "215?");
    change.subject = Some(id(1));
    store.enter(change).await.unwrap();
    store.enter(void(4, id(1))).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, Vec::<f64>::new());
    store.enter(void(5, id(4))).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, [2.0]);
    assert_eq!(kept(&store, id(3)).await.state, State::Held);
    checks(&store).await;
}
