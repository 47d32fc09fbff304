//! Sample days, the questions a typed value raises, and the keeper's stories of samples over HTTP.
//! Not here: forecasts alone (`published`).

mod bags;
mod bench;
mod day;
mod doubt;
mod how;
mod plan;
mod story_card;
mod story_slips;
mod story_two_bags;
mod story_two_phones;
pub mod story_walk;
mod walk_drawn;
mod walk_kept;
mod walk_running;

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

/// What a record shows as typed in a field of its first bag, by the field's name.
fn typed_in(record: &Page, name: &str) -> Option<String> {
    let label = match name {
        "brix_1_1" => "°Brix 1",
        "brix_1_2" => "°Brix 2",
        "ph_1_1" => "pH 1",
        "ta_1" => "TA",
        "bag_1" => "Bag number",
        "temp_1" => "Juice temperature",
        "ta_juice_1" => "Juice titrated",
        "ta_base_1" => "Base, normality",
        "ta_used_1" => "Base used",
        "ta_end_1" => "Titrated to",
        name => name,
    };
    // With a second bag on the page each label says which.
    let of_bag_1 = record.value_of(&format!("Bag 1: {label}"));
    let typed = of_bag_1.or_else(|| record.value_of(label))?;
    let (typed, _agreed) = typed.split_once(", read as ").unwrap_or((&typed, ""));
    Some(typed.to_owned())
}

/// The page of a block.
async fn block_page(farm: &Farm, name: &str) -> Page {
    let page = farm
        .get(&format!("/blocks/{}", farm.block(name).await))
        .await;
    assert_eq!(page.status, 200, "{}", page.text());
    page
}
