//! What the door answers: repeats, holds, many at once. Not here: corrections (`history`) and the
//! same id with other contents (`conflict`).

use std::collections::HashSet;

use endpost::store::ledger::{Entry, NewEntry, Outcome, State};
use endpost::store::{Store, StoreError};
use uuid::Uuid;

use crate::support::entries::{about, block, entry, held, id, new_store, person, rain, sample};

/// An entry that must be there.
pub async fn kept(store: &Store, id: Uuid) -> Entry {
    let mut read = store.read().await.unwrap();
    let entry = read.entry(id).await.unwrap();
    entry.unwrap_or_else(|| panic!("the entry {id} is lost"))
}

/// Rain that counts, in mm, in order of days.
pub async fn rain_that_counts(store: &Store) -> Vec<f64> {
    use crate::support::entries::september;
    let mut read = store.read().await.unwrap();
    let days = read
        .weather_between(september(1), september(30))
        .await
        .unwrap();
    days.iter().filter_map(|(_, day)| day.rain_mm).collect()
}

/// Holds that an act of the house is refused with a reason and leaves no trace.
pub async fn refused(store: &Store, act: NewEntry, why: &str) {
    let id = act.id;
    match store.enter(act).await {
        Err(StoreError::Refused(said)) => assert_eq!(said, why),
        other => panic!("not refused: {other:?}"),
    }
    let mut read = store.read().await.unwrap();
    assert_eq!(read.entry(id).await.unwrap(), None);
}

/// Holds that a replay of the ledger comes to the same tables.
pub async fn checks(store: &Store) {
    let found = store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
}

#[tokio::test]
async fn sent_twice_it_is_entered_once_and_answered_the_same() {
    let (_folder, store) = new_store().await;
    let first = store.enter(entry(1, rain(9, 12.0))).await.unwrap();
    assert_eq!(first.outcome, Outcome::New);
    let mut later = entry(1, rain(9, 12.0));
    later.received_at = crate::support::entries::arrival(90);
    later.person = Some("TB".to_owned());
    let second = store.enter(later).await.unwrap();
    assert_eq!(second.outcome, Outcome::Replayed);
    assert_eq!(
        (second.id, second.record, second.state, &second.problems),
        (first.id, first.record, first.state, &first.problems)
    );
    assert_eq!(rain_that_counts(&store).await, [12.0]);
    assert_eq!(kept(&store, id(1)).await.person.as_deref(), Some("KM"));
    checks(&store).await;
}

#[tokio::test]
async fn blanks_around_a_text_make_no_other_contents() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, rain(9, 12.0))).await.unwrap();
    let mut blanks = entry(1, rain(9, 12.0));
    let typed = format!("  {}\n", blanks.fields.first("typed"));
    blanks.fields.set("typed", &typed);
    let again = store.enter(blanks).await.unwrap();
    assert_eq!(again.outcome, Outcome::Replayed);
}

#[tokio::test]
async fn what_the_tables_do_not_allow_is_held_with_words() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, block("A"))).await.unwrap();
    let cases: Vec<(NewEntry, &str)> = vec![
        (entry(2, block("a")), "Another block has this name."),
        (
            entry(3, sample(id(77), 9, 21.5)),
            "It names a block or an instrument that is not here.",
        ),
        (
            about(4, id(99), rain(3, 1.0)),
            "The entry it speaks of is not here.",
        ),
        (
            about(5, id(1), rain(3, 1.0)),
            "It speaks of an entry of another kind.",
        ),
    ];
    for (case, words) in cases {
        let case_id = case.id;
        let receipt = store.enter(case).await.unwrap();
        assert_eq!(receipt.state, State::Held, "{words}");
        assert_eq!(receipt.problems, [words]);
        let entry = kept(&store, case_id).await;
        assert_eq!(
            (entry.state, entry.problems),
            (State::Held, vec![words.to_owned()])
        );
    }
    store.enter(entry(6, person("KM"))).await.unwrap();
    let twice = store.enter(entry(7, person("KM"))).await.unwrap();
    assert_eq!(twice.problems, ["Another person has these initials."]);
    checks(&store).await;
}

