//! Tamarack Bend, typed in through its own forms: its five blocks at any moment, or a farm with
//! something on every page. Not here: the demo that ships with the program, which is larger.

use super::farm::Farm;
use super::page::Page;

/// Name, variety, rows in one line.
const BLOCKS: [(&str, &str, &str); 5] = [
    ("A", "Marquette", "8 rows, 11 panels, 4 vines"),
    ("B", "Frontenac", "6 rows, 11 panels, 4 vines"),
    ("C", "Vidal", "5 rows, 9 panels, 4 vines"),
    ("D", "Traminette", "4 rows, 9 panels, 4 vines"),
    ("E", "Cabernet franc", "3 rows, 9 panels, 4 vines"),
];

/// Sample days of a block: date, two bags, pH, acid.
type Course = &'static [(
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
)];

const COURSES: [(&str, Course); 4] = [
    (
        "A",
        &[
            ("2026-08-28", "19.4", "19.8", "3.15", "13.1"),
            ("2026-09-11", "22.6", "22.9", "3.27", "11.6"),
            ("2027-08-12", "16.8", "17.2", "2.98", "15.9"),
            ("2027-08-19", "19.1", "19.4", "3.08", "14.4"),
            ("2027-08-26", "21.3", "21.0", "3.16", "13.2"),
            ("2027-09-02", "23.0", "23.3", "3.25", "12.1"),
            ("2027-09-09", "24.1", "24.5", "3.31", "11.2"),
        ],
    ),
    (
        "B",
        &[
            ("2027-08-26", "19.6", "19.9", "3.02", "15.2"),
            ("2027-09-02", "21.4", "21.2", "3.10", "13.9"),
            ("2027-09-09", "22.8", "23.1", "3.17", "12.8"),
        ],
    ),
    (
        "D",
        &[
            ("2027-09-01", "18.6", "18.9", "3.05", "10.6"),
            ("2027-09-08", "20.0", "20.2", "3.12", "9.8"),
        ],
    ),
    ("E", &[("2027-09-01", "17.2", "", "", "")]),
];

/// Least sugar, most sugar, most pH, most acid; empty is open.
const TARGETS: [(&str, &str, &str, &str, &str); 5] = [
    ("A", "24.0", "26.0", "3.45", "11.5"),
    ("B", "24.0", "26.0", "", "12.0"),
    ("C", "20.0", "22.0", "", ""),
    ("D", "22.0", "24.0", "3.30", "9.5"),
    ("E", "21.0", "24.0", "", ""),
];

impl Farm {
    /// The five blocks with their rows at a moment of the farm's clock, and nothing else.
    pub async fn at(now: &str) -> Self {
        let farm = Self::started_at("2027-01-02T08:00:00-05:00").await;
        blocks(&farm).await;
        farm.later(now).await
    }
}

/// A farm whose every page has something to show.
pub async fn tamarack_bend() -> Farm {
    let farm = Farm::started().await;
    settings(&farm).await;
    places(&farm).await;
    for (name, low, high, ph, acid) in TARGETS {
        let block = farm.block(name).await;
        let wanted = [
            ("block", block.as_str()),
            ("from", "2027-05-01"),
            ("brix_low", low),
            ("brix_high", high),
            ("ph_high", ph),
            ("ta_high", acid),
        ];
        save_anyway(&farm, "/targets/new", &wanted).await;
    }
    samples(&farm).await;
    weather(&farm).await;
    sprays(&farm).await;
    walks(&farm).await;
    odd_entries(&farm).await;
    farm
}

/// The code of a walk whose card is printed by tests.
pub const WALK: &str = "7HW4";

/// A walk with a bag, and one that is read at each vine.
async fn walks(farm: &Farm) {
    for (block, code, read) in [("B", WALK, "bags"), ("A", "T5RN", "vines")] {
        let block = farm.block(block).await;
        let wishes = [("code", code), ("read", read), ("wanted", "0.7")];
        farm.fill(&format!("/walks/new?block={block}"), &wishes)
            .await
            .sent_to("/walks/");
    }
}

/// Blank cards for berries and for clusters.
pub async fn tally_cards(farm: &Farm) {
    for what in ["berries", "clusters"] {
        let block = farm.block("B").await.to_string();
        let asked = [("what", what), ("block", &*block), ("count", "1")];
        farm.fill("/cards/new", &asked)
            .await
            .sent_to("/cards/print");
    }
}

/// Saves, and says "it is as typed" to whatever is asked once.
pub async fn save_anyway(farm: &Farm, path: &str, changes: &[(&str, &str)]) -> Page {
    let mut answer = farm.fill(path, changes).await;
    for _ in 0..3 {
        if answer.status != 422 {
            break;
        }
        answer = farm.send(&answer, &[]).await;
    }
    assert_eq!(answer.status, 303, "{path} {changes:?}: {}", answer.text());
    farm.get(answer.location()).await
}

