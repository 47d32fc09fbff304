//! Paper cards over HTTP: drawn up with a code each, printed with the fields of their form in its
//! order, typed in by code, listed while they are out, said to be late. Not here: paper itself
//! (`paper`), walks.

use crate::support::farm::Farm;
use crate::support::page::Page;

const PRINTED: &str = "2027-09-10T08:00:00-04:00";

/// Draws up cards and gives their codes and the sheet.
async fn drawn_up(farm: &Farm, fields: &[(&str, &str)]) -> (Vec<String>, Page) {
    let sheet = farm.fill("/cards/new", fields).await;
    assert_eq!(sheet.status, 303, "{}", sheet.text());
    let path = sheet.location().to_owned();
    let sheet = farm.get(&path).await;
    assert_eq!(sheet.status, 200, "{}", sheet.text());
    (sheet.text_of(".blank-card .key"), sheet)
}

async fn one_card(farm: &Farm, what: &str, block: &str) -> String {
    let block = farm.block(block).await;
    let asked = [("what", what), ("block", block.as_str()), ("count", "1")];
    let (codes, _) = drawn_up(farm, &asked).await;
    codes[0].clone()
}

/// The labels of the fields of a page, in its order, the block's apart, which a card has in its
/// heading.
fn labels(page: &Page) -> Vec<String> {
    page.text_of("form .group > .field > label, form .group > fieldset.field > legend")
        .into_iter()
        .filter(|label| label != "Block")
        .collect()
}

#[tokio::test]
async fn each_card_has_a_code_of_its_own_and_the_same_page_draws_them_up_once() {
    let farm = Farm::at(PRINTED).await;
    let page = farm.get("/cards/new").await;
    let asked = [("what", "berries"), ("count", "20")];
    let (first, again) = (
        farm.send(&page, &asked).await,
        farm.send(&page, &asked).await,
    );
    assert_eq!(first.location(), again.location());
    let sheet = farm.get(first.location()).await;
    let mut codes = sheet.text_of(".blank-card .key");
    assert_eq!(codes.len(), 20);
    codes.sort();
    codes.dedup();
    assert_eq!(codes.len(), 20, "no code twice");
    assert!(codes.iter().all(|code| code.len() == 4));
    let out = farm.get("/cards").await;
    assert_eq!(out.text_of("h2 + p + ul > li").len(), 20, "drawn up once");
}

#[tokio::test]
async fn a_card_has_the_fields_of_its_form_in_its_order() {
    let farm = Farm::at(PRINTED).await;
    for (what, path) in [("berries", "/ripeness/new"), ("clusters", "/clusters/new")] {
        let code = one_card(&farm, what, "C").await;
        let sheet = farm.get(&format!("/cards/print?code={code}")).await;
        let form = farm.get(&format!("{path}?card={code}")).await;
        let on_card: Vec<String> = sheet
            .text_of(".blank-card .lines .write")
            .iter()
            .map(|text| text.trim().to_owned())
            .collect();
        let on_form: Vec<String> = labels(&form)
            .into_iter()
            .filter(|label| {
                let screen_only = [
                    "One line for each",
                    "Juice temperature of all",
                    "The juice had",
                ];
                let screen_only =
                    screen_only
                        .iter()
                        .chain(&["Two crops", "Begin a new line", "Edge rows are"]);
                !screen_only.clone().any(|text| label.starts_with(*text))
            })
            .collect();
        assert_eq!(
            on_card.len(),
            on_form.len(),
            "{what}: {on_card:?} {on_form:?}"
        );
        for (card, label) in on_card.iter().zip(&on_form) {
            assert!(
                card.starts_with(label.as_str()),
                "{what}: {card} is not {label}"
            );
        }
    }
}

