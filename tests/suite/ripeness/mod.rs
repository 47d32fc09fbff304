//! Sample days, the questions a typed value raises, and the keeper's stories of samples over HTTP.
//! Not here: forecasts alone (`published`).

mod bags;
mod bench;
mod day;
mod doubt;
mod story_card;
mod story_slips;
mod story_two_bags;

use crate::support::farm::Farm;
use crate::support::page::Page;

pub use day::{bag, date, sample};

/// Opens the sample form from a block's page, types, saves, and opens what that leads to.
async fn sampled(farm: &Farm, block: &str, typed: &[(&str, &str)]) -> Page {
    let id = farm.block(block).await;
    farm.type_in(&format!("/ripeness/new?block={id}"), typed)
        .await
}

/// Days with one bag, read once.
async fn single_bags(farm: &Farm, block: &str, days: &[(&str, &str)]) {
    for (date, brix) in days {
        sampled(farm, block, &[("date", date), ("brix_1_1", brix)])
            .await
            .is_stored();
    }
}

/// What is wanted of a block this season, until 31 Oct.
async fn wanted(farm: &Farm, block: &str, edges: &[(&str, &str)]) {
    let id = farm.block(block).await;
    let mut typed = vec![("from", "2027-08-01"), ("season_end", "2027-10-31")];
    typed.extend(edges);
    farm.type_in(&format!("/targets/new?block={id}"), &typed)
        .await
        .is_stored();
}

/// The page of a block.
async fn block_page(farm: &Farm, name: &str) -> Page {
    let page = farm
        .get(&format!("/blocks/{}", farm.block(name).await))
        .await;
    assert_eq!(page.status, 200, "{}", page.text());
    page
}
