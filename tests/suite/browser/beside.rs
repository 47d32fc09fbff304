//! A phone that saves while the database is damaged: it is told that its entry is kept, forgets
//! nothing, and after a copy is put back the entry is there once.

use crate::support::binary::{run, serve_at};
use crate::support::farm::Farm;
use crate::support::handset::{FORM, one_saved, rain_in};
use endpost::program::folder::Folder;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_a_phone_saves_meanwhile_is_there_once_afterwards() {
    let folder = Farm::started().await.close().await;
    let data = folder.path().to_str().unwrap();
    let (port, phone) = one_saved(folder.path()).await;
    let made = run(&["backup", "--data", data]);
    assert!(made.status.success(), "{made:?}");
    let path = folder.path().join("endpost.db");
    let served = serve_at(folder.path(), port);
    phone.open(FORM).await;
    served.kill_at_once();

    // Everything but its beginning: not even the form could be drawn now.
    assert_eq!(rain_in(folder.path()).await, ["0.10"]);
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[4096..].fill(0x5a);
    std::fs::write(&path, bytes).unwrap();
    let served = serve_at(folder.path(), port);
    phone.rain("0.2").await;
    // Who may come in can't be read either: nobody from the network, and the phone keeps it.
    phone.says("Saved on this phone").await;
    let rows = phone.box_holds("entries").await;
    assert!(rows.iter().any(|one| one["state"] == "waiting"), "{rows:?}");
    served.kill_at_once();

    let copies = Folder::named(Some(folder.path())).unwrap().copies();
    let back = run(&["restore", copies.to_str().unwrap(), "--data", data]);
    assert!(back.status.success(), "{back:?}");
    let served = serve_at(folder.path(), port);
    phone.open(FORM).await;
    phone.rain("0.3").await;
    phone.says("Stored ").await;
    for _ in 0..400 {
        let rows = phone.box_holds("entries").await;
        if rows.iter().all(|one| one["state"] == "sent") {
            break;
        }
        phone.browser.moment().await;
    }
    let rows = phone.box_holds("entries").await;
    assert!(rows.iter().all(|one| one["state"] == "sent"), "{rows:?}");
    served.kill_at_once();
    assert_eq!(rain_in(folder.path()).await, ["0.10", "0.20", "0.30"]);
}
