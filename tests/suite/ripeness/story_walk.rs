//! Stories 3 and 4: a walk card for Frontenac, and a block too small for the rule. Over HTTP, with
//! the stories' own numbers. Not here: what is read on a walk (`walk_kept`).

use crate::support::farm::Farm;
use crate::support::page::Page;

const MORNING: &str = "2027-09-10T07:10:00-04:00";

/// Draws up a walk and opens its page.
pub async fn walk_through(farm: &Farm, block: &str, wishes: &[(&str, &str)]) -> Page {
    let id = farm.block(block).await;
    let made = farm.fill(&format!("/walks/new?block={id}"), wishes).await;
    made.sent_to("/walks/");
    farm.get(made.location()).await
}

pub const A_BAG: [(&str, &str); 4] = [
    ("read", "bags"),
    ("wanted", ""),
    ("stops", "25"),
    ("berries", "4"),
];

pub async fn write_gone(farm: &Farm, addresses: &[&str]) {
    for address in addresses {
        let gone = [
            ("address", *address),
            ("change", "gone"),
            ("date", "2027-05-08"),
        ];
        farm.save("/vines/new", &gone).await;
    }
}

/// The addresses of the stops, with the spares behind them.
pub fn stops(page: &Page) -> Vec<String> {
    page.attributes(".stop", "data-at")
}

fn rows_of(addresses: &[String]) -> Vec<&str> {
    addresses
        .iter()
        .filter_map(|at| at.split('-').next())
        .collect()
}

#[tokio::test]
async fn a_walk_card_for_frontenac() {
    let farm = Farm::at(MORNING).await;
    let gone = ["B2-4-1", "B3-9-2", "B5-1-1", "B5-6-3", "B6-2-2"];
    write_gone(&farm, &gone).await;
    let walk = walk_through(&farm, "B", &A_BAG).await;
    walk.says(
        "Edge rows B1 and B6 are left out, and the first two vines at both ends of the others: \
         four rows, 160 positions, 3 gone or not bearing, 157 vines to draw from.",
    );
    let addresses = stops(&walk);
    assert_eq!(addresses.len(), 28, "25 and three spares");
    let mut distinct = addresses.clone();
    distinct.sort();
    distinct.dedup();
    assert_eq!(distinct.len(), 28);
    assert!(gone.iter().all(|at| !addresses.iter().any(|one| one == at)));
    assert!(rows_of(&addresses[..25]).is_sorted());

    let card = farm.get(&format!("{}/card", walk.path)).await;
    card.says("4 berries from each vine, two from each side: 100 in all, 50 from each side.")
        .says("Nobody has written down a spray yet; ask before going in.");
    let code = walk.path.trim_start_matches("/walks/");
    assert_eq!(code.len(), 4);
    card.says(&format!("B Frontenac, walk {code}"));
    let row = card.text_of(".stops-card tbody tr");
    let on_card = |at: &String| {
        let place = at.replace('-', " ");
        row.iter().any(|line| line.contains(&place))
    };
    assert_eq!(row.len(), 28);
    assert!(addresses.iter().all(on_card), "{addresses:?} on {row:?}");
    // Written as a pencil would have it, and printed again on another day: the same vines, also
    // when one of them has gone since.
    write_gone(&farm, &[&addresses[0]]).await;
    let again = farm.get(&format!("/walks/{}", code.to_lowercase())).await;
    assert_eq!(stops(&again), addresses);
    again.says("Gone since 8 May: take a spare.");
    let farm = farm.later("2027-09-12T07:00:00-04:00").await;
    assert_eq!(stops(&farm.get(&walk.path).await), addresses);
    farm.close().await;
}