#[tokio::test]
async fn a_held_entry_counts_once_it_is_mended() {
    let (_folder, store) = new_store().await;
    let why = "215: did you mean 21.5?";
    let receipt = store.enter(held(1, rain(9, 215.0), why)).await.unwrap();
    assert_eq!(
        (receipt.state, receipt.problems),
        (State::Held, vec![why.to_owned()])
    );
    assert_eq!(rain_that_counts(&store).await, Vec::<f64>::new());
    let mended = store.enter(about(2, id(1), rain(9, 21.5))).await.unwrap();
    assert_eq!((mended.state, mended.record), (State::Stored, id(1)));
    assert_eq!(rain_that_counts(&store).await, [21.5]);
    let first = kept(&store, id(1)).await;
    assert_eq!(first.state, State::Stored);
    assert!(first.values.is_none(), "the first stays as it was typed");
    let mut read = store.read().await.unwrap();
    assert_eq!(read.how_many_need_a_look().await.unwrap(), 0);
    drop(read);
    checks(&store).await;
}

#[tokio::test]
async fn mending_may_leave_it_held() {
    let (_folder, store) = new_store().await;
    store.enter(held(1, rain(9, 215.0), "215?")).await.unwrap();
    let mut again = held(2, rain(9, 216.0), "216?");
    again.subject = Some(id(1));
    let receipt = store.enter(again).await.unwrap();
    assert_eq!(receipt.state, State::Held);
    assert_eq!(rain_that_counts(&store).await, Vec::<f64>::new());
    checks(&store).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_two_hundred_at_once_every_answered_one_is_there() {
    let (folder, store) = new_store().await;
    let mut tasks = tokio::task::JoinSet::new();
    for number in 0..200u32 {
        let store = store.clone();
        // Each tenth is a repeat of its neighbour, as a phone with a bad line sends it.
        let number = if number % 10 == 9 { number - 1 } else { number };
        tasks.spawn(async move {
            let day = rain(1 + number % 30, f64::from(number));
            store.enter(entry(1000 + number, day)).await
        });
    }
    let receipts: Vec<_> = tasks.join_all().await;
    let answered: HashSet<Uuid> = receipts
        .into_iter()
        .map(|receipt| receipt.expect("an answer").id)
        .collect();
    assert_eq!(answered.len(), 180);
    store.close().await;

    let store = reopened(&folder).await;
    let mut numbers = HashSet::new();
    for id in answered {
        let entry = kept(&store, id).await;
        assert_eq!(entry.state, State::Stored);
        numbers.insert(entry.arrival_no);
    }
    assert_eq!(rain_that_counts(&store).await.len(), 180);
    assert_eq!(numbers.len(), 180, "an arrival number is given once");
    checks(&store).await;
}

async fn reopened(folder: &tempfile::TempDir) -> Store {
    let now = crate::support::entries::arrival(500);
    Store::open(&folder.path().join("endpost.db"), now)
        .await
        .expect("the same store again")
}

#[tokio::test]
async fn a_neighbour_that_fails_spoils_nothing() {
    let (_folder, store) = new_store().await;
    let good = (0..20u32).map(|number| entry(100 + number, rain(1 + number, 1.0)));
    let bad = (0..20u32).map(|number| entry(200 + number, sample(id(5), 9, 20.0)));
    let all = good.zip(bad).flat_map(|(good, bad)| [good, bad]);
    let answers = futures_util::future::join_all(all.map(|one| store.enter(one))).await;
    let states: Vec<State> = answers
        .into_iter()
        .map(|answer| answer.unwrap().state)
        .collect();
    for pair in states.chunks(2) {
        assert_eq!(pair, [State::Stored, State::Held]);
    }
    assert_eq!(rain_that_counts(&store).await.len(), 20);
    checks(&store).await;
}
