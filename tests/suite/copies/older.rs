//! A farm of an earlier Endpost, as its program left it: a file of schema 7 that is kept with the
//! tests. It is copied before it is changed, and nothing that was written down is lost.

use std::io::Read;
use std::path::Path;

use endpost::program::copies::copies_in;
use endpost::science::copies::Why;
use endpost::store::Store;
use endpost::store::copies::{Standing, look_into, standing};
use flate2::read::GzDecoder;

use super::{clock, data_in};
use crate::support::binary::{run, serve};

const ENTRIES: i64 = 5;

/// Writes the kept file where a farm's database lies.
fn of_schema_7(path: &Path) {
    let packed = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/schema-7.db.gz");
    let file = std::fs::File::open(packed).expect("the kept file");
    let mut bytes = Vec::new();
    GzDecoder::new(file)
        .read_to_end(&mut bytes)
        .expect("a whole file");
    std::fs::write(path, bytes).expect("a file in its place");
}

#[tokio::test]
async fn it_is_copied_then_changed_and_holds_what_it_held() {
    let folder = tempfile::tempdir().unwrap();
    let data = data_in(&folder);
    of_schema_7(&data.database());
    let before = look_into(&data.database()).await.unwrap();
    assert_eq!((before.schema, before.entries), (7, ENTRIES));
    let Standing::Older { next } = standing(&data.database()).await.unwrap() else {
        panic!("it is older than this program");
    };
    let served = serve(folder.path());
    let said = served.said.join("\n");
    assert!(!said.contains("DAMAGED"), "{said}");
    served.kill_at_once();
    let copies = copies_in(&data.copies()).unwrap();
    let kept = copies
        .iter()
        .find(|one| one.name.why == Why::BeforeMigration(next))
        .expect("a copy from before");
    let kept = data.copies().join(kept.name.to_string());
    assert_eq!(look_into(&kept).await.unwrap(), before);
    let store = Store::open(&data.database(), clock().now()).await.unwrap();
    let found = store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    assert_eq!(found.entries as i64, ENTRIES);
    assert_eq!(store.house(), before.house);
    let mut read = store.read().await.unwrap();
    let (_, farm) = read.farm().await.unwrap().expect("the farm");
    assert_eq!(farm.name, "Tamarack Bend");
    let held = read.need_a_look().await.unwrap();
    assert_eq!(held[0].fields.first("rain"), "lots");
    drop(read);
    store.close().await;
}

#[tokio::test]
async fn a_copy_of_it_is_put_back_as_it_is_and_changed_at_the_next_start() {
    let elsewhere = tempfile::tempdir().unwrap();
    let copy = elsewhere.path().join("of-an-older-program.db");
    of_schema_7(&copy);
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().to_str().unwrap();
    let answer = run(&["restore", copy.to_str().unwrap(), "--data", data]);
    assert!(answer.status.success(), "{answer:?}");
    let put_back = data_in(&folder).database();
    assert_eq!(look_into(&put_back).await.unwrap().schema, 7);
    let looked = run(&["doctor", "--data", data, "--listen", "127.0.0.1:0"]);
    let said = String::from_utf8_lossy(&looked.stdout).into_owned();
    assert!(said.contains("is of an older Endpost"), "{said}");
    let served = serve(folder.path());
    assert!(!served.said.join("\n").contains("older copy"));
    served.kill_at_once();
    let check = run(&["check", "--data", data]);
    assert!(check.status.success(), "{check:?}");
}
