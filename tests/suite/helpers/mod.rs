//! What somebody sees who is here for the first time: the screen, the map, the sheet, and the list
//! of the day behind them, over HTTP. Not here: paper itself (`paper`), small screens (`browser`).

mod day;
mod dial;
mod farm_before;
mod first_screen;
mod map;

use crate::support::farm::Farm;
use crate::support::page::Page;

/// Fri 10 Sept 2027 at Tamarack Bend.
const FRIDAY: &str = "2027-09-10T07:00:00-04:00";

/// The pages that tell helpers the same.
const PAGES: [&str; 3] = ["/helpers", "/helpers/sheet", "/helpers/map"];
const SCREEN_AND_SHEET: [&str; 2] = ["/helpers", "/helpers/sheet"];

/// Changes what the farm tells helpers.
async fn tell(farm: &Farm, fields: &[(&str, &str)]) -> Page {
    let house = farm.get("/house").await;
    let links = house.links();
    let correct = links.iter().find(|link| link.ends_with("/correct"));
    farm.save(correct.expect("a way to change the farm"), fields)
        .await
}

/// The list of a day, saved on a page of its own.
async fn list(farm: &Farm, date: &str, to_do: &str) -> Page {
    let fields = [("date", date), ("to_do", to_do)];
    farm.save("/helpers/day/new", &fields).await
}

async fn spray(farm: &Farm, block: &str, date: &str, hours: &str, days: &str) {
    let fields = [
        ("block", block),
        ("date", date),
        ("ended", "10:40"),
        ("product_1_name", "First"),
        ("product_1_entry", hours),
        ("product_1_harvest", days),
    ];
    farm.enter("/sprays", &fields).await.is_stored();
}

async fn no_faults(farm: &Farm) {
    let found = farm.store.check().await.expect("a replay");
    assert_eq!(found.faults, Vec::<String>::new());
}
