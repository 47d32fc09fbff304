//! The page of an entry and its buttons: taking back, settling, and what is said when the house
//! does not do it. Not here: what the ledger makes of it (`store`).

use endpost::store::ledger::State;
use futures_util::future::join_all;

use super::manners::well_mannered;
use super::twice::{both_are_listed, sent_twice_with_other_values};
use crate::support::farm::Farm;
use crate::support::page::{Page, selector};

/// The posting forms of a page: where each leads and the id under which it will be entered.
fn acts(page: &Page) -> Vec<(String, String)> {
    let document = page.document();
    document
        .select(&selector("main form[method=post]"))
        .map(|form| {
            let id = form.select(&selector("input[name=entry_id]")).next();
            let id = id.and_then(|one| one.attr("value")).unwrap_or_default();
            (
                form.attr("action").unwrap_or_default().to_owned(),
                id.to_owned(),
            )
        })
        .collect()
}

/// Low of a day, and a correction of it that is kept as typed. Gives both pages' addresses.
async fn held_correction(farm: &Farm) -> (String, String) {
    let good = farm.save("/weather/new", &[("low", "41")]).await.record();
    let path = format!("{good}/correct");
    let asked = farm.fill(&path, &[("low", "fortyish")]).await;
    assert_eq!(asked.status, 422, "{}", asked.text());
    let kept = farm.send(&asked, &[("keep", "1")]).await;
    let held = kept
        .location()
        .split('?')
        .next()
        .unwrap_or_default()
        .to_owned();
    (good, held)
}

#[tokio::test]
async fn take_it_back_on_a_held_correction_leaves_the_good_record() {
    let farm = Farm::started().await;
    let (good, held) = held_correction(&farm).await;
    let page = farm.get(&held).await;
    let [(path, id)] = &acts(&page)[..] else {
        panic!("{:?}", acts(&page));
    };
    assert_eq!(*path, format!("{held}/void"));
    let answer = farm.post(path, &[("entry_id", id)]).await;
    answer.sent_to(&good);
    let page = farm.get(&good).await;
    assert!(page.text().contains("41"), "{}", page.text());
    assert!(
        !page.text().contains("Taken back. It was"),
        "{}",
        page.text()
    );
    assert!(!farm.get("/").await.text().contains("needs a look"));
    farm.close().await;
}

#[tokio::test]
async fn a_mended_correction_leaves_the_list() {
    let farm = Farm::started().await;
    let (good, held) = held_correction(&farm).await;
    assert!(farm.get("/").await.text().contains("1 entry needs a look"));
    farm.save(&format!("{held}/correct"), &[("low", "44")])
        .await;
    assert!(!farm.get("/").await.text().contains("needs a look"));
    let page = farm.get(&good).await;
    assert!(page.text().contains("44"), "{}", page.text());
    farm.close().await;
}

#[tokio::test]
async fn what_can_not_be_taken_back_is_said_and_does_not_wait() {
    let farm = Farm::started().await;
    let block = farm.block("A").await;
    let rows = [
        ("block", block.as_str()),
        ("rows", "8 rows, 11 panels, 4 vines"),
    ];
    farm.save("/rows/new", &rows).await;
    let answer = farm.post(&format!("/entries/{block}/void"), &[]).await;
    assert_eq!(answer.status, 409);
    well_mannered(&answer);
    let said = answer.text();
    assert!(said.contains("other entries hang on it"), "{said}");
    assert!(!farm.get("/").await.text().contains("needs a look"));
    let held = farm.get("/held").await.text();
    assert!(held.contains("None. Everything entered"), "{held}");
    farm.close().await;
}

#[tokio::test]
async fn taken_back_by_a_double_tap_it_is_one_act_and_can_be_undone() {
    let farm = Farm::started().await;
    let saved = farm.save("/weather/new", &[("low", "41")]).await;
    let path = saved.record();
    let (void, id) = acts(&saved).pop().expect("a way to take it back");
    for _ in 0..2 {
        farm.post(&void, &[("entry_id", &id)]).await.sent_to(&path);
    }
    let page = farm.get(&path).await;
    assert!(
        page.text().contains("Taken back. It was"),
        "{}",
        page.text()
    );
    well_mannered(&page);
    let second = farm.post(&void, &[]).await;
    assert_eq!(second.status, 409);
    assert!(
        second.text().contains("taken back before"),
        "{}",
        second.text()
    );

    let [(undo, id)] = &acts(&page)[..] else {
        panic!("{:?}", acts(&page));
    };
    assert_eq!(
        acts(
            &farm
                .get(&format!("/entries/{}", void_of(&farm, &path).await))
                .await
        )
        .len(),
        1
    );
    farm.post(undo, &[("entry_id", id)]).await.sent_to(&path);
    let page = farm.get(&path).await;
    assert!(
        !page.text().contains("Taken back. It was"),
        "{}",
        page.text()
    );
    let found = farm.store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    farm.close().await;
}

async fn void_of(farm: &Farm, path: &str) -> String {
    let id = path.rsplit('/').next().unwrap_or_default().parse().unwrap();
    let mut read = farm.store.read().await.unwrap();
    let entry = read.entry(id).await.unwrap().expect("the entry");
    assert_eq!(entry.state, State::Void);
    entry.voided_by.expect("what took it back").to_string()
}

#[tokio::test]
async fn settled_twice_it_is_settled_once() {
    let farm = Farm::started().await;
    let page = sent_twice_with_other_values(&farm).await;
    for _ in 0..2 {
        farm.send(&page, &[("settled", "second")])
            .await
            .sent_to("/entries/");
    }
    let (settle, _) = acts(&page).remove(0);
    let late = farm.post(&settle, &[("settled", "mistake")]).await;
    assert_eq!(late.status, 409);
    well_mannered(&late);
    assert!(late.text().contains("settled before"), "{}", late.text());
    assert!(!farm.get("/").await.text().contains("needs a look"));
    both_are_listed(&farm).await;
    farm.close().await;
}

#[tokio::test]
async fn every_button_of_an_entry_has_an_id_of_its_own() {
    let farm = Farm::started().await;
    let saved = farm.save("/weather/new", &[("low", "41")]).await;
    let mut ids: Vec<String> = acts(&saved).into_iter().map(|(_, id)| id).collect();
    assert_eq!(ids.len(), 2, "undo, and take it back");
    assert!(ids.iter().all(|id| id.len() == 36), "{ids:?}");
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), 2);
    farm.close().await;
}

/// A page that held one view and asked for another waited for pages that did the same.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn many_who_correct_at_once_do_not_wait_for_each_other() {
    let farm = Farm::started().await;
    let saved = farm.save("/weather/new", &[("low", "41")]).await;
    let path = format!("{}/correct", saved.record());
    let pages = join_all((0..24).map(|_| farm.get(&path))).await;
    for page in pages {
        assert_eq!(page.status, 200, "{}", page.text());
    }
    farm.close().await;
}
