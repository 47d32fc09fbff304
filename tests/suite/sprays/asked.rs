//! What the spray form asks, refuses and takes. Nothing typed is ever lost.

use super::{board_in_words, one_product, story_9, with};
use crate::support::farm::Farm;

#[tokio::test]
async fn an_empty_form_names_all_that_is_needed_at_once() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let page = farm
        .enter("/sprays", &[("note", "wasps at C4"), ("volume", "a tank")])
        .await;
    assert_eq!(page.status, 422);
    for told in [
        "Tick the blocks that were sprayed, or type rows.",
        "Type the day of spraying.",
        "Type what was in the tank, at least one product.",
        "When did spraying end?",
        "wasps at C4",
    ] {
        page.says(told);
    }
    assert!(page.body.contains("value=\"a tank\""));
    for id in ["block", "date", "product_1_name", "ended", "volume"] {
        assert!(page.body.contains(&format!("href=\"#{id}\"")), "{id}");
        assert!(page.body.contains(&format!("id=\"{id}\"")), "{id}");
    }
}

#[tokio::test]
async fn the_blank_page_warns_and_folds_the_second_product() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let page = farm.get("/sprays/new").await;
    for told in [
        "The label is the law. This board only adds up the hours you typed. Longest interval in the tank counts. If in doubt, stay out.",
        "Wind, bees, neighbours, open nets, open water: check the label before filling.",
        "Empty means closed until you type it",
        "Another product",
    ] {
        page.says(told);
    }
    assert!(page.body.contains("product_2_name"));
    assert!(!page.body.contains("product_3_name"));
    let page = farm
        .enter("/sprays", &[("more", "1"), ("note", "kept")])
        .await;
    assert_eq!(page.status, 200);
    assert!(page.body.contains("product_3_name"));
    page.says("kept");
    // Sent on with the third still blank, a fourth comes.
    let more = [("more", "1"), ("product_3_name", "")];
    assert!(
        farm.enter("/sprays", &more)
            .await
            .body
            .contains("product_4_name")
    );
    let most = [("more", "1"), ("product_6_name", "")];
    assert!(
        !farm
            .enter("/sprays", &most)
            .await
            .body
            .contains("product_7_name")
    );
}

#[tokio::test]
async fn absurd_and_inexact_intervals_are_wrong() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    for (field, typed, told) in [
        (
            "product_1_entry",
            "9000",
            "The entry hours of First can't be 9000.",
        ),
        (
            "product_1_harvest",
            "400",
            "The days to harvest of First can't be 400.",
        ),
        ("product_1_entry", "-1", "below zero"),
        ("product_1_entry", ">12", "Type the label's figure itself"),
        ("product_1_harvest", "~7", "Type the label's figure itself"),
        (
            "product_1_harvest",
            "7 h",
            "This field takes the label's days alone.",
        ),
        ("product_1_entry", "until dry", "is not a number"),
        ("product_1_name", "", "Type the product's name"),
    ] {
        let page = farm.enter("/sprays", &with(&story_9(), field, typed)).await;
        assert_eq!(page.status, 422, "{field} {typed}");
        page.says(told);
        assert!(page.body.contains(&format!("id=\"{field}-problem\"")));
    }
    let fields = with(&story_9(), "product_1_entry", "3 days");
    let asked = farm.enter("/sprays", &fields).await;
    asked.says("This field takes hours. 3 days would be 72 hours.");
    let stored = farm.tap(&asked, "Yes, 72").await;
    stored.is_stored();
    stored.says("Entry closed until Tue 7 Sept 10:40");
}

#[tokio::test]
async fn a_spray_past_midnight_is_asked_once() {
    let farm = Farm::at("2027-09-05T08:00:00-04:00").await;
    let fields = with(&with(&story_9(), "started", "22:10"), "ended", "00:40");
    let asked = farm.enter("/sprays", &fields).await;
    assert_eq!(asked.status, 422);
    asked.says("The end, 00:40, is earlier than the start, 22:10. Did spraying end the next day, Sun 5 Sept?");
    let stored = farm.tap(&asked, "Yes, 00:40 on Sun 5 Sept").await;
    stored.is_stored();
    stored.says("Entry closed until Tue 7 Sept 00:40");
    stored.says("End Sun 5 Sept 00:40");
    // Saving once more without a tap is an answer too.
    let fields = with(&fields, "note", "again");
    let asked = farm.enter("/sprays", &fields).await;
    farm.save_again(&asked).await.is_stored();
}

#[tokio::test]
async fn start_and_end_in_each_others_field_can_be_exchanged() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let fields = with(&with(&story_9(), "started", "10:40"), "ended", "09:10");
    let asked = farm.enter("/sprays", &fields).await;
    let stored = farm.tap(&asked, "No, from 09:10 to 10:40").await;
    stored.is_stored();
    stored.says("Entry closed until Mon 6 Sept 10:40");
}

