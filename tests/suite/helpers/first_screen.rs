//! The first screen and the sheet: whom to ask, where this is, what is closed.

use super::{FRIDAY, PAGES, SCREEN_AND_SHEET, list, no_faults, spray, tell};
use crate::support::farm::Farm;

/// Holds that the texts stand in this order.
#[track_caller]
fn in_order(words: &str, texts: &[&str]) {
    let mut from = 0;
    for text in texts {
        let at = words[from..].find(text);
        from += at.unwrap_or_else(|| panic!("{text:?} in order in {words}")) + text.len();
    }
}

#[tokio::test]
async fn a_stranger_finds_whom_to_ask_before_anything_else() {
    let farm = Farm::at(FRIDAY).await;
    tell(
        &farm,
        &[
            ("address", "1 Made-up Lane, past the red gate"),
            ("keeper_phone", "555-0101"),
            ("emergency_place", "Valley Clinic (invented)"),
            ("emergency_number", "555-0110"),
            ("who_to_ask", "Kim"),
            ("second_person", "Toni"),
            ("second_phone", "555-0102"),
            ("water", "Tap by the barn"),
            ("toilet", "Green door"),
            ("first_aid", "White box"),
        ],
    )
    .await;
    let today = [
        ("date", "2027-09-10"),
        ("to_do", "Nets in A\nWater the young vines"),
        ("not_to_touch", "The fence charger"),
    ];
    farm.save("/helpers/day/new", &today).await;
    let screen = farm.get("/helpers").await;
    in_order(
        &screen.text_of("main").join(" "),
        &[
            "Not sure? Don't. Ask.",
            "Kim : 555-0101",
            "or Toni : 555-0102",
            "Dial 555-0110",
            "This place: 1 Made-up Lane, past the red gate",
            "Valley Clinic (invented)",
            "Closed blocks",
            "The label is the law.",
            "Today, Fri 10 Sept 2027",
            "Nets in A",
            "Water the young vines",
            "The fence charger",
            "B6-7-2 is row B6, panel 7, vine 2, between the posts tagged 5 and 10.",
            "Stand at the home end",
            "Tap by the barn",
            "Green door",
            "White box",
            "Two hands, two people if heavy.",
            "Do not handle; call the keeper. Keep people and dogs away.",
            "licensed rehabilitator",
        ],
    );
    let links = screen.links();
    for link in [
        "tel:5550110",
        "tel:5550101",
        "tel:5550102",
        "/walks",
        "/helpers/map",
    ] {
        assert!(links.iter().any(|one| one == link), "{link} in {links:?}");
    }
    let sheet = farm.get("/helpers/sheet").await;
    for text in [
        "Not sure? Don't. Ask. Helpers' sheet · Tamarack Bend printed",
        "To do on Fri 10 Sept 2027",
        "Kim 555-0101 or Toni 555-0102",
        "In an emergency dial 555-0110",
        "This place: 1 Made-up Lane, past the red gate",
        "Water: Tap by the barn",
        "Nets in A",
        "The fence charger",
        "B6-7-2 is row B6",
        "Two hands",
        "Do not handle; call the keeper.",
        "from data up to Fri 10 Sept",
        "Notes",
    ] {
        sheet.says(text);
    }
    for page in [&screen, &sheet] {
        for never in ["null", "NaN", "None", "safe"] {
            page.says_not(never);
        }
    }
    no_faults(&farm).await;
}

#[tokio::test]
async fn what_nobody_wrote_down_is_said_on_the_screen_and_dotted_on_paper() {
    let farm = Farm::started_at(FRIDAY).await;
    let screen = farm.get("/helpers").await;
    for text in [
        "The number to dial is not written down yet.",
        "the keeper : not written down yet",
        "Drinking water not written down yet",
        "Nothing is written down for today: ask the keeper.",
        "A: Nobody has written down a spray yet; ask before going in.",
        "C4-7-2 is row C4, panel 7, vine 2.",
    ] {
        screen.says(text);
    }
    let sheet = farm.get("/helpers/sheet").await;
    sheet.says("Nothing is written down for today: ask the keeper.");
    sheet.says_not("not written down yet");
    let dots = sheet.text_of("main .dots").len();
    assert_eq!(dots, 14, "twelve of the farm's and two of the day's");
    farm.get("/helpers/map")
        .await
        .says("No rows are set up yet.");
}

