//! Pages shared by a link: that page and nothing else, without names unless chosen, until the day.

use super::guesses::without_the_hour;
use crate::support::caller::Caller;
use crate::support::farm::Farm;

/// A farm with a spray on its board, put out by MK.
async fn sprayed() -> Farm {
    let farm = Farm::guarded().await;
    let block = farm.block("A").await;
    let fields = [
        ("block", block.as_str()),
        ("date", "2027-09-10"),
        ("started", "05:00"),
        ("ended", "06:00"),
        ("applicator", "Marta K."),
        ("label_read", "yes"),
        ("product_1_name", "Tank 1 fungicide"),
        ("product_1_entry", "24"),
        ("product_1_harvest", "0"),
    ];
    let page = farm.type_in("/sprays/new", &fields).await;
    let saved = match page.path.starts_with("/entries/") {
        true => page,
        // What is unusual about it is asked once.
        false => farm.save_again(&page).await,
    };
    saved.is_stored();
    farm
}

#[tokio::test]
async fn a_guest_sees_one_page_and_nothing_else() {
    let farm = sprayed().await;
    farm.get("/sprays/board").await.says("Marta K.");
    let (guest, _) = farm.guest_of("/sprays/board", &[]).await;
    let page = guest.get("/sprays/board").await;
    assert_eq!(page.status, 200);
    page.says("Tank 1 fungicide")
        .says_not("Marta")
        .says("A page shared with you");
    assert_eq!(page.header("cache-control"), "no-store");
    assert!(page.text_of("nav").is_empty());
    for path in [
        "/",
        "/blocks",
        "/sprays",
        "/harvest/sheet",
        "/phones",
        "/weather/new",
    ] {
        assert_eq!(guest.get(path).await.status, 401, "{path}");
    }
    assert_eq!(guest.post("/weather", &[("rain", "0.2")]).await.status, 401);
    farm.close().await;
}

#[tokio::test]
async fn names_are_there_if_they_were_chosen() {
    let farm = sprayed().await;
    let (guest, _) = farm.guest_of("/sprays/board", &[("names", "yes")]).await;
    guest.get("/sprays/board").await.says("Marta K.");
    farm.close().await;
}

#[tokio::test]
async fn a_link_is_over_at_the_end_of_its_day_and_when_it_is_ended() {
    let farm = Farm::guarded().await;
    let (guest, link) = farm.guest_of("/harvest/sheet", &[]).await;
    let (ended, ended_link) = farm.guest_of("/harvest/sheet", &[]).await;
    let shares = farm.store.keys();
    let newest = shares.shares()[0].id;
    drop(shares);
    farm.post(&format!("/shares/{newest}/end"), &[])
        .await
        .sent_to("/shares");
    assert_eq!(ended.get("/harvest/sheet").await.status, 401);
    assert_eq!(guest.get("/harvest/sheet").await.status, 200);
    let cookie = guest.get(&link).await.cookie("ep_v").unwrap();
    // The 24th ends at midnight of the farm, four hours after that of UTC.
    let farm = farm.later("2027-09-25T03:59:00Z").await;
    assert_eq!(
        Caller::with_cookie(&farm, &cookie)
            .get("/harvest/sheet")
            .await
            .status,
        200
    );
    let farm = farm.later("2027-09-25T04:01:00Z").await;
    let late = Caller::with_cookie(&farm, &cookie);
    assert_eq!(late.get("/harvest/sheet").await.status, 401);
    let mut told = Vec::new();
    for path in [link.as_str(), ended_link.as_str(), "/v/never"] {
        let page = late.get(path).await;
        assert!(page.cookie("ep_v").is_none());
        told.push((page.status, page.body));
    }
    assert_eq!(told[0].0, 404);
    assert_eq!(told[0], told[1]);
    assert_eq!(told[1], told[2]);
    farm.close().await;
}

#[tokio::test]
async fn the_address_that_stays_is_clean_and_of_the_secret_only_a_hash_is_kept() {
    let farm = Farm::guarded().await;
    let (guest, link) = farm.guest_of("/harvest/sheet", &[]).await;
    let opened = guest.get(&link).await;
    assert_eq!(opened.location(), "/harvest/sheet");
    assert_eq!(opened.header("x-robots-tag"), "noindex");
    let set = opened.header("set-cookie");
    assert!(
        set.contains("HttpOnly") && set.contains("SameSite=Lax"),
        "{set}"
    );
    let secret = link.trim_start_matches("/v/").to_owned();
    let folder = farm.close().await;
    for file in std::fs::read_dir(folder.path()).unwrap() {
        let path = file.unwrap().path();
        if path.is_file() {
            let bytes = std::fs::read(&path).unwrap();
            let holds = bytes
                .windows(secret.len())
                .any(|part| part == secret.as_bytes());
            assert!(!holds, "{} holds the secret", path.display());
        }
    }
}

#[tokio::test]
async fn only_pages_that_can_be_shared_are() {
    let farm = Farm::guarded().await;
    let block = farm.block("A").await;
    for path in [
        "/phones",
        "/",
        "/house",
        "//elsewhere.example/",
        "/blocks/../phones",
        "/v/x",
    ] {
        let fields = [("what", path), ("title", "x"), ("until", "2027-09-24")];
        assert_eq!(farm.post("/shares", &fields).await.status, 404, "{path}");
    }
    // The button stands on the pages themselves.
    for path in [
        "/harvest/sheet".to_owned(),
        "/sprays/board".to_owned(),
        format!("/blocks/{block}"),
    ] {
        let page = farm.get(&path).await;
        let what = page.attributes("form.share input[name=what]", "value");
        assert_eq!(what, [path]);
    }
    for until in ["2027-09-09", "2029-01-01", "soon"] {
        let fields = [("what", "/harvest/sheet"), ("title", "x"), ("until", until)];
        assert_eq!(farm.post("/shares", &fields).await.status, 422, "{until}");
    }
    let (helper, _) = farm.let_in("helper").await;
    let page = helper.get("/harvest/sheet").await;
    assert!(page.text_of("form.share").is_empty());
    farm.close().await;
}

#[tokio::test]
async fn several_links_are_open_at_once_on_one_phone() {
    let farm = Farm::guarded().await;
    let (guest, _) = farm.guest_of("/harvest/sheet", &[]).await;
    let (_, other) = farm.guest_of("/sprays/board", &[]).await;
    guest.get(&other).await.sent_to("/sprays/board");
    assert_eq!(guest.get("/harvest/sheet").await.status, 200);
    let board = guest.get("/sprays/board").await;
    assert_eq!(board.status, 200);
    let again = guest.get("/sprays/board").await;
    assert_eq!(without_the_hour(&board.body), without_the_hour(&again.body));
    farm.close().await;
}
