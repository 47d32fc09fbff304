//! The power goes out while the program starts: for the first time, or over an older farm that it
//! brings up to date. The next start finds nothing half done. Not here: entries (`power_cut`).

use std::path::Path;

use endpost::science::ripeness::walk::dice::Dice;
use uuid::Uuid;

use crate::store::migrated::{comes_up_to_date, older_farm};
use crate::support::binary::{cut_short, serve};
use crate::support::copies::replays;
use crate::support::sender::Sender;

/// How much has been written there so far, in bytes.
fn written(folder: &Path) -> u64 {
    let length = |name: &str| std::fs::metadata(folder.join(name)).map_or(0, |found| found.len());
    length("endpost.db") + length("endpost.db-wal")
}

/// Whether so much is written, or all that a start writes before it serves.
fn is_written(folder: &Path, enough: u64) -> bool {
    written(folder) >= enough || folder.join("endpost.newest").exists()
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
        cut_short(folder.path(), |folder| is_written(folder, enough));
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
    let older = older_farm(ENTRIES).await;
    let older = older.path().join("endpost.db");
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
        cut_short(folder.path(), |folder| is_written(folder, enough));
        println!(
            "cut after {} of {least} to {most} bytes",
            written(folder.path())
        );
        comes_up_to_date(folder.path(), ENTRIES).await;
    }
}
