//! `endpost import` of files that are not good: what is said of which line, and that nothing of
//! them comes in.

use endpost::program::import::sheet::SheetError;
use endpost::program::import::{bring_in, columns};
use endpost::program::options::ImportChoices;

use super::import::{bring, of_2024};
use super::{clock, complained, demo_in, run};

const BAD: &str = "block,date,bag,brix,ph,instrument\n\
    A,2024-09-03,1,21.4,3.2,the blue one\n\
    A,2024-09-03,2,215,3.2,the blue one\n\
    B,2024-09-04,1,20.0,3.0,the blue one\n\
    C,04.09.2024,1,19.0,3.0,the blue one\n\
    C,2024-09-05,1,lots,3.0,no such thing\n";

#[tokio::test]
async fn every_refused_line_is_named_and_nothing_is_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let done = bring(&store, BAD, &ImportChoices::default()).await;
    let places: Vec<(u64, &str)> = done
        .refused
        .iter()
        .map(|one| (one.line, one.column))
        .collect();
    assert_eq!(
        places,
        [(3, "brix"), (5, "date"), (6, "instrument"), (6, "brix")],
        "{done:?}"
    );
    assert!(
        done.refused[1].text.contains("Write 2027-09-14"),
        "{done:?}"
    );
    assert_eq!((done.entered, of_2024(&store).await.len()), (0, 0));
}

/// Lines are named as an editor counts them, however they end, blank ones and those within a cell
/// among them.
#[tokio::test]
async fn a_line_is_named_as_an_editor_counts_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let file = "block,date,brix,note\n\nA,2024-09-03,20.1,\"one\ntwo\"\nA,2024-09-10,lots,\n\n\nA,2024-09-11,many,\n";
    for end in ["\n", "\r\n", "\r"] {
        let file = file.replace('\n', end);
        let done = bring(&store, &file, &ImportChoices::default()).await;
        let lines: Vec<u64> = done.refused.iter().map(|one| one.line).collect();
        assert_eq!(lines, [5, 8], "{end:?}: {done:?}");
    }
}

#[tokio::test]
async fn only_the_good_come_in_when_asked_and_never_half_a_sample() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let choices = ImportChoices {
        only_good: true,
        ..ImportChoices::default()
    };
    let done = bring(&store, BAD, &choices).await;
    assert_eq!((done.entered, done.refused.len()), (1, 4), "{done:?}");
    let samples = of_2024(&store).await;
    assert_eq!(samples.len(), 1);
    assert_eq!(samples[0].date.to_string(), "2024-09-04");
}

#[tokio::test]
async fn unusual_values_are_asked_about_and_can_be_confirmed() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let file = "block,date,brix\nA,2024-07-20,3.1\n";
    let asked = bring(&store, file, &ImportChoices::default()).await;
    let [one] = asked.refused.as_slice() else {
        panic!("not one question: {asked:?}");
    };
    assert_eq!((one.line, one.column, one.asked), (2, "brix", true));
    assert!(of_2024(&store).await.is_empty());
    let choices = ImportChoices {
        confirm_unusual: true,
        ..ImportChoices::default()
    };
    assert_eq!(bring(&store, file, &choices).await.entered, 1);
    assert_eq!(bring(&store, file, &choices).await.here_before, 1);
    // What can't be is not to be confirmed.
    let never = bring(&store, "block,date,brix\nA,2024-07-21,215\n", &choices).await;
    assert_eq!(
        never
            .refused
            .iter()
            .map(|one| one.asked)
            .collect::<Vec<_>>(),
        [false]
    );
}

#[tokio::test]
async fn a_bag_that_is_here_with_another_value_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    bring(
        &store,
        "block,date,bag,brix\nA,2024-09-03,1,21.4\n",
        &ImportChoices::default(),
    )
    .await;
    let choices = ImportChoices {
        confirm_unusual: true,
        ..ImportChoices::default()
    };
    let done = bring(
        &store,
        "block,date,bag,brix\nA,2024-09-03,1,21.9\n",
        &choices,
    )
    .await;
    let [one] = done.refused.as_slice() else {
        panic!("not one refusal: {done:?}");
    };
    assert_eq!((one.line, one.column, one.asked), (2, "bag", false));
    assert_eq!(of_2024(&store).await.len(), 1);
}