#[tokio::test]
async fn before_the_first_start_the_pages_lead_to_it() {
    let farm = Farm::empty().await;
    for path in PAGES {
        farm.get(path).await.sent_to("/start");
    }
}

#[tokio::test]
async fn it_is_found_from_today_the_house_and_the_sheets() {
    let farm = Farm::started_at(FRIDAY).await;
    for (from, to) in [
        ("/", "/helpers"),
        ("/house", "/helpers"),
        ("/sheets", "/helpers/sheet"),
    ] {
        let links = farm.get(from).await.links();
        assert!(links.iter().any(|link| link == to), "{from}: {links:?}");
    }
}

#[tokio::test]
async fn a_closed_block_is_closed_on_the_screen_the_sheet_and_the_map() {
    let farm = Farm::at(FRIDAY).await;
    spray(&farm, "A", "2027-08-14", "4", "0").await;
    spray(&farm, "C", "2027-09-09", "48", "14").await;
    let board = farm.get("/sprays/board").await;
    let said = "C — entry closed until Sat 11 Sept 10:40; picking closed until Thu 23 Sept 10:40";
    board.says(said);
    for path in PAGES {
        let page = farm.get(path).await;
        page.says(said);
        page.says("A: Nobody has written down a spray since Sat 14 Aug; ask before going in.");
        page.says("B, D, E: Nobody has written down a spray yet; ask before going in.");
        page.says("If in doubt, stay out.");
    }
    // The day after, entry is over and picking is not.
    let farm = farm.later("2027-09-11T11:00:00-04:00").await;
    for path in PAGES {
        let page = farm.get(path).await;
        page.says("C — picking closed until Thu 23 Sept 10:40; for entry no hold written down");
    }
    let farm = farm.later("2027-09-23T11:00:00-04:00").await;
    for path in PAGES {
        let page = farm.get(path).await;
        page.says_not("closed until");
        page.says("C: Nobody has written down a spray since Thu 9 Sept; ask before going in.");
    }
}

#[tokio::test]
async fn while_a_spray_waits_to_be_mended_all_is_closed() {
    let farm = Farm::at(FRIDAY).await;
    let fields = [
        ("block", "C"),
        ("date", "2027-09-09"),
        ("ended", "10:40"),
        ("product_1_name", "First"),
        ("product_1_entry", "as on label"),
        ("product_1_harvest", "14"),
    ];
    let asked = farm.enter("/sprays", &fields).await;
    assert_eq!(asked.status, 422);
    farm.tap(&asked, "Keep it as typed, I'll mend it later")
        .await
        .says("Kept as typed");
    for path in PAGES {
        let page = farm.get(path).await;
        page.says("Treat every block as closed");
        page.says_not("Nobody has written down");
    }
    let drawn = farm.get("/helpers/map").await;
    assert_eq!(drawn.text_of(".map .badge"), ["CLOSED"; 5]);
}

#[tokio::test]
async fn whoever_is_asked_is_named_where_nothing_is_written_down() {
    let farm = Farm::at(FRIDAY).await;
    tell(&farm, &[("who_to_ask", "Kim")]).await;
    for path in SCREEN_AND_SHEET {
        let page = farm.get(path).await;
        page.says("Nothing is written down for today: ask Kim.");
    }
    list(&farm, "2027-09-10", "Nets").await;
    for path in SCREEN_AND_SHEET {
        farm.get(path).await.says_not("Nothing is written down");
    }
}

/// Whoever lets a helper's phone in is told what that phone's first screen still lacks.
#[tokio::test]
async fn what_is_not_written_down_yet_is_told_where_a_phone_is_let_in() {
    let farm = Farm::at(FRIDAY).await;
    farm.guard().await;
    let code_page = async |role: &str| {
        let made = farm.post("/phones/new", &[("role", role)]).await;
        farm.get(made.sent_to("/phones/codes/").location()).await
    };
    let page = code_page("helper").await;
    page.says("Its first screen does not tell yet: the number to dial");
    page.says("Write it down");
    code_page("keeper").await.says_not("does not tell yet");
    let told = [
        ("address", "1 Made-up Lane"),
        ("keeper_phone", "555-0101"),
        ("poison_line", "555-0111"),
        ("emergency_number", "555-0110"),
        ("emergency_place", "Valley Clinic (invented)"),
        ("water", "Tap by the barn"),
        ("toilet", "Green door"),
    ];
    tell(&farm, &told).await;
    let page = code_page("helper").await;
    page.says("Its first screen does not tell yet: first aid.");
    farm.close().await;
}
