//! Questions one by one: each is asked once, silences no other, and a blank or a bound says so
//! beside whatever else is wrong. Not here: lines of single vines (`stops`), rows (`rows`).

use crate::support::farm::Farm;
use crate::support::page::Page;

/// The value of the answer with this label.
fn answer(page: &Page, label: &str) -> String {
    let labels = page.text_of("button[name=tap]");
    let place = labels
        .iter()
        .position(|one| one == label)
        .unwrap_or_else(|| panic!("no {label:?} among {labels:?}: {}", page.text()));
    page.attributes("button[name=tap]", "value")[place].clone()
}

fn summary(page: &Page) -> Vec<String> {
    page.text_of(".summary li > a")
        .into_iter()
        .filter(|text| text != "No, let me fix it")
        .collect()
}

#[tokio::test]
async fn an_answer_silences_its_own_question_and_no_other() {
    let farm = Farm::started().await;
    farm.save(
        "/ripeness/new",
        &[("brix_1_1", "15.0"), ("date", "2027-09-08")],
    )
    .await;
    let asked = farm
        .fill(
            "/ripeness/new",
            &[("brix_1_1", "<22.2"), ("date", "2027-09-09")],
        )
        .await;
    assert_eq!(asked.status, 422);
    assert!(
        summary(&asked).contains(&"\"<22.2\" says below 22.2. Take 22.2?".to_owned()),
        "{}",
        asked.text()
    );
    // Only the answer is sent on, as a phone's envelope does: the jump is still to be asked.
    let block = farm.block("A").await;
    let taken = answer(&asked, "Yes, 22.2");
    let next = farm
        .post(
            "/ripeness",
            &[
                ("block", block.as_str()),
                ("date", "2027-09-09"),
                ("brix_1_1", "<22.2"),
                ("tap", &taken),
            ],
        )
        .await;
    assert_eq!(summary(&next), ["Jumped 7.2 in 1 day; is it right?"]);
    let stands = answer(&next, "22.2 is right");
    let stored = farm.send(&next, &[("tap", &taken), ("tap", &stands)]).await;
    stored.sent_to("/entries/");
    farm.close().await;
}

#[tokio::test]
async fn bounds_are_asked_about_or_refused() {
    let farm = Farm::started().await;
    let fields = [
        ("date", "2027-09-09"),
        ("brix_1_1", "21.4"),
        ("bag_1", "<7"),
        ("berries_1", "~50"),
        ("rot", "<5"),
    ];
    let asked = farm.fill("/ripeness/new", &fields).await;
    let told = summary(&asked);
    assert_eq!(
        told,
        [
            "Type the number itself, without \"<\".",
            "\"~50\" says about 50. Take 50?",
            "\"<5\" says below 5. Take 5?",
        ],
    );
    let again = farm.send(&asked, &[("bag_1", "7")]).await;
    let record = farm.get(again.location()).await;
    assert!(record.text().contains("Rot 5 %"), "{}", record.text());
    assert!(record.text().contains("50 berries"), "{}", record.text());
    farm.close().await;
}

#[tokio::test]
async fn all_that_is_wrong_is_said_at_once() {
    let farm = Farm::started().await;
    let asked = farm
        .fill("/ripeness/new", &[("date", "soon"), ("rot", "lots")])
        .await;
    let told = summary(&asked).join(" ");
    for text in [
        "is not a date",
        "Type at least one reading.",
        "not a number",
    ] {
        assert!(told.contains(text), "{text:?} in {told}");
    }
    let asked = farm
        .fill(
            "/ripeness/new",
            &[
                ("date", "soon"),
                ("brix_1_1", "21.4"),
                ("ta_used_1", "6.4"),
                ("ta_base_1", "0.1"),
            ],
        )
        .await;
    let told = summary(&asked).join(" ");
    assert!(told.contains("A titration needs"), "{told}");
    let asked = farm.fill("/targets/new", &[("from", "soon")]).await;
    let told = summary(&asked).join(" ");
    assert!(told.contains("Type at least one edge."), "{told}");
    let asked = farm
        .fill("/weather/new", &[("date", "soon"), ("rain", "")])
        .await;
    let told = summary(&asked).join(" ");
    assert!(told.contains("Nothing was typed."), "{told}");
    farm.close().await;
}

#[tokio::test]
async fn a_date_to_come_stands_in_words() {
    let farm = Farm::started().await;
    let asked = farm
        .fill(
            "/ripeness/new",
            &[("brix_1_1", "21.4"), ("date", "2027-09-14")],
        )
        .await;
    let stands = answer(&asked, "Yes, 14 Sept 2027 is right");
    farm.send(&asked, &[("tap", &stands)])
        .await
        .sent_to("/entries/");
    farm.close().await;
}

#[tokio::test]
async fn a_vine_goes_once() {
    let farm = Farm::started().await;
    let block = farm.block("A").await;
    let rows = [("block", block.as_str()), ("rows", "8 x 11 x 4")];
    farm.save("/rows/new", &rows).await;
    let gone = |date| [("address", "A3-7-2"), ("change", "gone"), ("date", date)];
    farm.save("/vines/new", &gone("2027-05-08")).await;
    for date in ["2027-09-09", "2027-04-01"] {
        let asked = farm.fill("/vines/new", &gone(date)).await;
        assert_eq!(
            summary(&asked),
            ["A3-7-2 is already written down as gone since 8 May."]
        );
    }
    let replanted = [
        ("address", "A3-7-2"),
        ("change", "replanted"),
        ("date", "2027-06-01"),
        ("bearing_from", "2030"),
    ];
    farm.save("/vines/new", &replanted).await;
    farm.save("/vines/new", &gone("2027-09-09")).await;
    farm.close().await;
}