#[tokio::test]
async fn a_code_opens_the_form_with_block_and_without_a_date() {
    let farm = Farm::at(PRINTED).await;
    let code = one_card(&farm, "berries", "D").await;
    let typed = code.to_lowercase();
    let opened = farm.get(&format!("/cards/enter?code={typed}")).await;
    opened.sent_to("/ripeness/new?card=");
    let form = farm.get(opened.location()).await;
    form.says(&format!(
        "Card {code}: berry sample, D Traminette, drawn up Fri 10 Sept."
    ));
    assert_eq!(form.typed("date"), [""]);
    assert_eq!(form.typed("block"), [farm.block("D").await]);
    let asked = farm.send(&form, &[("brix_1_1", "19.5")]).await;
    asked.asks("Type the day on which the fruit was picked.");
    assert_eq!(asked.typed("date"), [""], "the day is never guessed");
    assert_eq!(asked.typed("brix_1_1"), ["19.5"]);
    asked.says(&format!("Card {code}"));
}

#[tokio::test]
async fn a_code_that_is_none_or_not_here_is_said() {
    let farm = Farm::at(PRINTED).await;
    for (typed, told) in [
        (
            "K7Q",
            "A card code has four letters or digits, such as K7Q2.",
        ),
        ("K7U2", "No card code has the sign \"U\" in it."),
        ("K7Q2", "No card K7Q2 was drawn up here."),
    ] {
        let asked = farm.get(&format!("/cards/enter?code={typed}")).await;
        assert_eq!(asked.status, 422, "{typed}");
        asked.says(told);
        assert_eq!(asked.attributes("#code", "value"), [typed]);
    }
    farm.get("/ripeness/new?card=K7Q2")
        .await
        .sent_to("/cards/enter");
}

#[tokio::test]
async fn typed_in_late_it_says_so_and_is_no_longer_out() {
    let farm = Farm::at(PRINTED).await;
    let code = one_card(&farm, "berries", "D").await;
    farm.get("/cards").await.says(&format!("Card {code}"));
    farm.get("/cards").await.says_not("Come back");
    let farm = farm.later("2027-09-19T18:00:00-04:00").await;
    let card = format!("/ripeness/new?card={code}");
    let typed = [("date", "2027-09-10"), ("brix_1_1", "19.5")];
    let record = farm.type_in(&card, &typed).await;
    record.is_stored();
    record.says(&format!("from paper card {code}, entered 9 days later"));
    let block = farm
        .get(&format!("/blocks/{}", farm.block("D").await))
        .await;
    block.says(&format!("from paper card {code}, entered 9 days later"));
    let cards = farm.get("/cards").await;
    cards.says("None: every card drawn up was typed in.");
    cards.says("Come back");
    let sheets = farm.get("/sheets").await;
    sheets.says("is earlier than Sun 19 Sept 18:0");
    sheets.says(&format!(
        "from paper card {code}, entered 9 days later, Sun 19 Sept 18:0"
    ));
}

#[tokio::test]
async fn a_card_typed_in_before_is_shown_beside() {
    let farm = Farm::at("2027-09-14T08:00:00-04:00").await;
    let code = one_card(&farm, "berries", "C").await;
    let card = format!("/ripeness/new?card={code}");
    let typed = [("date", "2027-09-13"), ("bag_1", "1"), ("brix_1_1", "19.4")];
    farm.type_in(&card, &typed).await.is_stored();
    let again = farm.get(&card).await;
    again.says("This card was typed in before:");
    again.says("Sample of C Vidal, Mon 13 Sept 2027, entered from paper Tue 14 Sept 08:0");
    let asked = farm.send(&again, &typed).await;
    asked.says("entered C Vidal bag 1 of Mon 13 Sept on Tue 14 Sept 08:0");
}

#[tokio::test]
async fn a_correction_on_a_phone_is_no_longer_from_paper() {
    let farm = Farm::at(PRINTED).await;
    let code = one_card(&farm, "berries", "C").await;
    let card = format!("/ripeness/new?card={code}");
    let typed = [("date", "2027-09-10"), ("brix_1_1", "19.4")];
    let record = farm.type_in(&card, &typed).await;
    record.is_stored();
    let form = farm.get(&format!("{}/correct", record.record())).await;
    form.says_not("Copy it as it stands");
    let changed = farm.send(&form, &[("brix_1_1", "19.6")]).await;
    let page = farm.get(changed.location()).await;
    let lines = page.text_of("h2 + ol.list > li");
    assert_eq!(lines.len(), 2, "{lines:?}");
    assert!(lines[0].contains("from paper card"), "{lines:?}");
    assert!(!lines[1].contains("from paper"), "{lines:?}");
}

