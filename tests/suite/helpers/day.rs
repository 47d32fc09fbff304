//! The list of a day: five lines, one list a day, the newest counts.

use super::{FRIDAY, SCREEN_AND_SHEET, list, no_faults};
use crate::support::farm::Farm;
use crate::support::page::Page;

fn lines(page: &Page) -> Vec<String> {
    page.text_of("main ol > li")
}

#[tokio::test]
async fn the_page_starts_with_today_or_the_day_that_was_asked_for() {
    let farm = Farm::at(FRIDAY).await;
    let page = farm.get("/helpers/day/new").await;
    assert_eq!(page.typed("date"), ["2027-09-10"]);
    let page = farm.get("/helpers/day/new?date=2027-09-11").await;
    assert_eq!(page.typed("date"), ["2027-09-11"]);
}

#[tokio::test]
async fn six_lines_are_too_many_and_stay_as_they_were_typed() {
    let farm = Farm::at(FRIDAY).await;
    let six = "one\ntwo\nthree\nfour\nfive\nsix";
    let asked = farm
        .fill(
            "/helpers/day/new",
            &[("to_do", six), ("not_to_touch", "a\nb\nc\nd")],
        )
        .await;
    asked.asks("There are 6 lines; 5 are the most. Put two into one, or leave one out.");
    asked.asks("There are 4 lines; 3 are the most. Put two into one, or leave one out.");
    assert_eq!(asked.typed("to_do"), [six]);
    assert_eq!(asked.typed("not_to_touch"), ["a\nb\nc\nd"]);
    // Kept as typed it is told to nobody until it is mended.
    let kept = farm
        .tap(&asked, "Keep it as typed, I'll mend it later")
        .await;
    kept.says("Kept as typed");
    farm.get("/helpers")
        .await
        .says("Nothing is written down for today");
    let mend = format!("{}/correct", kept.record());
    let page = farm.get(&mend).await;
    assert_eq!(page.typed("to_do"), [six]);
    let mended = farm
        .send(&page, &[("to_do", "one\ntwo"), ("not_to_touch", "")])
        .await;
    mended.sent_to("/entries/");
    assert_eq!(lines(&farm.get("/helpers").await), ["one", "two"]);
    no_faults(&farm).await;
}

#[tokio::test]
async fn a_line_too_long_to_be_read_in_one_glance_is_sent_back() {
    let farm = Farm::at(FRIDAY).await;
    let long = "x".repeat(101);
    let typed = format!("nets\n{long}");
    let asked = farm.fill("/helpers/day/new", &[("to_do", &typed)]).await;
    asked.asks(
        "Line 2 has 101 letters; 100 are the most that is read in one glance. Say it in fewer \
         words.",
    );
    assert_eq!(asked.typed("to_do"), [typed]);
    let fits = "x".repeat(100);
    list(&farm, "2027-09-10", &fits).await;
}

#[tokio::test]
async fn an_empty_list_is_none() {
    let farm = Farm::at(FRIDAY).await;
    let asked = farm.fill("/helpers/day/new", &[("to_do", " \n- \n")]).await;
    asked.asks("Type at least one line.");
}

#[tokio::test]
async fn marks_and_empty_lines_are_left_out() {
    let farm = Farm::at(FRIDAY).await;
    let typed = "1. Nets in A\n\n- Water\n 3) Rest at noon\n7:30 at the barn\n3 lugs to B1";
    list(&farm, "2027-09-10", typed).await;
    let wanted = [
        "Nets in A",
        "Water",
        "Rest at noon",
        "7:30 at the barn",
        "3 lugs to B1",
    ];
    for path in SCREEN_AND_SHEET {
        assert_eq!(lines(&farm.get(path).await), wanted, "{path}");
    }
}

#[tokio::test]
async fn there_is_one_list_a_day_and_the_newest_counts() {
    let farm = Farm::at(FRIDAY).await;
    let first = list(&farm, "2027-09-10", "Nets in A").await;
    list(&farm, "2027-09-11", "Nets in B").await;
    let second = list(&farm, "2027-09-10", "Nets in C").await;
    assert_eq!(lines(&farm.get("/helpers").await), ["Nets in C"]);
    // They are one record: its page tells both.
    let record = farm.get(&first.record()).await;
    record.says("Nets in A");
    record.says("Nets in C");
    // The second taken back, the first counts again.
    let void = format!("{}/void", second.record());
    farm.post(&void, &[("reason", "rain")])
        .await
        .sent_to("/entries/");
    assert_eq!(lines(&farm.get("/helpers").await), ["Nets in A"]);
    no_faults(&farm).await;
    let farm = farm.later("2027-09-11T07:00:00-04:00").await;
    assert_eq!(lines(&farm.get("/helpers").await), ["Nets in B"]);
    let farm = farm.later("2027-09-12T07:00:00-04:00").await;
    farm.get("/helpers")
        .await
        .says("Nothing is written down for today");
}

#[tokio::test]
async fn a_list_taken_back_makes_room_for_another() {
    let farm = Farm::at(FRIDAY).await;
    let first = list(&farm, "2027-09-10", "Nets in A").await;
    let void = format!("{}/void", first.record());
    farm.post(&void, &[("reason", "rain")])
        .await
        .sent_to("/entries/");
    farm.get("/helpers")
        .await
        .says("Nothing is written down for today");
    let second = list(&farm, "2027-09-10", "Sweep the barn").await;
    assert_ne!(first.record(), second.record());
    assert_eq!(lines(&farm.get("/helpers").await), ["Sweep the barn"]);
    no_faults(&farm).await;
}

#[tokio::test]
async fn a_list_moved_to_a_day_that_has_one_is_held() {
    let farm = Farm::at(FRIDAY).await;
    list(&farm, "2027-09-10", "Nets in A").await;
    let other = list(&farm, "2027-09-11", "Nets in B").await;
    let correct = format!("{}/correct", other.record());
    let moved = farm.type_in(&correct, &[("date", "2027-09-10")]).await;
    moved.says("There is a list for that day already; change that one.");
    assert_eq!(lines(&farm.get("/helpers").await), ["Nets in A"]);
    no_faults(&farm).await;
}

#[tokio::test]
async fn a_day_that_is_over_or_far_ahead_is_asked_about_once() {
    let farm = Farm::at(FRIDAY).await;
    for (date, question) in [
        (
            "2027-09-03",
            "Fri 3 Sept 2027 is over. Is the list for that day?",
        ),
        (
            "2028-09-10",
            "Sun 10 Sept 2028 is 366 days ahead. Is the list for that day?",
        ),
    ] {
        let fields = [("date", date), ("to_do", "Nets")];
        let asked = farm.fill("/helpers/day/new", &fields).await;
        asked.asks(question);
        farm.send(&asked, &[]).await.sent_to("/entries/");
    }
    farm.get("/helpers")
        .await
        .says("Nothing is written down for today");
}

#[tokio::test]
async fn the_keeper_is_led_to_the_list_that_is_there() {
    let farm = Farm::at(FRIDAY).await;
    let links = farm.get("/helpers").await.links();
    for link in ["/helpers/day/new", "/helpers/day/new?date=2027-09-11"] {
        assert!(links.iter().any(|one| one == link), "{link} in {links:?}");
    }
    let today = list(&farm, "2027-09-10", "Nets in A").await;
    let links = farm.get("/helpers").await.links();
    let correct = format!("{}/correct", today.record());
    assert!(links.contains(&correct), "{correct} in {links:?}");
    assert!(!links.iter().any(|one| one == "/helpers/day/new"));
}
