//! The pages that bring a phone here, and what is said when the address has changed.

use std::sync::Arc;

use endpost::clock::Clock;
use endpost::web::reach::{Moved, remember};

use super::shed::{Made, Site, reach};
use crate::support::farm::{MORNING, moment};

const FIRST: &str = "http://192.168.1.20:8087/";
const SECOND: &str = "http://192.168.1.33:8087/";

#[tokio::test]
async fn on_this_computer_alone_the_pages_say_what_to_type() {
    let site = Site::at(reach("127.0.0.1:8087", &[], Made::with(&[]))).await;
    for path in ["/qr", "/qr/sheet", "/help/connect"] {
        let page = site.page(path).await;
        assert!(page.contains("can't come here yet"), "{path}");
        assert!(page.contains("--listen 0.0.0.0:8087"), "{path}");
        assert!(!page.contains("<svg"), "{path}");
    }
    site.farm.close().await;
}

#[tokio::test]
async fn the_likeliest_address_comes_first_and_the_rest_is_folded() {
    let computer = Made::with(&[
        ("docker0", "172.17.0.1"),
        ("eth0", "192.168.1.20"),
        ("wlan0", "192.168.1.21"),
    ]);
    let site = Site::at(reach("0.0.0.0:8087", &[], computer)).await;
    let page = site.page("/qr").await;
    let places: Vec<usize> = [
        "class=\"key\">http://192.168.1.20:8087/",
        "http://shed.local:8087/",
        "Another address: http://192.168.1.21:8087/",
        "Not the Wi-Fi: http://172.17.0.1:8087/",
        "Everybody is let in:",
    ]
    .iter()
    .map(|words| {
        page.find(words)
            .unwrap_or_else(|| panic!("{words}: {page}"))
    })
    .collect();
    assert!(places.is_sorted(), "{places:?}");
    assert_eq!(page.matches("<svg").count(), 3, "one for each but the name");
    site.farm.close().await;
}

#[tokio::test]
async fn help_is_linked_from_where_it_is_needed() {
    let site = Site::of(Made::with(&[("eth0", "192.168.1.20")])).await;
    for path in ["/qr", "/house"] {
        let page = site.page(path).await;
        assert!(page.contains("href=\"/help/connect\""), "{path}");
    }
    assert!(site.page("/sheets").await.contains("href=\"/qr/sheet\""));
    let help = site.page("/help/connect").await;
    for words in [
        "http://",
        "Guest networks",
        "isolation",
        "private DNS",
        "VPN",
        "mobile data",
        "Nearby devices",
        "Local Network",
        "firewall",
        "port 8087",
        "Not secure",
        "read along",
        "--known-as",
    ] {
        assert!(help.contains(words), "{words}");
    }
    site.farm.close().await;
}

async fn started_at(site: &Site, computer: &Arc<Made>) -> Option<Moved> {
    let reach = reach("0.0.0.0:8087", &[], computer.clone());
    let clock = Clock::starting_at(moment(MORNING));
    remember(&site.farm.store, &reach, &clock).await.unwrap()
}

/// The router gives out another address: said at the start and on pages until it is confirmed.
#[tokio::test]
async fn a_changed_address_is_said_until_somebody_has_seen_to_the_phones() {
    let computer = Made::with(&[("eth0", "192.168.1.20")]);
    let site = Site::at(reach("0.0.0.0:8087", &[], computer.clone())).await;
    assert_eq!(started_at(&site, &computer).await, None, "the first start");
    assert_eq!(started_at(&site, &computer).await, None, "the same again");
    for path in ["/", "/house", "/qr"] {
        assert!(
            !site.page(path).await.contains("may hold entries"),
            "{path}"
        );
    }

    computer.lease(&[("eth0", "192.168.1.33")]);
    let moved = started_at(&site, &computer).await.expect("words");
    assert_eq!(moved.told, [FIRST]);
    assert_eq!(moved.now, SECOND);
    let words = String::from(
        "Phones may hold entries for http://192.168.1.20:8087. Give this computer that address again (reserve it \
         in the router), or bring each phone here: its outbox page has the rescue.",
    );
    assert_eq!(moved.words(), words);
    assert!(started_at(&site, &computer).await.is_some(), "and again");
    for path in ["/", "/house", "/qr"] {
        assert!(site.page(path).await.contains(&words), "{path}");
    }

    // A page that is older than the last change confirms nothing.
    assert_eq!(site.post("/qr/told", "now", FIRST).await, 303);
    assert!(site.page("/").await.contains(&words));
    assert_eq!(site.post("/qr/told", "now", SECOND).await, 303);
    for path in ["/", "/house", "/qr"] {
        assert!(
            !site.page(path).await.contains("may hold entries"),
            "{path}"
        );
    }
    assert_eq!(started_at(&site, &computer).await, None);
    site.farm.close().await;
}

#[tokio::test]
async fn the_old_address_given_back_ends_the_warning() {
    let computer = Made::with(&[("eth0", "192.168.1.20")]);
    let site = Site::at(reach("0.0.0.0:8087", &[], computer.clone())).await;
    started_at(&site, &computer).await;
    computer.lease(&[("eth0", "192.168.1.33")]);
    assert!(started_at(&site, &computer).await.is_some());
    computer.lease(&[("eth0", "192.168.1.20")]);
    assert_eq!(started_at(&site, &computer).await, None);
    site.farm.close().await;
}

/// Another name that is told first takes nothing from phones that know the digits.
#[tokio::test]
async fn an_address_that_still_leads_here_is_no_worry() {
    let computer = Made::with(&[("eth0", "192.168.1.20")]);
    let site = Site::at(reach("0.0.0.0:8087", &["farm.lan"], computer.clone())).await;
    started_at(&site, &computer).await;
    let clock = Clock::starting_at(moment("2027-09-11T11:00:00Z"));
    let named = reach("0.0.0.0:8087", &["farm.lan"], computer.clone());
    let store = &site.farm.store;
    assert_eq!(remember(store, &named, &clock).await.unwrap(), None);
    computer.lease(&[("eth0", "192.168.1.33")]);
    let moved = remember(store, &named, &clock).await.unwrap();
    assert_eq!(moved.expect("words").told, [FIRST]);
    // The name is no longer set, and the address has changed as well.
    let both = started_at(&site, &computer).await.expect("words").words();
    assert!(both.contains("http://192.168.1.20:8087 and http://farm.lan:8087. Give"));
    site.farm.close().await;
}

/// Nothing was told to phones by a start that lets none in, and such a start changes nothing.
#[tokio::test]
async fn a_start_for_this_computer_alone_tells_no_address() {
    let computer = Made::with(&[("eth0", "192.168.1.20")]);
    let site = Site::at(reach("127.0.0.1:8087", &[], computer.clone())).await;
    let alone = reach("127.0.0.1:8087", &[], computer.clone());
    let clock = Clock::starting_at(moment(MORNING));
    let store = &site.farm.store;
    assert_eq!(remember(store, &alone, &clock).await.unwrap(), None);
    let told = store.read().await.unwrap().told_addresses().await;
    assert_eq!(told.unwrap(), Vec::<String>::new());
    started_at(&site, &computer).await;
    computer.lease(&[]);
    assert_eq!(remember(store, &alone, &clock).await.unwrap(), None);
    site.farm.close().await;
}
