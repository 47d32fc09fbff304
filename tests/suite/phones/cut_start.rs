//! The power goes out while the program starts: for the first time, or over an older farm that it
//! brings up to date. The next start finds nothing half done. Not here: entries (`power_cut`).

use std::path::Path;

use endpost::science::ripeness::walk::dice::Dice;
use endpost::store::Store;
use endpost::store::ledger::State;
use uuid::Uuid;

use crate::store::migrated::in_schema_6;
use crate::support::binary::{cut_short, serve};
use crate::support::copies::replays;
use crate::support::entries::{arrival, entry, id, new_store, rain};
use crate::support::sender::Sender;

/// How much has been written there so far, in bytes.
fn written(folder: &Path) -> u64 {
    let length = |name: &str| std::fs::metadata(folder.join(name)).map_or(0, |found| found.len());
    length("endpost.db") + length("endpost.db-wal")
}

/// A place within what is written from `least` to `most`, another at each throw.
fn somewhere(dice: &mut Dice, least: u64, most: u64) -> u64 {
    least + u64::from(dice.below(u32::try_from(most - least).expect("a small farm")))
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_first_start_cut_anywhere_is_begun_anew() {
    let whole = tempfile::tempdir().unwrap();
    let served = serve(whole.path());
    let most = written(whole.path());
    served.kill_at_once();
    let mut dice = Dice::new(Uuid::new_v4().as_u64_pair().0);
    for _ in 0..12 {
        let folder = tempfile::tempdir().unwrap();
        let enough = somewhere(&mut dice, 0, most);
        cut_short(folder.path(), |folder| written(folder) >= enough);
        println!("cut after {} of {most} bytes", written(folder.path()));
        let served = serve(folder.path());
        Sender::to(&served.address).starts_the_farm().await;
        served.kill_at_once();
        replays(folder.path()).await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_older_farm_cut_while_it_is_brought_up_to_date_has_all_it_had() {
    const ENTRIES: u32 = 200;
    let (today, store) = new_store().await;
    for number in 1..=ENTRIES {
        store
            .enter(entry(number, rain(1 + number % 28, 2.0)))
            .await
            .unwrap();
    }
    store.close().await;
    let older = today.path().join("of_schema_6.db");
    in_schema_6(&today.path().join("endpost.db"), &older).await;
    let laid_out = || {
        let folder = tempfile::tempdir().unwrap();
        std::fs::copy(&older, folder.path().join("endpost.db")).unwrap();
        folder
    };
    let whole = laid_out();
    let least = written(whole.path());
    let served = serve(whole.path());
    let most = written(whole.path());
    served.kill_at_once();
    assert!(most > least);
    let mut dice = Dice::new(Uuid::new_v4().as_u64_pair().0);
    for _ in 0..12 {
        let folder = laid_out();
        let enough = somewhere(&mut dice, least, most);
        cut_short(folder.path(), |folder| written(folder) >= enough);
        println!(
            "cut after {} of {least} to {most} bytes",
            written(folder.path())
        );
        let path = folder.path().join("endpost.db");
        let store = Store::open(&path, arrival(400)).await.unwrap();
        let mut read = store.read().await.unwrap();
        for number in 1..=ENTRIES {
            assert_eq!(
                read.state_of(id(number)).await.unwrap(),
                Some(State::Stored)
            );
        }
        drop(read);
        store.close().await;
        replays(folder.path()).await;
    }
}