#[tokio::test]
async fn the_only_candidate_is_not_one_of_several() {
    let farm = Farm::started().await;
    let block = farm.block("A").await;
    let rows = [("block", block.as_str()), ("rows", "8 x 11 x 4")];
    farm.save("/rows/new", &rows).await;
    let page = farm.get("/address?q=a37+2").await;
    assert!(
        page.text().contains("\"a37 2\": is this meant?"),
        "{}",
        page.text()
    );
    let asked = farm
        .fill("/vines/new", &[("address", "a37 2"), ("change", "gone")])
        .await;
    assert_eq!(summary(&asked), ["\"a37 2\": is this meant?"]);
    farm.close().await;
}

#[tokio::test]
async fn a_zone_is_tapped_or_typed_in_plain_words() {
    let farm = Farm::empty().await;
    let named = [("name", "Tamarack Bend"), ("block_name", "A")];
    let form = farm.get("/start").await;
    let none = farm.send(&form, &named).await;
    assert_eq!(none.status, 422);
    assert!(none.has_id("zone_common-problem"), "{}", none.text());
    let eastern = farm
        .send(&none, &[named[0], named[1], ("zone", "Eastern time")])
        .await;
    let meant = answer(&eastern, "Yes, America/New_York");
    farm.send(&eastern, &[("tap", &meant)])
        .await
        .sent_to("/ripeness/new");
    let mut read = farm.store.read().await.unwrap();
    assert_eq!(
        read.farm().await.unwrap().unwrap().1.zone,
        "America/New_York"
    );
    drop(read);
    farm.close().await;
}

#[tokio::test]
async fn what_is_typed_wins_over_the_zone_tapped() {
    let farm = Farm::empty().await;
    let fields = [
        ("name", "Tamarack Bend"),
        ("block_name", "A"),
        ("zone_common", "America/Chicago"),
        ("zone", "Pacific/Auckland"),
    ];
    farm.fill("/start", &fields).await.sent_to("/ripeness/new");
    let zone = async || {
        let mut read = farm.store.read().await.unwrap();
        let (record, farm) = read.farm().await.unwrap().unwrap();
        (record, farm.zone)
    };
    let (record, found) = zone().await;
    assert_eq!(found, "Pacific/Auckland");
    let correct = format!("/entries/{record}/correct");
    let tapped = [("zone", ""), ("zone_common", "America/Chicago")];
    farm.save(&correct, &tapped).await;
    assert_eq!(zone().await.1, "America/Chicago");
    let page = farm.get(&correct).await;
    assert_eq!(page.typed("zone_common"), ["America/Chicago"]);
    farm.close().await;
}

#[tokio::test]
async fn one_house_keeps_one_farm() {
    let farm = Farm::empty().await;
    let (one, other) = (farm.get("/start").await, farm.get("/start").await);
    let fields = |name| {
        [
            ("name", name),
            ("zone_common", "America/New_York"),
            ("block_name", "A"),
        ]
    };
    let (here, there) = (fields("Tamarack Bend"), fields("Elsewhere"));
    let (first, second) = tokio::join!(farm.send(&one, &here), farm.send(&other, &there));
    let mut answers = [first, second];
    answers.sort_by_key(|page| page.status);
    answers[0].sent_to("/ripeness/new");
    assert_eq!(answers[1].status, 409);
    assert!(answers[1].links().iter().any(|link| link == "/"));
    assert!(
        answers[1].text().contains("There is a farm here already"),
        "{}",
        answers[1].text()
    );
    let mut read = farm.store.read().await.unwrap();
    assert_eq!(read.blocks().await.unwrap().len(), 1);
    drop(read);
    farm.close().await;
}

#[tokio::test]
async fn the_sample_page_says_what_its_groups_hold() {
    let farm = Farm::started().await;
    let blue = [("name", "the blue one"), ("compensated", "yes")];
    farm.save("/instruments/new", &blue).await;
    let page = farm.get("/ripeness/new").await;
    let heads = page.text_of("fieldset legend h2, summary").join("; ");
    assert!(
        heads.contains("Bag 1: three looks at the same juice"),
        "{heads}"
    );
    assert!(
        heads.contains("Time picked; instrument: the blue one"),
        "{heads}"
    );
    let looks = [
        ("brix_1_1", "24.1"),
        ("brix_1_2", "24"),
        ("date", "2027-09-09"),
    ];
    let record = farm.save("/ripeness/new", &looks).await;
    assert!(
        record.text().contains("looks 24.1, 24.0"),
        "{}",
        record.text()
    );
    let block = farm
        .get(&format!("/blocks/{}", farm.block("A").await))
        .await;
    assert!(
        block.text().contains("% vol by 0.57 × °Brix"),
        "{}",
        block.text()
    );
    farm.close().await;
}

#[tokio::test]
async fn a_zone_without_summer_time_is_asked_about() {
    let farm = Farm::empty().await;
    let fields = [
        ("name", "Tamarack Bend"),
        ("block_name", "A"),
        ("zone", "EST"),
    ];
    let asked = farm.fill("/start", &fields).await;
    assert_eq!(asked.status, 422);
    let meant = answer(&asked, "Yes, America/New_York");
    farm.send(&asked, &[("tap", &meant)])
        .await
        .sent_to("/ripeness/new");
    let mut read = farm.store.read().await.unwrap();
    let zone = read.farm().await.unwrap().unwrap().1.zone;
    assert_eq!(zone, "America/New_York");
    drop(read);
    farm.close().await;
}
