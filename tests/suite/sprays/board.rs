//! Story 9 word for word, and the board by the shed door.

use super::{board_in_words, one_product, story_9, with};
use crate::support::farm::Farm;

#[tokio::test]
async fn story_9_what_is_closed() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let stored = farm.enter("/sprays", &story_9()).await;
    stored.is_stored();
    stored.says("Entry closed until Mon 6 Sept 10:40");
    stored.says("Picking closed until Sat 18 Sept 10:40");
    let board = board_in_words(&farm).await;
    let closed =
        "C, D — entry closed until Mon 6 Sept 10:40; picking closed until Sat 18 Sept 10:40";
    assert!(board.contains(closed), "{board}");

    let farm = farm.later("2027-09-20T19:00:00-04:00").await;
    let third = one_product("2027-09-20", "18:30", "72", "0");
    let stored = farm.enter("/sprays", &third).await;
    stored.is_stored();
    stored.says("Picking closed until Thu 23 Sept 18:30");
    let board = board_in_words(&farm).await;
    let closed = "A — entry closed until Thu 23 Sept 18:30; picking closed until Thu 23 Sept 18:30";
    assert!(board.contains(closed), "{board}");
}

#[tokio::test]
async fn a_blank_interval_says_what_to_type() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let blank = with(&story_9(), "product_2_harvest", "");
    farm.enter("/sprays", &blank).await.is_stored();
    for path in ["/sprays", "/sprays/board"] {
        let page = farm.get(path).await;
        page.says("Mon 6 Sept 10:40");
        page.says("closed until you type the label's days to harvest of Second");
    }
    // However much later.
    let farm = farm.later("2031-05-01T08:00:00-04:00").await;
    let page = farm.get("/sprays/board").await;
    page.says("C, D — picking closed until you type the label's days to harvest of Second; for entry no hold written down; last spray written 4 Sept 2027; ask");
}

#[tokio::test]
async fn the_board_has_its_columns_in_order_and_dots_for_what_is_not_typed() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    farm.enter("/sprays", &story_9()).await.is_stored();
    let page = farm.get("/sprays/board").await;
    let words = page.text();
    let mut from = 0;
    for column in [
        "Block and rows",
        "Product",
        "Reg. no.",
        "Active ingredient(s)",
        "Rate, volume",
        "Date",
        "Start",
        "END",
        "Applicator",
        "Wind/temp",
        "Entry closed until (day date time)",
        "Early-entry gear per label",
        "Picking closed until (day date time)",
        "Label read ☐",
    ] {
        let at = words[from..].find(column);
        from += at.unwrap_or_else(|| panic!("{column} in order in {words}")) + column.len();
    }
    for told in [
        "C Vidal C1 to C5",
        "D Traminette D1 to D4",
        "sulfur",
        "volume 45 gal",
        "09:10",
        "light, west; 64 °F",
        "still closed",
        "The label is the law.",
        "Notes",
        "A Marquette, B Frontenac, E Cabernet franc: no spray written down; ask.",
        "from data up to Sat 4 Sept",
    ] {
        page.says(told);
    }
    assert!(page.body.contains("class=\"dots\""));
    assert!(page.body.contains("class=\"across\""));
    for never in ["null", "NaN", "None", "safe"] {
        page.says_not(never);
    }
}

/// US EPA, worker protection standard: shown until 30 days after the interval. Exact to the hour.
#[tokio::test]
async fn a_spray_stays_up_thirty_days_after_its_hold() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    farm.enter("/sprays", &story_9()).await.is_stored();
    let farm = farm.later("2027-10-18T10:30:00-04:00").await;
    let page = farm.get("/sprays/board").await;
    page.says("First");
    page.says("this interval is over");
    page.says("No running hold is written down. Ask before going in.");
    let farm = farm.later("2027-10-18T10:45:00-04:00").await;
    let page = farm.get("/sprays/board").await;
    page.says_not("First");
    page.says("C Vidal, D Traminette: no hold written down; last spray written 4 Sept; ask.");
}

#[tokio::test]
async fn every_block_is_to_be_treated_as_closed_while_a_spray_is_held() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let fields = with(&story_9(), "product_1_entry", "as on label");
    let asked = farm.enter("/sprays", &fields).await;
    assert_eq!(asked.status, 422);
    let kept = farm
        .tap(&asked, "Keep it as typed, I'll mend it later")
        .await;
    kept.says("Kept as typed");
    for path in ["/sprays", "/sprays/board"] {
        farm.get(path).await.says("Treat every block as closed");
    }
    // Mended, it closes what it closes.
    let mended = with(&story_9(), "subject", kept.entry());
    farm.enter("/sprays", &mended).await.is_stored();
    let page = farm.get("/sprays").await;
    page.says_not("Treat every block as closed");
    page.says("closed until Sat 18 Sept 10:40");
    page.says("A Marquette Ask no spray written down; ask");
}

#[tokio::test]
async fn the_clock_change_of_7_november_is_counted_in_elapsed_hours() {
    let farm = Farm::at("2027-11-06T19:00:00-04:00").await;
    let fields = one_product("2027-11-06", "18:00", "24", "1");
    let stored = farm.enter("/sprays", &fields).await;
    stored.is_stored();
    stored.says("Entry closed until Sun 7 Nov 17:00");
    let board = board_in_words(&farm).await;
    assert!(
        board.contains("A — entry closed until Sun 7 Nov 17:00"),
        "{board}"
    );
    // An interval that ends inside the hour that comes twice says which.
    let fields = one_product("2027-11-06", "18:30", "8", "0");
    let stored = farm.enter("/sprays", &fields).await;
    stored.says("Entry closed until Sun 7 Nov 01:30, the second time");
}

#[tokio::test]
async fn a_part_of_a_minute_is_never_rounded_down() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    // 0.33 h are 19 minutes 48 seconds.
    let stored = farm
        .enter("/sprays", &one_product("2027-09-04", "10:40", "0.33", "0"))
        .await;
    stored.says("Entry closed until Sat 4 Sept 11:00");
}

#[tokio::test]
async fn story_9_a_ripe_block_is_held_on_every_page() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let wanted = [
        ("block", "D"),
        ("from", "2027-08-01"),
        ("brix_low", "20"),
        ("season_end", "2027-10-31"),
    ];
    farm.enter("/targets", &wanted).await.is_stored();
    let sample = [
        ("block", "D"),
        ("date", "2027-09-03"),
        ("brix_1_1", "22.4"),
        ("brix_2_1", "22.6"),
    ];
    farm.enter("/ripeness", &sample).await.is_stored();
    farm.enter("/sprays", &story_9()).await.is_stored();
    farm.get("/")
        .await
        .says("Ready, but HELD until Sat 18 Sept 10:40");
    let sheet = farm.get("/harvest/sheet").await;
    sheet.says("but HELD until Sat 18 Sept 10:40");
    sheet.says("entry: Mon 6 Sept 10:40 picking: Sat 18 Sept 10:40");
}

/// A blank interval is never outlived.
#[tokio::test]
async fn the_readiness_sheet_remembers_a_blank_interval_for_ever() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let blank = with(&story_9(), "product_2_harvest", "");
    farm.enter("/sprays", &blank).await.is_stored();
    let farm = farm.later("2031-05-01T08:00:00-04:00").await;
    let sheet = farm.get("/harvest/sheet").await;
    sheet.says("picking: closed until label figure typed");
}
