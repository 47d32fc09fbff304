//! `endpost import` of files that are good: what they become, and that nothing is doubled.

use chrono::NaiveDate;
use endpost::program::import::{Outcome, bring_in};
use endpost::program::options::ImportChoices;
use endpost::science::ripeness::{Bag, Sample, Taken};
use endpost::store::Store;
use endpost::store::ledger::Source;

use super::{clock, complained, demo_in, run, said};

const COMMAS: &str = "\u{feff}block,date,bag,brix,ph,ta_g_per_l,juice_temperature_c,instrument,rot_percent,note,person\n\
    A,2024-09-03,1,21.4,3.21,12.4,18.5,the old one,0,\"sunny side, \"\"upper\"\" wire\",OW\n\
    A,2024-09-03,2,22.0,,,19,the old one,,shady side,OW\n\
    a marquette,2024-09-10,,23.1,,,20,the old one,,,\n";

const SEMICOLONS: &str = "Date;Block;Bag;Brix;pH;TA_g_per_L;juice_temperature_c;instrument;rot_percent;note;person\r\n\
    2024-09-03;A;1;21,4;3,21;12,4;18,5;the old one;0;\"sunny side, \"\"upper\"\" wire\";OW\r\n\
    2024-09-03;A;2;22,0;;;19;the old one;;shady side;OW\r\n\
    ;;;;;;;;;;\r\n\
    2024-09-10;A;;\"23,1\";;;20;the old one;;;\r\n";

pub(super) async fn bring(store: &Store, text: &str, choices: &ImportChoices) -> Outcome {
    bring_in(store, clock(), text.as_bytes(), choices)
        .await
        .expect("a file that can be read")
}

pub(super) async fn of_2024(store: &Store) -> Vec<Sample> {
    let day = |month, day| NaiveDate::from_ymd_opt(2024, month, day).expect("a day");
    let mut read = store.read().await.expect("a view");
    let found = read.samples_between(day(1, 1), day(12, 31)).await;
    found
        .expect("samples")
        .into_iter()
        .map(|one| one.sample)
        .collect()
}

fn bags(sample: &Sample) -> &[Bag] {
    match &sample.taken {
        Taken::Bags(bags) => bags,
        Taken::Stops(_) => &[],
    }
}

fn raw(bag: &Bag) -> Vec<f64> {
    bag.brix.iter().map(|one| one.raw).collect()
}

#[tokio::test]
async fn lines_of_a_day_are_the_bags_of_one_sample() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let done = bring(&store, COMMAS, &ImportChoices::default()).await;
    assert_eq!((done.entered, done.refused.len()), (2, 0), "{done:?}");
    let samples = of_2024(&store).await;
    let [first, second] = samples.as_slice() else {
        panic!("not two samples: {samples:?}");
    };
    assert_eq!(
        bags(first).iter().map(raw).collect::<Vec<_>>(),
        [[21.4], [22.0]]
    );
    let bag = &bags(first)[0];
    assert_eq!(bag.ph, [3.21]);
    assert_eq!(bag.ta.as_ref().map(|ta| ta.g_per_l), Some(12.4));
    // The farm's pages are in °F; the column is in °C.
    assert_eq!(bag.juice_temperature_c, Some(18.5));
    assert_eq!(first.rot_percent, Some(0.0));
    let note = first.note.as_deref().unwrap_or_default();
    assert_eq!(note, "sunny side, \"upper\" wire\nshady side");
    // The old one reads 0.4 on water, and 20 °C needs no correction.
    let corrected = bags(second)[0].brix[0].corrected;
    assert!((corrected - 22.7).abs() < 1e-9, "{corrected}");
}

#[tokio::test]
async fn semicolons_and_decimal_commas_come_to_the_same() {
    let folders = [(); 2].map(|()| tempfile::tempdir().expect("a folder"));
    let one = demo_in(folders[0].path()).await;
    let other = demo_in(folders[1].path()).await;
    bring(&one, COMMAS, &ImportChoices::default()).await;
    bring(&other, SEMICOLONS, &ImportChoices::default()).await;
    assert_eq!(of_2024(&one).await, of_2024(&other).await);
}

#[tokio::test]
async fn the_same_file_again_enters_nothing_twice() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    bring(&store, COMMAS, &ImportChoices::default()).await;
    let before = store.check().await.expect("a replay").entries;
    let again = bring(&store, COMMAS, &ImportChoices::default()).await;
    assert_eq!((again.entered, again.here_before), (0, 2));
    let after = store.check().await.expect("a replay");
    assert_eq!(after.entries, before);
    assert_eq!(after.faults, Vec::<String>::new());
}

#[tokio::test]
async fn entries_say_that_they_were_imported() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    bring(&store, COMMAS, &ImportChoices::default()).await;
    let day = NaiveDate::from_ymd_opt(2024, 9, 3).expect("a day");
    let mut read = store.read().await.expect("a view");
    let found = read.samples_between(day, day).await.expect("samples");
    let entry = read
        .entry(found[0].id)
        .await
        .expect("an answer")
        .expect("the entry");
    assert_eq!(
        (entry.source, entry.person.as_deref()),
        (Source::Import, Some("OW"))
    );
    assert_eq!(entry.happened.date, Some(day));
    assert_eq!(entry.fields.first("brix_1_1"), "21.4");
}

#[tokio::test]
async fn blocks_are_made_or_stood_for_when_asked() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = demo_in(folder.path()).await;
    let file =
        "block,date,brix\nNorth hill,2024-09-03,20.1\nG,2024-09-03,19.0\ng,2024-09-10,20.2\n";
    let choices = ImportChoices {
        make_blocks: true,
        block_for: vec![("north HILL".to_owned(), "A".to_owned())],
        ..ImportChoices::default()
    };
    let done = bring(&store, file, &choices).await;
    assert_eq!(done.blocks_made, ["G"]);
    assert_eq!((done.entered, done.refused.len()), (3, 0), "{done:?}");
    let blocks = store
        .read()
        .await
        .expect("a view")
        .blocks()
        .await
        .expect("blocks");
    assert_eq!(blocks.len(), 6);
    let a = blocks
        .iter()
        .find(|one| one.block.name == "A")
        .expect("block A");
    let samples = of_2024(&store).await;
    assert_eq!(samples.iter().filter(|one| one.block == a.id).count(), 1);
}

#[tokio::test]
async fn the_command_says_what_it_did() {
    let folder = tempfile::tempdir().expect("a folder");
    demo_in(folder.path()).await.close().await;
    let file = folder.path().join("earlier.csv");
    std::fs::write(&file, COMMAS).expect("a file");
    let words = [
        "import",
        file.to_str().expect("a plain path"),
        "--data",
        folder.path().to_str().expect("a plain path"),
    ];
    let first = run(&words);
    assert_eq!(first.status.code(), Some(0), "{}", complained(&first));
    assert!(said(&first).contains("2 samples were imported."));
    let second = run(&words);
    assert_eq!(second.status.code(), Some(0));
    assert!(said(&second).contains("2 samples were here already"));
}
