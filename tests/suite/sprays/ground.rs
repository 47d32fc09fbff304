//! A spray covers some ground. Not here: what it closes (`board`).

use super::{story_9, with};
use crate::support::farm::Farm;

#[tokio::test]
async fn words_alone_cover_nothing() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    for filler in ["rows", "and", ";", "row , rows"] {
        let fields: Vec<(&str, &str)> = with(&story_9(), "rows", filler)
            .into_iter()
            .filter(|(name, _)| *name != "block")
            .collect();
        let page = farm.enter("/sprays", &fields).await;
        assert_eq!(page.status, 422, "{filler}");
        page.says("Tick the blocks that were sprayed, or type rows.");
    }
    // With a block ticked the same words change nothing.
    farm.enter("/sprays", &with(&story_9(), "rows", "rows"))
        .await
        .is_stored();
}

#[tokio::test]
async fn a_volume_is_said_to_one_decimal() {
    let farm = Farm::at("2027-09-04T11:00:00-04:00").await;
    let page = farm
        .enter("/sprays", &with(&story_9(), "volume", "65.26"))
        .await;
    page.is_stored();
    page.says("Volume sprayed 65.3 gal");
}
