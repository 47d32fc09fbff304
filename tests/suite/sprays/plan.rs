//! Story 10: counting back from a wished picking, and on from a real end.

use super::one_product;
use crate::support::farm::Farm;

const WISH: &str = "/sprays/finish?start=2027-09-14&at=07:30&days=66";

#[tokio::test]
async fn story_10_counting_back() {
    let farm = Farm::at("2027-07-01T08:00:00-04:00").await;
    let page = farm.get(WISH).await;
    assert_eq!(page.status, 200);
    page.says("finish by Sat 10 July 07:30 — in practice Fri 9 July, by the days alone; the label's entry hours may hold longer");
    page.says("The label's entry hours are not typed");
    let blank = format!("{WISH}&ended_date=2027-07-14&ended_at=11:00");
    let page = farm.get(&blank).await;
    page.says("no picking before Sat 18 Sept 11:00; the first morning pick is Sun 19 Sept, five days after you hoped, by the days alone; the label's entry hours may hold longer");

    let real = format!("{WISH}&hours=12&ended_date=2027-07-14&ended_at=11:00");
    let page = farm.get(&real).await;
    page.says("no picking before Sat 18 Sept 11:00; the first morning pick is Sun 19 Sept, five days after you hoped");
    page.says_not("not typed");

    let farm = farm.later("2027-07-14T12:00:00-04:00").await;
    let stored = farm
        .enter("/sprays", &one_product("2027-07-14", "11:00", "12", "66"))
        .await;
    stored.is_stored();
    stored.says("Picking closed until Sat 18 Sept 11:00");
    farm.get(WISH).await.says("That moment has passed.");
}

#[tokio::test]
async fn longer_entry_hours_win_over_the_days() {
    let farm = Farm::at("2027-07-01T08:00:00-04:00").await;
    let page = farm
        .get("/sprays/finish?start=2027-09-14&at=07:30&days=0&hours=72")
        .await;
    page.says("finish by Sat 11 Sept 07:30 — in practice Fri 10 Sept");
    // Over the clock change: 24 elapsed hours before Sunday 17:00 is Saturday 18:00.
    let page = farm
        .get("/sprays/finish?start=2027-11-07&at=17:00&days=1&hours=0")
        .await;
    page.says("finish by Sat 6 Nov 18:00 — in practice Fri 5 Nov");
}

#[tokio::test]
async fn bad_input_is_told_at_its_field_and_kept() {
    let farm = Farm::at("2027-07-01T08:00:00-04:00").await;
    let page = farm.get("/sprays/finish").await;
    assert_eq!(page.status, 200);
    page.says_not("to look at");
    for (asked, field, told) in [
        ("start=soon&at=07:30&days=66", "start", "is not a date"),
        (
            "start=2027-09-14&at=late&days=66",
            "at",
            "is not a time of day",
        ),
        (
            "start=2027-09-14&at=07:30&days=many",
            "days",
            "is not a number",
        ),
        ("start=2027-09-14&at=07:30&days=400", "days", "can't be 400"),
        (
            "start=2027-09-14&at=07:30&days=66&hours=9000",
            "hours",
            "can't be 9000",
        ),
        (
            "start=2027-09-14&days=66",
            "at",
            "Type the time picking is to start",
        ),
        (
            "start=2027-09-14&at=07:30",
            "days",
            "Type the label's days to harvest.",
        ),
        (
            "start=2027-09-14&at=07:30&days=66&ended_date=2027-07-14",
            "ended_at",
            "Type the time at which spraying ended.",
        ),
        ("start=2027-03-14&at=02:30&days=1", "at", "never comes"),
    ] {
        let page = farm.get(&format!("/sprays/finish?{asked}")).await;
        assert_eq!(page.status, 422, "{asked}");
        page.says(told);
        assert!(
            page.body.contains(&format!("id=\"{field}-problem\"")),
            "{asked}"
        );
        page.says_not("finish by");
        for typed in asked.split('&').filter_map(|pair| pair.split_once('=')) {
            assert!(
                page.body.contains(&format!("value=\"{}\"", typed.1)),
                "{asked}"
            );
        }
    }
}