#[tokio::test]
async fn an_unknown_block_is_refused_with_those_that_are_here() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let file = "block,date,brix\nQ,2024-09-03,20.1\n,2024-09-03,20.1\n";
    let done = bring(&store, file, &ImportChoices::default()).await;
    let texts: Vec<&str> = done.refused.iter().map(|one| one.text.as_str()).collect();
    assert_eq!(texts.len(), 2, "{done:?}");
    assert!(
        texts[0].contains("\"Q\"") && texts[0].contains("D Traminette"),
        "{texts:?}"
    );
    assert!(texts[1].starts_with("Name the block"), "{texts:?}");
}

#[tokio::test]
async fn lines_of_one_sample_that_contradict_each_other_are_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let file = "block,date,time,brix\nA,2024-09-03,07:30,20.1\nA,2024-09-03,15:00,20.4\n";
    let done = bring(&store, file, &ImportChoices::default()).await;
    let places: Vec<(u64, &str)> = done
        .refused
        .iter()
        .map(|one| (one.line, one.column))
        .collect();
    assert_eq!(places, [(3, "time")], "{done:?}");
}

#[tokio::test]
async fn more_bags_than_a_sample_holds_are_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let lines = "A,2024-09-03,20.1\n".repeat(10);
    let file = format!("block,date,brix\n{lines}");
    let done = bring(&store, &file, &ImportChoices::default()).await;
    let places: Vec<(u64, &str)> = done
        .refused
        .iter()
        .map(|one| (one.line, one.column))
        .collect();
    assert_eq!(places, [(11, "bag")], "{done:?}");
}

#[tokio::test]
async fn a_file_that_is_none_is_refused_as_a_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let cases: [(&[u8], SheetError); 7] = [
        (b"", SheetError::Empty),
        (
            b"block,date,sugar\n",
            SheetError::Unknown {
                name: "sugar".to_owned(),
            },
        ),
        (b"block,date,brix,Brix\n", SheetError::Twice("brix")),
        (b"date,brix\n", SheetError::Missing { name: "block" }),
        (b"block,date,note\n", SheetError::NoReadings),
        (
            b"block,date,brix\nA,2024-09-03,21,4\n",
            SheetError::TooManyCells(2),
        ),
        (
            b"block,date,brix,note\nA,2024-09-03,21.4,fr\xfch\n",
            SheetError::NotText,
        ),
    ];
    for (bytes, wanted) in cases {
        let error = bring_in(&store, clock(), bytes, &ImportChoices::default()).await;
        let error = error.expect_err("a refusal");
        assert_eq!(error.downcast_ref::<SheetError>(), Some(&wanted));
    }
    let unknown = SheetError::Unknown {
        name: "sugar".to_owned(),
    };
    for (name, _) in columns::COLUMNS {
        assert!(unknown.to_string().contains(name), "{name}");
    }
}

#[tokio::test]
async fn the_command_ends_with_2_and_writes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    demo_in(folder.path()).await.close().await;
    let file = folder.path().join("earlier.csv");
    std::fs::write(&file, BAD).expect("a file");
    let refused = run(&[
        "import",
        file.to_str().expect("a plain path"),
        "--data",
        folder.path().to_str().expect("a plain path"),
    ]);
    assert_eq!(refused.status.code(), Some(2));
    let words = complained(&refused);
    assert!(words.contains("line 3, brix: "), "{words}");
    assert!(words.contains("Nothing was imported."), "{words}");
    let database = folder.path().join("endpost.db");
    let store = endpost::store::Store::open(&database, clock().now())
        .await
        .expect("the store");
    assert!(of_2024(&store).await.is_empty());
}

#[tokio::test]
async fn a_house_without_a_farm_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let database = folder.path().join("endpost.db");
    let store = endpost::store::Store::open(&database, clock().now())
        .await
        .expect("a store");
    let file = b"block,date,brix\nA,2024-09-03,21.4\n";
    let error = bring_in(&store, clock(), file, &ImportChoices::default()).await;
    assert!(
        error
            .expect_err("a refusal")
            .to_string()
            .contains("there is no farm")
    );
}

#[tokio::test]
async fn a_line_without_a_reading_is_no_sample() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let file = "block,date,bag,berries,brix,note\nA,2024-09-10,1,100,,nothing\n";
    let choices = ImportChoices {
        only_good: true,
        ..ImportChoices::default()
    };
    let done = bring(&store, file, &choices).await;
    assert_eq!((done.entered, done.refused.len()), (0, 1), "{done:?}");
    assert_eq!((done.refused[0].line, done.refused[0].column), (2, "brix"));
    assert_eq!(of_2024(&store).await.len(), 0);
}
