//! What to do next, over HTTP: nobody is sent into rows that are closed, and the chance that all
//! is inside on one day. Not here: the state word (`readiness`).

use crate::support::farm::Farm;
use crate::support::page::Page;

async fn with_samples(days: &[(&str, &str)]) -> (Farm, String) {
    let farm = Farm::started_at("2027-09-10T07:00:00-04:00").await;
    let block = farm.block("A").await;
    let wanted = [
        ("block", block.as_str()),
        ("from", "2027-08-01"),
        ("brix_low", "24"),
        ("ta_high", "11.5"),
        ("season_end", "2027-10-31"),
    ];
    farm.type_in("/targets/new", &wanted).await.is_stored();
    for (date, brix) in days {
        let typed = [
            ("block", block.as_str()),
            ("date", date),
            ("brix_1_1", brix),
            ("no_instrument", "yes"),
        ];
        farm.type_in("/ripeness/new", &typed).await.is_stored();
    }
    (farm, format!("/blocks/{block}"))
}

const RISING: [(&str, &str); 3] = [
    ("2027-08-27", "19.0"),
    ("2027-09-03", "20.0"),
    ("2027-09-08", "20.8"),
];

async fn sprayed(farm: &Farm, hours: &str) -> Page {
    let block = farm.block("A").await;
    let mut typed = vec![
        ("block", block.as_str()),
        ("date", "2027-09-10"),
        ("started", "05:10"),
        ("ended", "06:00"),
        ("applicator", "keeper"),
        ("product_1_name", "First"),
        ("product_1_harvest", "14"),
        ("label_read", "yes"),
    ];
    if !hours.is_empty() {
        typed.push(("product_1_entry", hours));
    }
    let page = farm.type_in("/sprays/new", &typed).await;
    match page.status {
        422 => farm.save_again(&page).await,
        _ => page,
    }
}

/// Rain enough to put a sample in doubt, early on the 10th.
async fn rained(farm: &Farm) {
    let rain = [("date", "2027-09-10"), ("time", "06:00"), ("rain", "1.2")];
    farm.type_in("/weather/new", &rain).await.is_stored();
}

/// A spray kept as typed, of which nobody knows where it was.
async fn a_spray_waits(farm: &Farm) {
    let typed = [("block", "no such block"), ("date", "2027-09-10")];
    let asked = farm.fill("/sprays/new", &typed).await;
    farm.send(&asked, &[("keep", "1")])
        .await
        .sent_to("/entries/");
}

#[tokio::test]
async fn a_sample_that_is_due_waits_for_entry() {
    let (farm, block) = with_samples(&RISING).await;
    farm.get(&block).await.says("Sample again by Sun 12 Sept");
    sprayed(&farm, "24").await;
    for path in [block.as_str(), "/"] {
        let page = farm.get(path).await;
        page.says("Sample again by Sun 12 Sept, not before entry opens Sat 11 Sept 06:00");
    }
    farm.close().await;
}

#[tokio::test]
async fn a_due_day_inside_the_closed_days_gives_way() {
    let (farm, block) = with_samples(&RISING).await;
    sprayed(&farm, "240").await;
    for path in [block.as_str(), "/", "/harvest/sheet"] {
        let page = farm.get(path).await;
        page.says("Sample again once entry opens, Mon 20 Sept 06:00");
        page.says_not("Sample again by");
    }
    farm.close().await;
}

#[tokio::test]
async fn a_blank_label_and_a_spray_to_mend_come_first() {
    let (farm, block) = with_samples(&RISING).await;
    sprayed(&farm, "").await;
    let page = farm.get(&block).await;
    page.says("Type the label's entry hours first; then sample again by Sun 12 Sept");
    a_spray_waits(&farm).await;
    let page = farm.get(&block).await;
    page.says("Mend the spray that was kept as typed first; then sample again by Sun 12 Sept");
    farm.close().await;
}

#[tokio::test]
async fn the_last_of_the_unmeasured_values_is_asked_for() {
    let (farm, block) = with_samples(&[("2027-09-03", "23.4"), ("2027-09-10", "24.4")]).await;
    let page = farm.get(&block).await;
    page.says("Nearing").says("Measure TA before picking");
    // Without acid there is no chance of all being inside to be told.
    page.says_not("on the same day");
    farm.close().await;
}

#[tokio::test]
async fn once_the_season_is_over_nothing_more_is_to_be_sampled() {
    let (farm, block) = with_samples(&RISING).await;
    let farm = farm.later("2027-10-31T07:00:00-04:00").await;
    farm.get(&block).await.says("Sample again today");
    let farm = farm.later("2027-11-01T07:00:00-04:00").await;
    let page = farm.get(&block).await;
    page.says("The season ended 31 Oct")
        .says_not("Sample again");
    page.says_not("more bags");
    farm.close().await;
}

#[tokio::test]
async fn the_chance_of_all_inside_says_its_day_and_its_bound() {
    let (farm, block) = with_samples(&[]).await;
    let id = farm.block("A").await;
    for (date, brix, acid) in [
        ("2027-08-27", "20.1", "14.0"),
        ("2027-09-08", "23.0", "11.9"),
    ] {
        let typed = [
            ("block", id.as_str()),
            ("date", date),
            ("brix_1_1", brix),
            ("ta_1", acid),
            ("no_instrument", "yes"),
        ];
        farm.type_in("/ripeness/new", &typed).await.is_stored();
    }
    let text = farm.get(&block).await.text();
    let (_, said) = text
        .split_once("All inside on the same day: about ")
        .unwrap_or_else(|| panic!("{text}"));
    let said = &said[..said.find(" %).").expect("its bound")];
    let (about, rest) = said.split_once(" % (at most ").expect("a bound today");
    let (at_most, best) = rest.split_once(" %) today; likeliest ").expect("a day");
    let (_, best) = best.split_once(", about ").expect("a chance of it");
    let (best_about, best_at_most) = best.split_once(" % (at most ").expect("a bound then");
    let chance = |text: &str| text.replace("under ", "").parse::<f64>().expect("a chance");
    assert!(chance(about) <= chance(at_most), "{said}");
    assert!(chance(about) <= chance(best_about), "{said}");
    assert!(chance(best_about) <= chance(best_at_most), "{said}");
    farm.close().await;
}

