//! Labels are painted once: a block keeps its own through corrections and takeovers.
//! Not here: how the line is read (`places::layout`).

use crate::support::farm::Farm;
use crate::support::page::Page;

/// A with eight rows from the year's start, of which B took A7 and A8 over in June.
async fn taken_over() -> (Farm, String) {
    let farm = Farm::started().await;
    farm.save("/blocks/new", &[("name", "B")]).await;
    let record = rows(&farm, "A", "8 x 11 x 4", "", "2027-01-01").await;
    assert_eq!(record.status, 303, "{}", record.text());
    let entry = record.location().split('?').next().unwrap().to_owned();
    let over = rows(&farm, "B", "", "A7 A8", "2027-06-01").await;
    assert_eq!(over.status, 303, "{}", over.text());
    (farm, entry)
}

async fn rows(farm: &Farm, name: &str, line: &str, over: &str, from: &str) -> Page {
    let block = farm.block(name).await;
    let fields = [
        ("block", block.as_str()),
        ("rows", line),
        ("taken_over", over),
        ("from", from),
    ];
    farm.fill("/rows/new", &fields).await
}

async fn labels(farm: &Farm, stored: &Page) -> String {
    assert_eq!(stored.status, 303, "{}", stored.text());
    farm.get(stored.location()).await.text_of("dl.read dd")[1].clone()
}

fn told(page: &Page) -> String {
    page.text_of(".summary li > a").join(" ")
}

#[tokio::test]
async fn a_corrected_block_keeps_its_labels() {
    let (farm, entry) = taken_over().await;
    let page = farm.get(&format!("{entry}/correct")).await;
    let stored = farm.send(&page, &[("rows", "8 x 12 x 4")]).await;
    let found = labels(&farm, &stored).await;
    assert_eq!(found, "A1, A2, A3, A4, A5, A6, A7 and A8");
    farm.close().await;
}

#[tokio::test]
async fn fewer_rows_are_asked_about_when_correcting_too() {
    let (farm, entry) = taken_over().await;
    let page = farm.get(&format!("{entry}/correct")).await;
    let asked = farm.send(&page, &[("rows", "5 x 11 x 4")]).await;
    assert_eq!(asked.status, 422);
    assert!(
        told(&asked).contains("A6, A7 and A8 would no longer belong to the block"),
        "{}",
        asked.text()
    );
    farm.close().await;
}

#[tokio::test]
async fn a_later_list_takes_nothing_back_and_reuses_no_number() {
    let (farm, _) = taken_over().await;
    let stored = rows(&farm, "A", "8 x 11 x 4", "", "2027-08-01").await;
    let found = labels(&farm, &stored).await;
    assert_eq!(found, "A1, A2, A3, A4, A5, A6, A9 and A10");
    farm.close().await;
}

#[tokio::test]
async fn a_label_stands_once_in_the_list() {
    let (farm, _) = taken_over().await;
    for (line, over) in [("", "A1 a1"), ("4 x 11 x 4", "A1")] {
        let asked = rows(
            &farm,
            if line.is_empty() { "B" } else { "A" },
            line,
            over,
            "2027-08-01",
        );
        let asked = asked.await;
        assert_eq!(asked.status, 422);
        assert!(
            told(&asked).contains("Row A1 stands twice in the list."),
            "{}",
            asked.text()
        );
    }
    farm.close().await;
}

#[tokio::test]
async fn all_that_is_wrong_with_a_list_is_said_at_once() {
    let (farm, _) = taken_over().await;
    let asked = farm
        .post(
            "/rows",
            &[("rows", "many"), ("taken_over", "Q1 Q2"), ("from", "soon")],
        )
        .await;
    for text in [
        "Choose the block.",
        "is not a date",
        "\"many\" is not understood",
        "There is no row Q1",
        "There is no row Q2",
    ] {
        assert!(told(&asked).contains(text), "{text:?} in {}", told(&asked));
    }
    farm.close().await;
}
