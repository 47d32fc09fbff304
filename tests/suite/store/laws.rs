//! A law: whatever comes in whatever order, data is never refused, every answered entry is kept
//! once, and the check finds no law broken. Not here: single cases (`door`, `conflict`, `history`).

use std::collections::HashSet;

use endpost::science::helpers::DayList;
use endpost::science::places::{Farm, ForHelpers};
use endpost::science::units::Units;
use endpost::store::StoreError;
use endpost::store::ledger::{NewEntry, Settled, State};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use uuid::Uuid;

use super::door::kept;
use crate::support::entries::{
    about, block, choice, entry, held, id, new_store, person, rain, sample, september, void,
};

/// One thing somebody does; numbers choose among the entries that are there by then.
#[derive(Clone, Debug)]
enum Step {
    Rain(u32, u16),
    Block(u8),
    Person(u8),
    Sample(usize, u32),
    Held(u32),
    MendBadly(usize),
    Farm(usize),
    DayList(usize, u32),
    Again(usize),
    SameIdOther(usize, u16),
    Correct(usize, u16),
    Void(usize),
    Settle(usize, Settled),
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let day = 1..=30u32;
    let mm = 0..400u16;
    let any_entry = 0..64usize;
    let settled = prop_oneof![
        Just(Settled::Correction),
        Just(Settled::Second),
        Just(Settled::Mistake)
    ];
    let step = prop_oneof![
        4 => (day.clone(), mm.clone()).prop_map(|(day, mm)| Step::Rain(day, mm)),
        2 => (0..4u8).prop_map(Step::Block),
        1 => (0..3u8).prop_map(Step::Person),
        2 => (any_entry.clone(), day.clone()).prop_map(|(block, day)| Step::Sample(block, day)),
        2 => day.prop_map(Step::Held),
        2 => any_entry.clone().prop_map(Step::MendBadly),
        1 => any_entry.clone().prop_map(Step::Farm),
        3 => (any_entry.clone(), 8..12u32).prop_map(|(of, day)| Step::DayList(of, day)),
        2 => any_entry.clone().prop_map(Step::Again),
        3 => (any_entry.clone(), mm.clone()).prop_map(|(of, mm)| Step::SameIdOther(of, mm)),
        4 => (any_entry.clone(), mm).prop_map(|(of, mm)| Step::Correct(of, mm)),
        3 => any_entry.clone().prop_map(Step::Void),
        3 => (any_entry, settled).prop_map(|(of, how)| Step::Settle(of, how)),
    ];
    proptest::collection::vec(step, 1..40)
}

fn farm(name: &str) -> Farm {
    Farm {
        name: name.to_owned(),
        zone: "America/New_York".to_owned(),
        units: Units::default(),
        address: None,
        keeper_phone: None,
        emergency_place: None,
        emergency_phone: None,
        emergency_address: None,
        poison_line: None,
        for_helpers: ForHelpers::default(),
    }
}

fn day_list(day: u32, line: &str) -> DayList {
    DayList {
        date: september(day),
        to_do: vec![line.to_owned()],
        not_to_touch: Vec::new(),
    }
}

/// What a step sends to the door.
fn sent(number: u32, step: &Step, before: &[NewEntry], ids: &[Uuid]) -> Option<NewEntry> {
    let nth = |of: usize| (!ids.is_empty()).then(|| ids[of % ids.len()]);
    let mm = |mm: u16| f64::from(mm) / 10.0;
    Some(match step {
        Step::Rain(day, amount) => entry(number, rain(*day, mm(*amount))),
        Step::Block(name) => entry(number, block(&char::from(b'A' + name).to_string())),
        Step::Person(name) => entry(number, person(&format!("P{name}"))),
        Step::Sample(of, day) => entry(number, sample(nth(*of)?, *day, 20.0)),
        Step::Held(day) => held(number, rain(*day, 999.0), "999?"),
        Step::MendBadly(of) => NewEntry {
            subject: Some(nth(*of)?),
            ..held(number, rain(9, 998.0), "998?")
        },
        Step::Farm(of) => NewEntry {
            subject: (of % 2 == 0).then(|| nth(*of)).flatten(),
            ..entry(number, farm(&format!("Bend {of}")))
        },
        Step::DayList(of, day) => NewEntry {
            subject: (of % 3 == 0).then(|| nth(*of)).flatten(),
            ..entry(number, day_list(*day, &format!("nets in {of}")))
        },
        Step::Again(of) => before.get(of % before.len().max(1))?.clone(),
        Step::SameIdOther(of, amount) => NewEntry {
            id: before.get(of % before.len().max(1))?.id,
            ..entry(number, rain(9, 500.0 + mm(*amount)))
        },
        Step::Correct(of, amount) => about(number, nth(*of)?, rain(9, mm(*amount))),
        Step::Void(of) => void(number, nth(*of)?),
        Step::Settle(of, how) => choice(number, nth(*of)?, *how),
    })
}

async fn live_through(steps: &[Step]) -> Result<(), TestCaseError> {
    let (_folder, store) = new_store().await;
    let mut before: Vec<NewEntry> = Vec::new();
    let mut ids: Vec<Uuid> = Vec::new();
    for (number, step) in (1..).zip(steps) {
        let Some(new) = sent(number, step, &before, &ids) else {
            continue;
        };
        let receipt = store.enter(new.clone()).await;
        if let Err(StoreError::Refused(why)) = receipt {
            prop_assert!(new.kind.is_act(), "data was refused: {:?}: {}", step, why);
            continue;
        }
        let receipt = receipt.map_err(|error| TestCaseError::fail(format!("{step:?}: {error}")))?;
        let entry = kept(&store, receipt.id).await;
        prop_assert_eq!(&entry.fields, &new.fields, "the text is kept as typed");
        if receipt.state == State::Held {
            prop_assert!(
                !entry.problems.is_empty(),
                "held without a word: {:?}",
                step
            );
        }
        if !ids.contains(&receipt.id) {
            ids.push(receipt.id);
        }
        before.push(new);
    }
    let found = store.check().await;
    let found = found.map_err(|error| TestCaseError::fail(error.to_string()))?;
    prop_assert_eq!(found.faults, Vec::<String>::new());
    prop_assert_eq!(found.entries, ids.iter().collect::<HashSet<_>>().len());
    for one in ids {
        kept(&store, one).await;
    }
    store.close().await;
    Ok(())
}

#[test]
fn whatever_comes_a_replay_finds_the_same() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let mut runner = TestRunner::new(Config {
        cases: 48,
        failure_persistence: None,
        ..Config::default()
    });
    let outcome = runner.run(&steps(), |steps| runtime.block_on(live_through(&steps)));
    assert!(outcome.is_ok(), "{}", outcome.unwrap_err());
}

/// Two entries whose ids differ are never taken for one.
#[test]
fn ids_of_the_tests_are_their_own() {
    let ids: HashSet<Uuid> = (0..1000).map(id).collect();
    assert_eq!(ids.len(), 1000);
}
