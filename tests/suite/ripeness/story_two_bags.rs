//! Story 1: two bags, three looks each, on Fri 3 Sept 2027 at 07:20.
//! The figures are the story's own, worked by a separate program.

use super::{block_page, sampled, single_bags, wanted};
use crate::support::farm::Farm;

const NOW: &str = "2027-09-03T07:20:00-04:00";

/// A with three single bags, and what is wanted of it.
async fn given(edges: &[(&str, &str)]) -> Farm {
    let farm = Farm::at(NOW).await;
    wanted(&farm, "A", edges).await;
    let days = [
        ("2027-08-20", "18.7"),
        ("2027-08-27", "20.1"),
        ("2027-08-31", "21.0"),
    ];
    single_bags(&farm, "A", &days).await;
    farm
}

const WANTED: [(&str, &str); 2] = [("brix_low", "24.0"), ("ta_high", "11.5")];

const TWO_BAGS: [(&str, &str); 10] = [
    ("time", "07:20"),
    ("brix_1_1", "21.4"),
    ("brix_1_2", "21.6"),
    ("brix_1_3", "21.5"),
    ("brix_2_1", "22.0"),
    ("brix_2_2", "22.2"),
    ("brix_2_3", "22.1"),
    ("ph_1_1", "3.18"),
    ("ta_1", "12.4"),
    ("note", "wasps at the home end"),
];

#[tokio::test]
async fn the_record_shows_each_bag_and_the_day() {
    let farm = given(&WANTED).await;
    let record = sampled(&farm, "A", &TWO_BAGS).await;
    record.is_stored();
    record.says("Stored 07:20.");
    record.says("Sample of A Marquette, Fri 3 Sept 2027");
    let said = |label: &str| record.value_of(label).unwrap_or_default();
    assert!(said("Bag 1").starts_with("21.5 °Brix"), "{}", said("Bag 1"));
    assert!(said("Bag 2").starts_with("22.1 °Brix"), "{}", said("Bag 2"));
    assert_eq!(
        said("Sugar"),
        "21.8 °Brix (two bags, 0.6 apart, about ±1.0)"
    );
    for look in ["21.4", "21.6", "22.0, 22.2, 22.1", "pH 3.18", "TA 12.4 g/L"] {
        record.says(look);
    }
}

const OPENS: &str = "about Thu 16 Sept; could be the 10th, could be the 28th; 14 % (1 in 7) not \
                     reached by 31 Oct";

#[tokio::test]
async fn the_block_is_hanging_and_tells_the_date_of_its_sugar() {
    let farm = given(&WANTED).await;
    sampled(&farm, "A", &TWO_BAGS).await.is_stored();
    let page = block_page(&farm, "A").await;
    page.says("21.8 °Brix on 3 Sept (two bags, 0.6 apart, about ±1.0), rising about 1¼ a week.");
    page.says(&OPENS.replacen('a', "A", 1));
    assert_eq!(page.text_of(".badge"), ["Hanging"]);
    page.says_not("Ready");
}

async fn the_sheet_tells_the_date(farm: &Farm) {
    let sheet = farm.get("/harvest/sheet").await;
    for told in [
        "about Thu 16 Sept",
        "10 Sept to 28 Sept",
        "14 % not by 31 Oct",
    ] {
        sheet.says(told);
    }
}

/// The same where sugar alone is wanted.
#[tokio::test]
async fn block_today_and_sheet_tell_the_date_with_its_span_and_chance() {
    let farm = given(&[("brix_low", "24.0")]).await;
    sampled(&farm, "A", &TWO_BAGS).await.is_stored();
    for page in [block_page(&farm, "A").await, farm.get("/").await] {
        page.says(
            "21.8 °Brix on 3 Sept (two bags, 0.6 apart, about ±1.0), rising about 1¼ a week.",
        );
        page.says(&format!("Reaches 24.0 °Brix {OPENS}."));
        assert_eq!(page.text_of(".badge")[0], "Hanging");
    }
    the_sheet_tells_the_date(&farm).await;
}

/// With acid read twice, the page says what it waits for.
#[tokio::test]
async fn enough_sugar_with_too_much_acid_is_not_ready_and_names_the_acid() {
    let farm = given(&WANTED).await;
    let before = [
        ("date", "2027-09-01"),
        ("brix_1_1", "22.9"),
        ("ta_1", "12.8"),
    ];
    sampled(&farm, "A", &before).await.is_stored();
    let typed = [("brix_1_1", "24.3"), ("ph_1_1", "3.18"), ("ta_1", "12.4")];
    sampled(&farm, "A", &typed).await.is_stored();
    for page in [block_page(&farm, "A").await, farm.get("/").await] {
        page.says("24.3 °Brix on 3 Sept");
        page.says("TA is down to 11.5 g/L");
        page.says_not("Ready");
    }
}

/// With acid wanted too and read once, the date that is known is still told.
#[tokio::test]
async fn an_acid_read_once_does_not_hide_the_date_of_the_sugar() {
    let farm = given(&WANTED).await;
    sampled(&farm, "A", &TWO_BAGS).await.is_stored();
    farm.get("/").await.says(OPENS);
    the_sheet_tells_the_date(&farm).await;
}

#[tokio::test]
async fn an_acid_read_once_is_named_as_what_is_waited_for() {
    let farm = given(&WANTED).await;
    let typed = [("brix_1_1", "24.3"), ("ph_1_1", "3.18"), ("ta_1", "12.4")];
    sampled(&farm, "A", &typed).await.is_stored();
    for page in [block_page(&farm, "A").await, farm.get("/").await] {
        page.says("24.3 °Brix on 3 Sept");
        page.says_not("Ready");
        let said = page.text_of("main p").join(" ");
        assert!(said.contains("TA"), "{said}");
    }
}
