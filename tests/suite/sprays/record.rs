//! The record: corrections and taking back keep their history, seasons are kept and printed.

use super::{board_in_words, story_9, with};
use crate::support::farm::Farm;

#[tokio::test]
async fn a_correction_lengthens_and_shortens_the_hold_and_keeps_the_history() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let first = farm.enter("/sprays", &story_9()).await;
    let record = first.entry().to_owned();
    let change = |harvest: &'static str, reason: &'static str| {
        let mut fields = with(&story_9(), "product_2_harvest", harvest);
        fields.push(("reason", reason));
        fields
    };
    let page = farm.get(&format!("/entries/{record}/correct")).await;
    assert_eq!(page.status, 200);
    assert!(page.body.contains("value=\"48 h\""));

    let mut longer = change("66", "read the label again");
    longer.push(("subject", &record));
    farm.enter("/sprays", &longer).await.is_stored();
    let closed = "picking closed until Tue 9 Nov 09:40";
    let board = board_in_words(&farm).await;
    assert!(board.contains(closed), "{board}");

    let mut shorter = change("7", "wrong label");
    shorter.push(("subject", &record));
    farm.enter("/sprays", &shorter).await.is_stored();
    let board = board_in_words(&farm).await;
    assert!(
        board.contains("picking closed until Sat 11 Sept 10:40"),
        "{board}"
    );
    assert!(!board.contains("9 Nov"), "{board}");

    let page = farm.get(&format!("/entries/{record}")).await;
    for told in [
        "read the label again",
        "wrong label",
        "Picking closed until Sat 18 Sept 10:40",
        "Picking closed until Tue 9 Nov 09:40",
        "Picking closed until Sat 11 Sept 10:40",
    ] {
        page.says(told);
    }
    let struck = page.text_of("main ol.list s").join(" · ");
    for old in ["Sat 18 Sept 10:40", "Tue 9 Nov 09:40"] {
        assert!(struck.contains(old), "{old} in {struck}");
    }
    assert!(!struck.contains("Sat 11 Sept"), "{struck}");
}

#[tokio::test]
async fn taking_back_opens_nothing_silently() {
    let farm = Farm::at("2027-08-12T11:00:00-04:00").await;
    let mut early = with(&story_9(), "date", "2027-08-12");
    early.push(("note", "early"));
    farm.enter("/sprays", &early).await.is_stored();
    let farm = farm.later("2027-09-04T11:00:00-04:00").await;
    let spray = farm.enter("/sprays", &story_9()).await;
    let path = format!("/entries/{}", spray.entry());
    let void = [("reason", "it was another block")];
    farm.enter(&format!("{path}/void"), &void).await;

    let page = farm.get("/sprays").await;
    page.says("C Vidal Ask no hold written down; last spray written 12 Aug; ask");
    for word in ["clear", "safe"] {
        page.says_not(word);
    }
    let page = farm.get(&path).await;
    page.says("Taken back");
    page.says("it was another block");
    page.says("Picking closed until Sat 18 Sept 10:40");
}

#[tokio::test]
async fn a_season_prints_all_fields_however_much_later() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let mut fields = story_9();
    fields.push(("note", "nets were open"));
    farm.enter("/sprays", &fields).await.is_stored();
    let farm = farm.later("2037-02-01T08:00:00-05:00").await;
    let page = farm.get("/sprays/season/2027").await;
    assert_eq!(page.status, 200);
    for told in [
        "Sprays of 2027",
        "Sat 4 Sept 2027",
        "C Vidal C1 to C5",
        "Start 09:10",
        "END 10:40",
        "volume 45 gal",
        "applicator keeper",
        "wind light, west",
        "temperature 64 °F",
        "label read ☑ yes",
        "First 000-1 sulfur 3 lb an acre 12 hours 7 days",
        "48 hours 14 days",
        "Entry closed until Mon 6 Sept 2027 10:40",
        "picking closed until Sat 18 Sept 2027 10:40",
        "nets were open",
    ] {
        page.says(told);
    }
    assert!(
        page.body.contains("class=\"dots\""),
        "Second has no reg. no."
    );
    farm.get("/sprays").await.says("2027");
    let none = farm.get("/sprays/season/2030").await;
    none.says("No spray of 2030 is written down.");
    for odd in ["/sprays/season/soon", "/sprays/season/99999"] {
        assert_eq!(farm.get(odd).await.status, 404, "{odd}");
    }
}

#[tokio::test]
async fn a_hold_stays_with_the_ground_when_rows_move() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    farm.enter("/sprays", &story_9()).await.is_stored();
    farm.enter("/blocks", &[("name", "F"), ("variety", "La Crescent")])
        .await
        .is_stored();
    let moved = [
        ("block", "F"),
        ("taken_over", "C4 C5"),
        ("from", "2027-09-05"),
    ];
    farm.enter("/rows", &moved).await.is_stored();
    let farm = farm.later("2027-09-05T08:00:00-04:00").await;
    let page = farm.get("/sprays").await;
    page.says("F La Crescent Closed");
    farm.get("/sprays/board")
        .await
        .says("C, D, F — entry closed");
}