#[tokio::test]
async fn a_block_too_small_for_the_rule() {
    let farm = Farm::at(MORNING).await;
    let killed = [
        "E2-2-1", "E2-3-3", "E2-5-2", "E2-6-4", "E2-8-1", "E1-2-1", "E1-4-4", "E1-8-2", "E3-3-1",
        "E3-5-1", "E3-6-2", "E3-8-3", "E1-1-1", "E3-9-4",
    ];
    write_gone(&farm, &killed).await;
    let says = "Leaving out edge rows leaves only 27 vines. Using all three rows instead, still \
                skipping the first two vines at each end: 84 vines.";
    let id = farm.block("E").await;
    farm.get(&format!("/walks/new?block={id}")).await.says(says);
    let walk = walk_through(&farm, "E", &A_BAG).await;
    walk.says(says).says("Edge rows included.");
    let card = farm.get(&format!("{}/card", walk.path)).await;
    card.says(says);
    // The sheet carries it later.
    farm.send(&walk, &[("brix_1_1", "17.9")])
        .await
        .sent_to("/entries/");
    let sheet = farm.get("/harvest/sheet").await;
    sheet.says("edge rows included");
    let block = farm.get(&format!("/blocks/{id}")).await;
    block.says("edge rows included");
    farm.close().await;
}

#[tokio::test]
async fn a_closed_block_gives_no_stops() {
    // Story 9: C and D are sprayed on Sat 4 Sept; on Sunday D has no walk.
    let farm = Farm::at("2027-09-04T07:00:00-04:00").await;
    let walk = walk_through(&farm, "D", &A_BAG).await;
    let code = walk.path.clone();
    assert_eq!(stops(&walk).len(), 28);
    spray(&farm, "2027-09-04", "09:10", "10:40", "48").await;
    let farm = farm.later("2027-09-05T08:00:00-04:00").await;
    for path in [code.clone(), format!("{code}/card")] {
        let page = farm.get(&path).await;
        page.says("CLOSED until Mon 6 Sept 10:40.");
        assert_eq!(page.attributes(".stop, .stops-card tr", "class"), [""; 0]);
        assert_eq!(page.text_of(".stops-card"), [""; 0], "{path}");
    }
    let state = farm.get(&format!("{code}/state")).await;
    assert!(state.body.contains("\"is_closed\":true"), "{}", state.body);
    let farm = farm.later("2027-09-06T11:00:00-04:00").await;
    let open = farm.get(&code).await;
    assert_eq!(stops(&open), stops(&walk));
    open.says("OPEN as far as the house knew at 11:00: ask whether anyone has sprayed since.");
    farm.close().await;
}

pub async fn spray(farm: &Farm, date: &str, start: &str, end: &str, hours: &str) {
    let id = farm.block("D").await;
    let fields = [
        ("block", id.as_str()),
        ("date", date),
        ("started", start),
        ("ended", end),
        ("product_1_name", "Tank 1 fungicide"),
        ("product_1_entry", hours),
        ("product_1_harvest", "14"),
        ("label_read", "yes"),
    ];
    crate::support::seed::save_anyway(farm, "/sprays/new", &fields).await;
}

#[tokio::test]
async fn what_is_wrong_with_the_wishes_is_said_on_their_page() {
    let farm = Farm::at(MORNING).await;
    let id = farm.block("A").await;
    let path = format!("/walks/new?block={id}");
    let asked = farm
        .fill(&path, &[("wanted", "abc"), ("stops", "700")])
        .await;
    assert_eq!(asked.status, 422);
    assert_eq!(asked.attributes("#wanted", "value"), ["abc"]);
    assert_eq!(asked.attributes("#stops", "value"), ["700"]);
    let asked = farm.fill(&path, &[("wanted", "")]).await;
    asked.asks("Type the ± that is wanted, or the number of stops.");
    // The number of stops follows from the wanted ±, and says so.
    let walk = walk_through(&farm, "A", &[("wanted", "9")]).await;
    walk.says("fewer say too little of their own spread");
    assert_eq!(stops(&walk).len(), 8);
    // The same page sent twice makes one walk.
    let page = farm.get(&path).await;
    let first = farm.send(&page, &[("stops", "12")]).await;
    let second = farm.send(&page, &[("stops", "12")]).await;
    assert_eq!(first.location(), second.location());
    farm.get("/walks").await.says("Drawn up");
    farm.get("/walks/ZZZZ/card").await;
    assert_eq!(farm.get("/walks/K7U2").await.status, 404);
    farm.close().await;
}