/// A block inside its window, sampled yesterday at 07:15.
async fn ready() -> (Farm, String) {
    let (farm, block) = with_samples(&[]).await;
    let id = farm.block("A").await;
    for (date, brix) in [("2027-09-02", "23.2"), ("2027-09-09", "24.4")] {
        let typed = [
            ("block", id.as_str()),
            ("date", date),
            ("time", "07:15"),
            ("brix_1_1", brix),
            ("ta_1", "11.0"),
            ("no_instrument", "yes"),
        ];
        farm.type_in("/ripeness/new", &typed).await.is_stored();
    }
    (farm, block)
}

#[tokio::test]
async fn rain_puts_a_ready_block_in_doubt_too() {
    let (farm, block) = ready().await;
    farm.get(&block)
        .await
        .says("Ready")
        .says_not("Sample again");
    rained(&farm).await;
    for path in [block.as_str(), "/"] {
        let page = farm.get(path).await;
        page.says("Ready").says("1.2 in. of rain since.");
        page.says("Sample again from Sun 12 Sept, 2 to 3 days after the rain");
    }
    let page = farm.get(&block).await;
    let struck = page.text_of("main p s").join(" ");
    assert!(struck.contains("All inside on the same day"), "{struck}");
    // The day is counted from the rain: it comes.
    let farm = farm.later("2027-09-12T07:00:00-04:00").await;
    farm.get(&block).await.says("Sample again today");
    farm.close().await;
}

#[tokio::test]
async fn a_spray_that_waits_to_be_mended_wins_over_hours_that_are_known() {
    let (farm, block) = ready().await;
    sprayed(&farm, "12").await;
    farm.get(&block)
        .await
        .says("Ready, but HELD until Fri 24 Sept 06:00");
    a_spray_waits(&farm).await;
    let page = farm.get(&block).await;
    page.says("Ready, but HELD, a spray waits to be mended");
    page.says("Entry closed until the spray kept as typed is mended");
    page.says_not("Fri 24 Sept 06:00")
        .says_not("no spray written down");
    page.says("Mend the spray that was kept as typed first; then taste, look and decide");
    let board = farm.get("/sprays/board").await;
    let closed = board.text_of(".closed-now .key");
    assert_eq!(
        closed,
        ["A — closed until the spray kept as typed is mended"]
    );
    board
        .says("Fri 24 Sept 06:00 still closed")
        .says_not("Not on this board");
    for path in ["/harvest/sheet", "/sprays"] {
        farm.get(path).await.says_not("no spray written down");
    }
    let plan = farm.get("/ripeness/plan").await;
    plan.says("entry closed until the spray kept as typed is mended");
    farm.close().await;
}

#[tokio::test]
async fn on_the_board_a_spray_to_mend_closes_every_block_in_large_letters() {
    let (farm, _) = with_samples(&[]).await;
    farm.save("/blocks/new", &[("name", "Q")]).await;
    let before = farm.get("/sprays/board").await;
    assert!(!before.text_of(".closed-now").join(" ").contains('Q'));
    a_spray_waits(&farm).await;
    let board = farm.get("/sprays/board").await;
    let closed = board.text_of(".closed-now .key");
    assert_eq!(
        closed,
        ["A, Q — closed until the spray kept as typed is mended"]
    );
    farm.close().await;
}

#[tokio::test]
async fn a_reading_that_looks_off_makes_nothing_ready() {
    let (farm, block) = with_samples(&[]).await;
    let id = farm.block("A").await;
    let readings = [
        ("2027-08-20", "22.6", "18.0"),
        ("2027-08-27", "23.4", "16.9"),
        ("2027-09-03", "24.1", "15.9"),
        ("2027-09-10", "24.8", "0.96"),
    ];
    for (date, brix, acid) in readings {
        let typed = [
            ("block", id.as_str()),
            ("date", date),
            ("brix_1_1", brix),
            ("ta_1", acid),
            ("no_instrument", "yes"),
        ];
        let page = farm.type_in("/ripeness/new", &typed).await;
        let page = match page.status {
            422 => farm.save_again(&page).await,
            _ => page,
        };
        page.is_stored();
        if acid == "0.96" {
            page.says("it stands as typed: 0.96 % = 9.6 g/L tartaric?");
        }
    }
    let page = farm.get(&block).await;
    page.says("The TA of 10 Sept looks off").says_not("Ready");
    page.says("Nearing").says("Sample again today");
    page.says("°Brix inside; the last reading of TA looks off");
    farm.close().await;
}

#[tokio::test]
async fn after_rain_the_later_of_settled_vines_and_open_entry_counts() {
    let (farm, block) = with_samples(&RISING).await;
    rained(&farm).await;
    sprayed(&farm, "24").await;
    let page = farm.get(&block).await;
    page.says("Sample again from Sun 12 Sept, 2 to 3 days after the rain, not before entry opens Sat 11 Sept 06:00");
    // Dew starts no new wait.
    let farm = farm.later("2027-09-12T07:00:00-04:00").await;
    let dew = [("date", "2027-09-12"), ("rain", "0.01")];
    let asked = farm.type_in("/weather/new", &dew).await;
    farm.save_again(&asked).await.is_stored();
    farm.get(&block).await.says("Sample again today");
    farm.close().await;
}