#[tokio::test]
async fn an_end_that_came_twice_is_never_guessed() {
    let farm = Farm::at("2027-11-07T08:00:00-05:00").await;
    let fields = one_product("2027-11-07", "01:30", "24", "0");
    let asked = farm.enter("/sprays", &fields).await;
    assert_eq!(asked.status, 422);
    asked.says(
        "On Sun 7 Nov 2027 the clocks are set back, and 01:30 comes twice. Which one was it?",
    );
    let labels = asked.offers();
    assert_eq!(
        labels,
        [
            "01:30, the first time (summer time)",
            "01:30, the second time (standard time)"
        ]
    );
    let again = farm.save_again(&asked).await;
    assert_eq!(again.status, 422, "asked until answered");
    let second = farm.tap(&asked, &labels[1]).await;
    second.is_stored();
    second.says("End Sun 7 Nov 01:30, the second time");
    second.says("Entry closed until Mon 8 Nov 01:30");
    let other = with(&fields, "note", "first");
    let asked = farm.enter("/sprays", &other).await;
    let first = farm.tap(&asked, &labels[0]).await;
    first.says("Entry closed until Mon 8 Nov 00:30");
}

#[tokio::test]
async fn an_end_over_midnight_into_the_hour_that_comes_twice() {
    let farm = Farm::at("2027-11-07T08:00:00-05:00").await;
    let mut fields = one_product("2027-11-06", "01:30", "24", "0");
    fields.push(("started", "22:00"));
    let asked = farm.enter("/sprays", &fields).await;
    asked.says("On Sun 7 Nov 2027 the clocks are set back");
    let stored = farm
        .tap(&asked, "01:30, the second time (standard time)")
        .await;
    stored.is_stored();
    stored.says("Entry closed until Mon 8 Nov 01:30");
    // Begun before the clocks went back, ended after, by a clock that shows less.
    let mut fields = one_product("2027-11-07", "01:10, the second time", "24", "0");
    fields.push(("started", "01:50, the first time"));
    let stored = farm.enter("/sprays", &fields).await;
    stored.is_stored();
    stored.says("Entry closed until Mon 8 Nov 01:10");
}

#[tokio::test]
async fn a_time_that_never_was_names_its_neighbours() {
    let farm = Farm::at("2027-03-14T08:00:00-04:00").await;
    let fields = one_product("2027-03-14", "02:30", "12", "0");
    let asked = farm.enter("/sprays", &fields).await;
    assert_eq!(asked.status, 422);
    asked.says("On Sun 14 Mar 2027 the clocks are set forward, and 02:30 never comes. It was 01:30 or 03:30.");
    let stored = farm.tap(&asked, "It was 03:30").await;
    stored.is_stored();
    stored.says("Entry closed until Sun 14 Mar 15:30");
}

#[tokio::test]
async fn a_missing_end_is_asked_once_and_closes() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let fields = with(&story_9(), "ended", "");
    let asked = farm.enter("/sprays", &fields).await;
    assert_eq!(asked.status, 422);
    let stored = farm.tap(&asked, "Leave it empty, keep them closed").await;
    stored.is_stored();
    stored.says("Entry closed until you type when spraying ended");
    let board = board_in_words(&farm).await;
    assert!(
        board.contains("C, D — entry closed until you type when spraying ended"),
        "{board}"
    );
}

#[tokio::test]
async fn single_rows_count_alone_and_close_their_block() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let fields: Vec<_> = story_9()
        .into_iter()
        .filter(|(name, _)| *name != "block")
        .collect();
    let rows = with(&fields, "rows", "c4 C5, a1-a3");
    let stored = farm.enter("/sprays", &rows).await;
    stored.is_stored();
    stored.says("Spray of A Marquette and C Vidal, Sat 4 Sept 2027");
    stored.says("A1 to A3 only");
    stored.says("C4, C5 only");
    let page = farm.get("/sprays").await;
    page.says("A Marquette Closed");
    page.says("C Vidal Closed");
    page.says("D Traminette Ask no spray written down; ask");
    let wrong = farm.enter("/sprays", &with(&fields, "rows", "C9")).await;
    assert_eq!(wrong.status, 422);
    wrong.says("There is no row C9.");
}

#[tokio::test]
async fn a_block_without_rows_can_be_sprayed() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    farm.enter("/blocks", &[("name", "F"), ("variety", "La Crescent")])
        .await
        .is_stored();
    let fields = with(&one_product("2027-09-04", "10:40", "12", "3"), "block", "F");
    let stored = farm.enter("/sprays", &fields).await;
    stored.is_stored();
    stored.says("F La Crescent rows not written down");
    farm.get("/sprays").await.says("F La Crescent Closed");
}

#[tokio::test]
async fn a_future_date_and_a_strange_block_are_asked_about() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let page = farm
        .enter("/sprays", &with(&story_9(), "date", "2027-09-14"))
        .await;
    assert_eq!(page.status, 422);
    page.says("has not come yet");
    let page = farm.enter("/sprays", &with(&story_9(), "block", "Q")).await;
    page.says("There is no block \"Q\" here.");
    // Named in words, as on a card, a block stays ticked on the page that asks.
    let page = farm.enter("/sprays", &with(&story_9(), "ended", "")).await;
    assert!(page.body.contains("value=\"C\" checked"), "{}", page.body);
}