async fn settings(farm: &Farm) {
    let house = farm.get("/house").await;
    let links = house.links();
    let correct = links
        .iter()
        .find(|link| link.ends_with("/correct"))
        .expect("a way to change the farm");
    farm.save(
        correct,
        &[
            ("address", "1 Made-up Lane, past the red gate"),
            ("keeper_phone", "555-0101"),
            ("emergency_place", "Valley Clinic (invented)"),
            ("emergency_phone", "555-0111"),
            ("emergency_address", "12 Invented Road"),
            ("poison_line", "555-0199"),
        ],
    )
    .await;
    for (initials, name) in [("KM", "Kim Maple"), ("TB", "Toni Birch")] {
        farm.save("/people/new", &[("initials", initials), ("name", name)])
            .await;
    }
    for (name, compensated, water) in [("blue", "yes", "0"), ("the old one", "no", "0.3")] {
        let fields = [
            ("name", name),
            ("compensated", compensated),
            ("water", water),
            ("zeroed_on", "2027-09-01"),
        ];
        farm.save("/instruments/new", &fields).await;
    }
    farm.save("/assumptions/new", &[]).await;
}

async fn blocks(farm: &Farm) {
    for (name, variety, rows) in BLOCKS {
        if name != "A" {
            farm.save("/blocks/new", &[("name", name), ("variety", variety)])
                .await;
        }
        let block = farm.block(name).await;
        let list = [
            ("block", block.as_str()),
            ("rows", rows),
            ("from", "2020-04-01"),
        ];
        farm.save("/rows/new", &list).await;
    }
}

async fn places(farm: &Farm) {
    blocks(farm).await;
    for (address, change) in [
        ("B2-4-1", "gone"),
        ("B3-9-2", "gone"),
        ("B5-1-1", "gone"),
        ("C4-7-2", "weak"),
        ("E2-5-3", "replanted"),
    ] {
        let fields = [
            ("address", address),
            ("change", change),
            ("date", "2027-06-01"),
        ];
        farm.save("/vines/new", &fields).await;
    }
}

async fn samples(farm: &Farm) {
    for (name, course) in COURSES {
        let block = farm.block(name).await;
        for (date, first, second, ph, acid) in course {
            let fields = [
                ("block", block.as_str()),
                ("date", date),
                ("brix_1_1", first),
                ("brix_2_1", second),
                ("ph_1_1", ph),
                ("ta_1", acid),
                ("taste", "berries still green at the stem"),
                ("rot", "1"),
            ];
            save_anyway(farm, "/ripeness/new", &fields).await;
        }
    }
}

async fn weather(farm: &Farm) {
    for (date, rain) in [("2027-09-03", "0.1"), ("2027-09-09", "0.5")] {
        let fields = [
            ("date", date),
            ("rain", rain),
            ("low", "52"),
            ("high", "77"),
            ("note", "wind from the river"),
        ];
        save_anyway(farm, "/weather/new", &fields).await;
    }
}

/// A spray that still closes a block, one that is over, and one whose end nobody typed.
async fn sprays(farm: &Farm) {
    let sprays: [(&str, &str, &str, &str, &str); 4] = [
        ("A", "2027-09-04", "18:30", "24", "7"),
        ("B", "2027-08-20", "10:15", "12", "14"),
        ("D", "2027-09-08", "", "48", ""),
        ("A", "2026-08-30", "09:00", "24", "7"),
    ];
    for (name, date, ended, entry_hours, harvest_days) in sprays {
        let block = farm.block(name).await;
        let fields = [
            ("block", block.as_str()),
            ("date", date),
            ("started", "08:00"),
            ("ended", ended),
            ("volume", "40"),
            ("applicator", "Kim Maple"),
            ("wind", "2 mph from the river"),
            ("temp", "68"),
            ("label_read", "yes"),
            ("product_1_name", "Tank 1 fungicide"),
            ("product_1_reg", "000-000 (made up)"),
            ("product_1_active", "an invented active ingredient"),
            ("product_1_rate", "3 lb/acre"),
            ("product_1_entry", entry_hours),
            ("product_1_harvest", harvest_days),
        ];
        save_anyway(farm, "/sprays/new", &fields).await;
    }
}

/// One entry of each state a page can show: held, in conflict, taken back, changed.
async fn odd_entries(farm: &Farm) {
    let block = farm.block("E").await;
    let fields = [
        ("block", block.as_str()),
        ("date", "2027-09-08"),
        ("brix_1_1", "215"),
    ];
    let mut asked = farm.fill("/ripeness/new", &fields).await;
    assert_eq!(asked.status, 422, "{}", asked.text());
    asked = farm.send(&asked, &[("keep", "1")]).await;
    asked.sent_to("/entries/");

    let form = farm.get("/weather/new").await;
    let day = ("date", "2027-09-05");
    farm.send(&form, &[day, ("rain", "0.2")])
        .await
        .sent_to("/entries/");
    let twice = farm.send(&form, &[day, ("rain", "0.3")]).await;
    assert!(
        twice.location().ends_with("now=both"),
        "{}",
        twice.location()
    );

    let wrong = farm
        .save("/weather/new", &[("date", "2027-09-06"), ("low", "41")])
        .await;
    let entry = wrong.record();
    farm.save(&format!("{entry}/correct"), &[("low", "44")])
        .await;
    let slip = farm
        .save("/weather/new", &[("date", "2027-09-07"), ("low", "30")])
        .await;
    let entry = slip.record();
    let void = farm
        .post(
            &format!("{entry}/void"),
            &[("reason", "read the wrong dial")],
        )
        .await;
    void.sent_to("/entries/");
}
