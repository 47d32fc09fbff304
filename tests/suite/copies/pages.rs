//! The list of copies and the sheet that says how to bring them back, as the program serves them.

use endpost::program::copies::copies_in;
use reqwest::Method;
use tempfile::TempDir;

use super::data_in;
use crate::support::binary::{Served, backup_into, run, serve_with};
use crate::support::farm::{Farm, MORNING, client_at};
use crate::support::page::Page;

async fn ask(served: &Served, method: Method, path: &str) -> Page {
    let client = client_at(&served.address);
    let answer = client.request(method, served.url(path)).send().await;
    Page::read(path, answer.expect("an answer")).await
}

/// A farm with a copy in its folder and one on a stick.
async fn with_a_stick() -> (TempDir, TempDir, Served) {
    let folder = Farm::started().await.close().await;
    let stick = tempfile::tempdir().unwrap();
    let (data, place) = (
        folder.path().to_str().unwrap(),
        stick.path().to_str().unwrap(),
    );
    let made = backup_into(data, place);
    assert!(made.status.success(), "{made:?}");
    let served = serve_with(folder.path(), &["--second-place", place]);
    (folder, stick, served)
}

#[tokio::test]
async fn the_list_and_the_sheet_name_what_lies_where() {
    let (folder, stick, served) = with_a_stick().await;
    let copies = endpost::program::copies::copies_in(&data_in(&folder).copies()).unwrap();
    let newest = copies.last().unwrap();
    let sha256 = newest.sha256.clone().unwrap();
    let list = ask(&served, Method::GET, "/copies").await;
    list.says(&newest.name.to_string());
    list.says(&sha256[..8]);
    list.says("made by hand");
    list.says(stick.path().to_str().unwrap());
    list.says("copied by hand while Endpost runs, is no copy");
    list.says("Last tried: never");
    let sheet = ask(&served, Method::GET, "/copies/sheet").await;
    sheet.says(&newest.name.to_string());
    sheet.says(&sha256[8..]);
    sheet.says(data_in(&folder).copies().to_str().unwrap());
    sheet.says(stick.path().to_str().unwrap());
    sheet.says("endpost restore");
    ask(&served, Method::GET, "/house")
        .await
        .says("Copies of the data");
}

#[tokio::test]
async fn the_day_it_was_tried_is_noted_once() {
    let farm = Farm::started_at(MORNING).await;
    let sheet = farm.get("/copies/sheet").await;
    assert_eq!(sheet.status, 200);
    for _ in 0..2 {
        farm.post("/copies/tried", &[]).await.sent_to("/copies");
    }
    farm.get("/copies")
        .await
        .says("Last tried: Fri 10 Sept 2027.");
    farm.get("/copies/sheet")
        .await
        .says("Last tried: Fri 10 Sept 2027");
    let farm = farm.later("2028-01-15T15:00:00Z").await;
    farm.post("/copies/tried", &[]).await;
    farm.get("/copies")
        .await
        .says("Last tried: Sat 15 Jan 2028.");
    let found = farm.store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    farm.close().await;
}

/// A file beside a copy that holds no hash says nothing of the copy, and breaks no page.
#[tokio::test]
async fn what_is_no_hash_is_not_taken_for_one() {
    let folder = Farm::started().await.close().await;
    let data = folder.path().to_str().unwrap();
    assert!(run(&["backup", "--data", data]).status.success());
    let copies = data_in(&folder).copies();
    let name = copies_in(&copies).unwrap().remove(0).name.to_string();
    let hash = copies.join(format!("{name}.sha256"));
    std::fs::write(&hash, format!("{}  {name}\n", "€".repeat(21) + "x")).unwrap();
    assert_eq!(copies_in(&copies).unwrap().remove(0).sha256, None);
    let served = serve_with(folder.path(), &[]);
    let list = ask(&served, Method::GET, "/copies").await;
    assert_eq!(list.status, 200);
    list.says("not looked into");
}