#[tokio::test]
async fn a_pencilled_sum_that_differs_is_asked_about() {
    let farm = Farm::at(PRINTED).await;
    let code = one_card(&farm, "clusters", "B").await;
    let card = format!("/clusters/new?card={code}");
    // Twelve counts and ten weights of Frontenac (keeper's figures; their sum by hand).
    let counts = [41, 35, 28, 46, 52, 33, 39, 44, 30, 37, 48, 29];
    let weights = [
        ".31", ".22", ".27", ".18", ".35", ".24", ".29", ".21", ".26", ".30",
    ];
    let mut typed: Vec<(String, String)> = vec![("date".to_owned(), "2027-07-20".to_owned())];
    for (line, count) in (1..).zip(counts) {
        typed.push((format!("clusters_{line}"), count.to_string()));
    }
    for (line, weight) in (1..).zip(weights) {
        typed.push((format!("weight_{line}"), format!("{weight} lb")));
    }
    typed.push(("sum_clusters".to_owned(), "472".to_owned()));
    let typed: Vec<(&str, &str)> = typed
        .iter()
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .collect();
    let asked = farm.type_in(&card, &typed).await;
    asked.asks(
        "The clusters typed here come to 462, the card says 472. Look for a slip in one of them.",
    );
    assert_eq!(asked.text_of("output[data-total=sum_clusters]"), ["462"]);
    let record = farm.tap(&asked, "The slip is in the card's sum").await;
    record.is_stored();
    record.says("462 on 12 vines, 38.5 a vine");
    record.says("4.2 oz a cluster, 10 clusters weighed");
    record.says("from paper card");
}

#[tokio::test]
async fn a_card_of_another_block_is_asked_about() {
    let farm = Farm::at(PRINTED).await;
    let code = one_card(&farm, "berries", "B").await;
    let block = farm.block("A").await.to_string();
    let typed = [
        ("block", &*block),
        ("date", "2027-09-09"),
        ("brix_1_1", "21.4"),
    ];
    let card = format!("/ripeness/new?card={code}");
    let asked = farm.type_in(&card, &typed).await;
    asked.asks(&format!(
        "Card {code} was drawn up for B Frontenac. Is this of A Marquette?"
    ));
    let record = farm.tap(&asked, "It is of B Frontenac").await;
    record.is_stored();
    record.says("Sample of B Frontenac");
    let asked = farm
        .type_in(&card, &[typed[0], typed[1], ("brix_1_1", "22.0")])
        .await;
    let record = farm.tap(&asked, "It is of A Marquette").await;
    record.is_stored();
    record.says("Sample of A Marquette");
    farm.close().await;
}

#[tokio::test]
async fn a_sum_says_what_one_that_cannot_be_read_would_have_to_be() {
    let farm = Farm::at(PRINTED).await;
    let code = one_card(&farm, "clusters", "B").await;
    let typed = [
        ("date", "2027-07-20"),
        ("clusters_1", "41"),
        ("clusters_2", "35"),
        ("clusters_3", "?"),
        ("clusters_4", "28"),
        ("sum_clusters", "120"),
    ];
    let asked = farm
        .type_in(&format!("/clusters/new?card={code}"), &typed)
        .await;
    asked.asks(
        "The clusters typed here come to 104, the card says 120. One can't be read: it would have \
         to be 16.",
    );
    farm.close().await;
}

#[tokio::test]
async fn what_cannot_be_read_on_a_card_is_left_out_and_kept() {
    let farm = Farm::at(PRINTED).await;
    let code = one_card(&farm, "clusters", "B").await;
    let card = format!("/clusters/new?card={code}");
    let typed = [
        ("date", "2027-07-20"),
        ("clusters_1", "41"),
        ("at_2", "b2 5 1"),
        ("clusters_2", "?"),
        ("note", "second count 3 and a smear"),
    ];
    let record = farm.type_in(&card, &typed).await;
    record.is_stored();
    record.says("41 on one vine, 41.0 a vine");
    record.says("?");
    let on_phone = [("clusters_1", "?"), ("block", &farm.block("B").await)];
    let asked = farm.type_in("/clusters/new", &on_phone).await;
    assert_eq!(asked.status, 422, "a phone has nothing that can't be read");
}
