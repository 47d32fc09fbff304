//! What the readiness sheet and a block's page say of a block. Not here: paper (`paper`).

use crate::support::farm::Farm;
use crate::support::page::Page;

/// A block in its window for sugar, whose wanted pH was never measured.
async fn sugar_only() -> Farm {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let wanted = [
        ("block", "D"),
        ("from", "2027-08-01"),
        ("brix_low", "20"),
        ("ph_high", "3.45"),
        ("season_end", "2027-10-31"),
    ];
    farm.enter("/targets", &wanted).await.is_stored();
    let sample = [
        ("block", "D"),
        ("date", "2027-09-03"),
        ("brix_1_1", "22.4"),
        ("rain", "0.5"),
    ];
    farm.enter("/ripeness", &sample).await.is_stored();
    farm
}

/// What the sheet says of block D in one of its places.
fn of_d(sheet: &Page, wanted: &str) -> String {
    let blocks = sheet.text_of("tbody.card > tr.first > th");
    let place = blocks.iter().position(|block| block.starts_with("D "));
    let place = place.unwrap_or_else(|| panic!("no block D in {blocks:?}"));
    sheet.text_of(wanted)[place].clone()
}

const FIGURES: &str = "tbody.card > .second-line p:first-child";
const PENCIL: &str = "tbody.card .pencil";
const OPENS: &str = "tbody.card > .first > [data-name='Window opens']";

#[tokio::test]
async fn rain_that_nobody_wrote_down_is_dots_and_a_typed_zero_is_none() {
    let farm = sugar_only().await;
    let sheet = farm.get("/harvest/sheet").await;
    let figures = of_d(&sheet, FIGURES);
    assert!(!figures.contains("rain since"), "{figures}");
    assert!(of_d(&sheet, PENCIL).contains("rain since, in."));

    let frost = [("date", "2027-09-03"), ("low", "40")];
    farm.enter("/weather", &frost).await.is_stored();
    let sheet = farm.get("/harvest/sheet").await;
    assert!(of_d(&sheet, PENCIL).contains("rain since, in."));

    let none = [("date", "2027-09-04"), ("rain", "0")];
    farm.enter("/weather", &none).await.is_stored();
    let sheet = farm.get("/harvest/sheet").await;
    let figures = of_d(&sheet, FIGURES);
    assert!(figures.contains("rain since 0 in."), "{figures}");
    assert!(!of_d(&sheet, PENCIL).contains("rain"));
}

#[tokio::test]
async fn a_window_is_not_open_for_what_was_never_measured() {
    let farm = sugar_only().await;
    let sheet = farm.get("/harvest/sheet").await;
    let opens = of_d(&sheet, OPENS);
    assert_eq!(opens, "°Brix open; pH not measured");
    let said = of_d(&sheet, ".said strong");
    assert!(said.starts_with("In its window"), "{said}");
}

#[tokio::test]
async fn every_block_of_the_demo_has_its_plain_sentence() {
    let farm = Farm::demo().await;
    let sheet = farm.get("/harvest/sheet").await;
    let plain = sheet.text_of(".second-line .said > strong:first-child");
    assert_eq!(plain.len(), 5, "{plain:?}");
    assert!(plain.iter().all(|said| said.ends_with('.')), "{plain:?}");
    assert_eq!(plain[0], "In its window; likely to leave it about 19 Sept.");
    assert!(
        plain[3].starts_with("Reaches 22.0 °Brix about Wed 22 Sept"),
        "{plain:?}"
    );
    let struck = sheet.text_of(".second-line .said s");
    assert_eq!(struck, [&*plain[2], &*plain[4]], "rain fell since C and E");
    let said = sheet.text_of(".second-line .said");
    assert!(
        said[3].ends_with("Sample again by Mon 13 Sept."),
        "{said:?}"
    );
}

#[tokio::test]
async fn a_block_without_any_sample_says_so() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let sheet = farm.get("/harvest/sheet").await;
    assert_eq!(of_d(&sheet, ".said strong"), "No sample this season.");
    assert!(of_d(&sheet, ".said").ends_with("Take a first sample."));
}

#[tokio::test]
async fn a_blocks_page_says_until_when_it_is_closed() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let spray = [
        ("block", "D"),
        ("date", "2027-09-04"),
        ("ended", "10:40"),
        ("product_1_name", "First"),
        ("product_1_entry", "48"),
        ("product_1_harvest", "14"),
    ];
    farm.enter("/sprays", &spray).await.is_stored();
    let id = farm.block("D").await;
    let page = farm.get(&format!("/blocks/{id}")).await;
    let value = |label| page.value_of(label).expect("a line of the page");
    assert_eq!(value("Entry"), "closed until Mon 6 Sept 10:40");
    assert_eq!(value("Picking"), "closed until Sat 18 Sept 10:40");
}
