//! Entries kept as typed and what mends them: a mend settles them, and undone it leaves them as
//! they were. Not here: why an entry is held (`door`).

use endpost::store::ledger::State;

use super::door::{checks, kept, rain_that_counts};
use crate::support::entries::{about, block, entry, held, id, new_store, rain, void};

#[tokio::test]
async fn an_undone_mend_leaves_the_entry_held_with_its_problems() {
    let (_folder, store) = new_store().await;
    store.enter(held(1, rain(9, 215.0), "215?")).await.unwrap();
    store.enter(about(2, id(1), rain(9, 21.5))).await.unwrap();
    let mended = kept(&store, id(1)).await;
    assert_eq!(mended.state, State::Stored);
    assert_eq!(mended.problems, ["215?"], "a mend wipes no problem");
    store.enter(void(3, id(2))).await.unwrap();
    let first = kept(&store, id(1)).await;
    assert_eq!(first.state, State::Held);
    assert_eq!(first.problems, ["215?"]);
    assert_eq!(rain_that_counts(&store).await, Vec::<f64>::new());
    let mut read = store.read().await.unwrap();
    assert_eq!(read.how_many_need_a_look().await.unwrap(), 1);
    drop(read);
    checks(&store).await;
    store.enter(void(4, id(3))).await.unwrap();
    assert_eq!(kept(&store, id(1)).await.state, State::Stored);
    assert_eq!(rain_that_counts(&store).await, [21.5]);
    checks(&store).await;
}

#[tokio::test]
async fn one_of_two_mends_undone_leaves_the_other() {
    let (_folder, store) = new_store().await;
    store.enter(held(1, rain(9, 215.0), "215?")).await.unwrap();
    store.enter(about(2, id(1), rain(9, 21.5))).await.unwrap();
    store.enter(about(3, id(1), rain(9, 22.5))).await.unwrap();
    store.enter(void(4, id(3))).await.unwrap();
    assert_eq!(kept(&store, id(1)).await.state, State::Stored);
    assert_eq!(rain_that_counts(&store).await, [21.5]);
    checks(&store).await;
}

#[tokio::test]
async fn a_mend_settles_the_held_correction_it_mends() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    let mut change = held(2, rain(9, 215.0), "215?");
    change.subject = Some(id(1));
    store.enter(change).await.unwrap();
    assert_eq!(rain_that_counts(&store).await, [1.0]);
    let mend = store.enter(about(3, id(2), rain(9, 2.0))).await.unwrap();
    assert_eq!((mend.state, mend.record), (State::Stored, id(1)));
    assert_eq!(kept(&store, id(2)).await.state, State::Stored);
    let mut read = store.read().await.unwrap();
    assert_eq!(read.how_many_need_a_look().await.unwrap(), 0);
    drop(read);
    checks(&store).await;
    store.enter(void(4, id(3))).await.unwrap();
    assert_eq!(kept(&store, id(2)).await.state, State::Held);
    assert_eq!(rain_that_counts(&store).await, [1.0]);
    checks(&store).await;
}

#[tokio::test]
async fn a_held_correction_taken_back_leaves_the_good_record() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 1.0))).await.unwrap();
    let mut change = held(2, rain(9, 215.0), "215?");
    change.subject = Some(id(1));
    store.enter(change).await.unwrap();
    store.enter(void(3, id(2))).await.unwrap();
    assert_eq!(kept(&store, id(2)).await.state, State::Void);
    assert_eq!(rain_that_counts(&store).await, [1.0]);
    let mut read = store.read().await.unwrap();
    assert_eq!(read.how_many_need_a_look().await.unwrap(), 0);
    drop(read);
    checks(&store).await;
}

/// What speaks of an entry that never came is mended as a record of its own.
#[tokio::test]
async fn a_correction_of_nothing_can_be_mended() {
    let (_folder, store) = new_store().await;
    store.enter(about(1, id(99), rain(9, 1.0))).await.unwrap();
    store.enter(entry(2, block("A"))).await.unwrap();
    store.enter(about(3, id(2), rain(8, 3.0))).await.unwrap();
    for (number, of) in [(4, id(1)), (5, id(3))] {
        assert_eq!(kept(&store, of).await.state, State::Held);
        let mend = about(number, of, rain(number, f64::from(number)));
        assert_eq!(store.enter(mend).await.unwrap().record, of);
        assert_eq!(kept(&store, of).await.state, State::Stored);
    }
    assert_eq!(rain_that_counts(&store).await, [4.0, 5.0]);
    checks(&store).await;
}
