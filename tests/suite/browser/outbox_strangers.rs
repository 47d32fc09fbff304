//! What answers at the address and is not this house, or no longer what it was; a phone that keeps
//! nothing. Not here: a house that is merely out of reach (`outbox`).

use crate::support::binary::serve_at;
use crate::support::farm::Farm;
use crate::support::handset::{
    FORM, Handset, SAVED, gone_home, in_the_rows, one_saved, rain_in, rain_of,
};
use crate::support::line::{Does, Line};

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_router_that_answers_everything_gets_nothing() {
    let (farm, line, phone) = in_the_rows().await;
    line.does(Does::Portal);
    phone.rain("0.2").await;
    phone.says("Saved on this phone. 1 waiting.").await;
    phone.in_reach().await;
    phone.says("Something else answers at this address").await;
    phone.bar_says("1 waiting").await;
    line.does(Does::Pass);
    phone.in_reach().await;
    phone.bar_says("All sent").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn another_farm_at_the_address_gets_nothing() {
    let farm = Farm::started().await;
    let other = Farm::started().await;
    let line = Line::to(&farm.url("")).await;
    let phone = Handset::new(line.port).await;
    phone.open(FORM).await;
    line.leads_to(&other.url(""));
    phone.rain("0.2").await;
    phone.says(SAVED).await;
    phone.says("1 waiting.").await;
    phone.in_reach().await;
    phone
        .says("Another farm's computer answers at this address")
        .await;
    phone.bar_says("1 waiting").await;
    assert!(rain_of(&other.store).await.is_empty());
    line.leads_to(&farm.url(""));
    phone.open("/").await;
    phone.bar_says("All sent").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);
    drop(phone);
    other.close().await;
    farm.close().await;
}

/// The newest entry is lost with the copy that is put back, and comes again from the phone.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_older_copy_put_back_is_offered_what_it_lacks() {
    let folder = Farm::started().await.close().await;
    let (port, phone) = one_saved(folder.path()).await;
    let (data, copy) = (folder.path().join("endpost.db"), folder.path().join("copy"));
    std::fs::copy(&data, &copy).expect("a copy");

    let served = serve_at(folder.path(), port);
    for inches in ["0.2", "0.3"] {
        phone.open(FORM).await;
        phone.rain(inches).await;
        phone.says("Stored ").await;
    }
    served.kill_at_once();
    for tail in ["-wal", "-shm"] {
        let _ = std::fs::remove_file(folder.path().join(format!("endpost.db{tail}")));
    }
    std::fs::copy(&copy, &data).expect("the copy put back");

    let served = serve_at(folder.path(), port);
    phone.open(FORM).await;
    phone.rain("0.4").await;
    phone.says("Stored ").await;
    phone.in_reach().await;
    phone.bar_says("All sent").await;
    for _ in 0..400 {
        let rows = phone.box_holds("entries").await;
        if rows.iter().all(|one| one["state"] == "sent") && rows.len() == 4 {
            break;
        }
        phone.browser.moment().await;
    }
    served.kill_at_once();
    assert_eq!(
        rain_in(folder.path()).await,
        ["0.10", "0.20", "0.30", "0.40"]
    );
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_phone_that_can_keep_nothing_says_so_and_posts_plainly() {
    let farm = Farm::started().await;
    let line = Line::to(&farm.url("")).await;
    let phone = Handset::new(line.port).await;
    let broken = "indexedDB.open = () => { throw new DOMException('no', 'UnknownError'); };";
    phone.browser.before_each_page(broken).await;
    phone.open(FORM).await;
    phone.says("This phone can't keep entries").await;
    phone.rain("0.2").await;
    phone.says("Stored ").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);
    assert_eq!(line.brought(), 0);
    gone_home(farm, phone).await;
}

/// What waits on a phone that can't reach the house any more is brought by hand.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_a_phone_shows_as_text_can_be_pasted_at_the_computer() {
    let (farm, line, phone) = in_the_rows().await;
    phone.has_kept("/outbox").await;
    line.does(Does::LoseRequests);
    phone
        .type_in(&[("note", "caf\u{e9} > r\u{f6}w\nsecond line")])
        .await;
    phone.rain("0.2").await;
    phone.says("1 waiting.").await;
    phone.go("/outbox").await;
    let text = phone.shown_as_text().await;
    line.does(Does::Pass);
    assert!(text.starts_with("Endpost entries 1\n"), "{text}");
    let pasted = crate::phones::paste::paste(&farm, &text).await;
    pasted.says("Stored.");
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);
    phone.open("/").await;
    phone.bar_says("All sent").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);
    gone_home(farm, phone).await;
}
