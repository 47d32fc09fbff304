//! A season that is closed: what comes in about it later is kept and marked, nothing is refused.

use crate::support::farm::Farm;
use crate::support::page::Page;

const DECEMBER: &str = "2027-12-11T18:00:00Z";
const MARK: &str = "Season 2027 was closed on Sat 11 Dec; this came later.";

async fn rain(farm: &Farm, date: &str, inches: &str) -> Page {
    farm.save("/weather/new", &[("date", date), ("rain", inches)])
        .await
}

async fn close(farm: &Farm, year: &str) -> Page {
    farm.save("/seasons/new", &[("year", year), ("note", "wasps, late")])
        .await
}

/// A farm in December with a day of rain in September, its season closed.
async fn closed() -> (Farm, Page, Page) {
    let farm = Farm::started_at(DECEMBER).await;
    let before = rain(&farm, "2027-09-09", "0.4").await;
    let season = close(&farm, "2027").await;
    season.says("Season 2027 closed");
    season.says("wasps, late");
    (farm, before, season)
}

#[tokio::test]
async fn what_comes_later_is_kept_and_marked() {
    let (farm, before, season) = closed().await;
    let farm = farm.later("2028-01-20T15:00:00Z").await;
    farm.get(&before.path).await.says_not("was closed on");
    let late = rain(&farm, "2027-09-14", "0.6").await;
    let mark = "Season 2027 was closed on Sat 11 Dec 2027; this came later.";
    late.says(mark);
    rain(&farm, "2028-01-19", "0.2")
        .await
        .says_not("was closed on");
    let correct = format!("{}/correct", before.path.split('?').next().unwrap());
    let changed = farm.save(&correct, &[("rain", "0.5")]).await;
    changed.says(mark);
    let void = format!("{}/void", late.path.split('?').next().unwrap());
    farm.post(&void, &[]).await;
    let gone = farm.get(late.path.split('?').next().unwrap()).await;
    let marks = gone.text().matches(mark).count();
    assert_eq!(
        marks,
        3,
        "the entry, its first line and the taking back: {}",
        gone.text()
    );
    let found = farm.store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    farm.get(&season.path).await.says_not("this came later");
    farm.close().await;
}

#[tokio::test]
async fn opened_again_nothing_is_marked() {
    let (farm, _, season) = closed().await;
    let late = rain(&farm, "2027-09-14", "0.6").await;
    late.says(MARK);
    let void = format!("{}/void", season.path.split('?').next().unwrap());
    farm.post(&void, &[]).await;
    farm.get(&late.path).await.says_not("was closed on");
    close(&farm, "2027").await;
    farm.get(&late.path).await.says_not("was closed on");
    let found = farm.store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    farm.close().await;
}

#[tokio::test]
async fn a_season_is_closed_once_and_not_before_it_came() {
    let (farm, _, season) = closed().await;
    for (year, why) in [
        ("2027", "2027 is closed already."),
        ("2028", "2028 has not come yet."),
        ("", "Type the year."),
        ("twenty", "year"),
    ] {
        let again = farm.fill("/seasons/new", &[("year", year)]).await;
        assert_eq!(again.status, 422, "{year}");
        again.says(why);
    }
    let kept = farm
        .type_in("/seasons/new", &[("year", "2027"), ("keep", "1")])
        .await;
    kept.says("Kept as typed");
    let correct = format!("{}/correct", season.path.split('?').next().unwrap());
    let changed = farm.save(&correct, &[("note", "wasps, early")]).await;
    changed.says("wasps, early");
    farm.get("/seasons/new").await.says("Closed so far: 2027.");
    farm.close().await;
}
