//! Entries saved while the farm computer can't be reached: they lie on the phone, go by themselves
//! and arrive once. Not here: sending twice, drafts, strangers (beside this file).

use tempfile::TempDir;

use crate::support::binary::{Served, serve, serve_at};
use crate::support::farm::Farm;
use crate::support::handset::{FORM, Handset, SAVED, gone_home, rain_in, rain_of};
use crate::support::line::{Does, Line};

/// A farm in a folder, with its own program serving it.
pub async fn served_farm() -> (TempDir, Served) {
    let folder = Farm::started().await.close().await;
    let served = serve(folder.path());
    (folder, served)
}

/// Opens the form, saves rain, and waits until the record's page shows.
async fn stored(phone: &Handset, inches: &str) {
    phone.open(FORM).await;
    phone.rain(inches).await;
    phone.says("Stored ").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn five_in_range_five_out_of_it_and_all_ten_arrive() {
    let (folder, served) = served_farm().await;
    let port = served.port();
    let phone = Handset::new(port).await;
    for inches in ["0.11", "0.12", "0.13", "0.14", "0.15"] {
        stored(&phone, inches).await;
    }
    phone.open(FORM).await;
    served.kill_at_once();
    for (count, inches) in (1..).zip(["0.21", "0.22", "0.23", "0.24", "0.25"]) {
        phone.rain(inches).await;
        phone.says(&format!("{SAVED}. {count} waiting.")).await;
        phone.bar_says(&format!("{count} waiting")).await;
        phone.holds("rain", "").await;
    }
    let served = serve_at(folder.path(), port);
    phone.in_reach().await;
    phone.bar_says("All sent").await;
    phone.says("Last reached the farm computer").await;
    served.kill_at_once();
    let expected = [
        "0.11", "0.12", "0.13", "0.14", "0.15", "0.21", "0.22", "0.23", "0.24", "0.25",
    ];
    assert_eq!(rain_in(folder.path()).await, expected);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_a_phone_says_it_saved_outlives_the_browser() {
    const TIMES: usize = 20;
    let farm = Farm::started().await;
    let line = Line::to(&farm.url("")).await;
    let profile = tempfile::tempdir().expect("a folder for the browser");
    let mut expected = Vec::new();
    for time in 0..TIMES {
        let phone = Handset::over(profile.path(), line.port).await;
        phone.open(FORM).await;
        line.does(Does::LoseRequests);
        let inches = format!("0.{}", 30 + time);
        phone.rain(&inches).await;
        phone.says(SAVED).await;
        phone.browser.kill_at_once();
        expected.push(inches);
        line.does(Does::Pass);
    }
    let phone = Handset::over(profile.path(), line.port).await;
    phone.open("/").await;
    phone.bar_says("All sent").await;
    assert_eq!(rain_of(&farm.store).await, expected);
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_dead_spot_at_the_bottom_of_c() {
    let farm = crate::support::seed::tamarack_bend().await;
    let line = Line::to(&farm.url("")).await;
    let phone = Handset::new(line.port).await;
    phone.open("/vines/new").await;
    line.does(Does::LoseRequests);
    phone
        .type_in(&[("address", "C5-8-1"), ("change", "gone")])
        .await;
    let tapped = phone.browser.ask("return Date.now()").await;
    for _ in 0..3 {
        phone.save().await;
    }
    phone.says("Saved on this phone. 1 waiting.").await;
    let lies = phone.box_holds("entries").await;
    assert_eq!(lies.len(), 1, "{lies:?}");
    let mut read = farm.store.read().await.expect("a view");
    let before = read.vine_events().await.expect("the vines").len();
    drop(read);

    line.does(Does::Pass);
    phone.in_reach().await;
    phone.bar_says("All sent").await;
    let mut read = farm.store.read().await.expect("a view");
    let vines = read.vine_events().await.expect("the vines");
    assert_eq!(vines.len(), before + 1);
    let entry = lies[0]["envelope"]["id"].as_str().expect("its id");
    let entry = read.entry(entry.parse().expect("an id")).await;
    let entry = entry.expect("a view").expect("the entry");
    let typed = entry.typed_at.expect("when it was typed");
    let first_tap = tapped.as_i64().expect("a time");
    assert!(
        (0..2000).contains(&(typed.timestamp_millis() - first_tap)),
        "{typed}"
    );
    drop(read);
    phone.open(&format!("/entries/{}", entry.id)).await;
    phone.says("Stored ").await;
    gone_home(farm, phone).await;
}
