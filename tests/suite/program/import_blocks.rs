//! Blocks that an import makes, and what the tables say to it. Not here: lines that are refused.

use endpost::program::options::ImportChoices;
use endpost::store::ledger::{Fields, Happened, Kind, NewEntry, Source, VoidEntry};
use uuid::Uuid;

use super::import::bring;
use super::{clock, demo_in};

fn making() -> ImportChoices {
    ImportChoices {
        only_good: true,
        make_blocks: true,
        ..ImportChoices::default()
    }
}

#[tokio::test]
async fn no_block_is_made_for_a_line_that_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let file = "block,date,brix\nQ,2024-09-03,lots\nA,2024-09-03,20.1\n";
    let done = bring(&store, file, &making()).await;
    assert_eq!((done.entered, done.refused.len()), (1, 1), "{done:?}");
    assert!(done.blocks_made.is_empty(), "{done:?}");
    let blocks = store.read().await.unwrap().blocks().await.unwrap();
    assert!(!blocks.iter().any(|one| one.block.name == "Q"));
    // The next good line of the same block makes it.
    let file = "block,date,brix\nQ,2024-09-03,lots\nQ,2024-09-04,20.1\n";
    let done = bring(&store, file, &making()).await;
    assert_eq!(done.blocks_made, ["Q"]);
}

#[tokio::test]
async fn a_sample_the_tables_hold_is_not_counted_as_imported() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let done = bring(&store, "block,date,brix\nQ,2024-09-03,20.1\n", &making()).await;
    assert_eq!((done.entered, done.blocks_made.len()), (1, 1), "{done:?}");
    let mut read = store.read().await.unwrap();
    let blocks = read.blocks().await.unwrap();
    let block = blocks.iter().find(|one| one.block.name == "Q").unwrap().id;
    let samples = read
        .samples_of(block, endpost::store::LAST_DAY)
        .await
        .unwrap();
    drop(read);
    take_back(&store, samples[0].id).await;
    take_back(&store, block).await;
    let done = bring(&store, "block,date,brix\nQ,2024-09-10,21.1\n", &making()).await;
    assert_eq!((done.entered, done.held.len()), (0, 1), "{done:?}");
    assert!(done.blocks_made.is_empty(), "{done:?}");
    assert!(
        done.held[0]
            .starts_with("Q, 2024-09-10: It names a block or an instrument that is not here"),
        "{done:?}"
    );
}

async fn take_back(store: &endpost::store::Store, subject: Uuid) {
    let values = VoidEntry { reason: None };
    let entry = NewEntry {
        id: Uuid::new_v4(),
        kind: Kind::Void,
        form_version: 1,
        subject: Some(subject),
        base: None,
        fields: Fields::default(),
        values: Some(values.into()),
        problems: Vec::new(),
        person: None,
        device_id: None,
        seq: None,
        came_by: None,
        no_client_id: false,
        source: Source::Phone,
        card_code: None,
        happened: Happened::default(),
        typed_at: None,
        sent_at: None,
        received_at: clock().now(),
    };
    store.enter(entry).await.expect("a void");
}
