//! Damage that shows while the program runs: the first entry that meets it is not stored and says
//! so, nothing more is written into the file, and what comes from then on is kept beside it.

use std::path::Path;

use chrono::TimeDelta;
use endpost::program::copies::make;
use endpost::science::copies::Why;
use endpost::store::beside::lines_beside;

use super::{clock, data_in};
use crate::ripeness::story_walk::{A_BAG, walk_through};
use crate::store::file::{outside, run};
use crate::support::caller::Caller;
use crate::support::entries::id;
use crate::support::farm::{Farm, MORNING, moment};
use crate::support::phone::{Phone, rain};
use sqlx::Connection;

/// Spoils all of a file that is in use but its beginning; what the program still remembers of it is
/// out of date by then, so that it reads the file again.
pub async fn spoil_while_in_use(folder: &Path) {
    let path = folder.join("endpost.db");
    let mut connection = outside(&path).await;
    run(
        &mut connection,
        "UPDATE house SET created_at = created_at + 1",
    )
    .await;
    run(&mut connection, "PRAGMA wal_checkpoint(TRUNCATE)").await;
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[4096..].fill(0x5a);
    std::fs::write(&path, &bytes).unwrap();
    connection.close().await.unwrap();
}

#[tokio::test]
async fn from_then_on_entries_are_kept_beside() {
    let farm = Farm::started().await;
    let mut phone = Phone::new(1);
    assert_eq!(farm.put(&rain(&mut phone, id(1), "0.1")).await.status, 201);
    let form = farm.get("/weather/new").await;
    spoil_while_in_use(farm.folder()).await;
    let envelope = rain(&mut phone, id(2), "0.2");
    let met = farm.put(&envelope).await;
    assert_eq!(met.state(), (503, "failed"), "{}", met.body);
    assert!(
        met.text("why").contains("kept on the phone"),
        "{}",
        met.body
    );
    assert!(farm.store.damage().is_some());
    let again = farm.put(&envelope).await;
    assert_eq!(again.state(), (202, "held"), "{}", again.body);
    farm.send(&form, &[("rain", "0.4")])
        .await
        .says("Kept beside; nothing is lost");
    assert_eq!(farm.store.kept_beside(), 2);
    let log = lines_beside(&farm.folder().join("endpost.db")).unwrap();
    assert_eq!(log.unwrap().lines.len(), 2);
    let page = farm.get("/").await;
    assert_eq!(page.status, 503);
    page.says("The database is damaged");
}

/// What a copy can't know is not denied in the farm's name, a guest is told as well, and what is no page
/// has no copy to speak from.
#[tokio::test]
async fn the_copy_that_stands_in_says_so_and_denies_nothing() {
    let farm = Farm::at(MORNING).await;
    farm.guard().await;
    let block = farm.block("A").await;
    let made = make(&data_in(&farm.folder()), Why::ByHand, &clock()).await;
    let copy = made.unwrap().path;
    let (helper, _) = farm.let_in("helper").await;
    let page_of_block = format!("/blocks/{block}");
    let (guest, _) = farm.guest_of(&page_of_block, &[]).await;
    let walk = walk_through(&farm, "B", &A_BAG).await.path;
    farm.put(&rain(&mut Phone::new(1), id(1), "0.1")).await;
    spoil_while_in_use(farm.folder()).await;
    assert_eq!(helper.get("/blocks").await.status, 503);
    let stands_in = farm.store.stand_in_with(&copy, moment(MORNING)).await;
    stands_in.unwrap();
    for page in [helper.get("/blocks").await, guest.get(&page_of_block).await] {
        assert_eq!(page.status, 200, "{}", page.text());
        let main = page.text_of("main").join(" ");
        assert!(
            main.contains("This page is drawn from the copy of"),
            "{main}"
        );
        assert!(
            main.contains("may be closed. Ask before you go in."),
            "{main}"
        );
    }
    for path in [
        format!("/entries/{}", id(1)),
        walk.clone(),
        format!("{walk}/state"),
    ] {
        let page = helper.get(&path).await;
        assert_eq!(page.status, 503, "{path}: {}", page.text());
        page.says("The database is damaged");
    }
    assert_eq!(
        guest.get("/blocks").await.status,
        401,
        "no more than before"
    );
    let stranger = Caller::on_the_wifi(&farm);
    assert_eq!(stranger.get(&page_of_block).await.status, 401);
    assert_eq!(helper.get("/people").await.status, 403, "nor for a helper");
    farm.close().await;
}

/// A page that meets the damage first: what is saved after it goes beside, and not into the file.
#[tokio::test]
async fn a_page_that_meets_it_is_enough() {
    let farm = Farm::started().await;
    spoil_while_in_use(farm.folder()).await;
    let spoiled = std::fs::read(farm.folder().join("endpost.db")).unwrap();
    let page = farm.get("/blocks").await;
    assert_eq!(page.status, 503, "{}", page.text());
    page.says("The database is damaged");
    let answer = farm.put(&rain(&mut Phone::new(1), id(1), "0.1")).await;
    assert_eq!(answer.state(), (202, "held"), "{}", answer.body);
    let folder = farm.close().await;
    let left = std::fs::read(folder.path().join("endpost.db")).unwrap();
    assert!(left == spoiled, "the damaged file was written on");
}

/// A spoiled beginning: SQLite says that the file is no database, and means the same.
#[tokio::test]
async fn a_file_that_is_no_database_any_more_is_damaged() {
    for page_first in [false, true] {
        let farm = Farm::started().await;
        let mut phone = Phone::new(1);
        assert_eq!(farm.put(&rain(&mut phone, id(1), "0.1")).await.status, 201);
        spoil_while_in_use(farm.folder()).await;
        let path = farm.folder().join("endpost.db");
        let length = std::fs::read(&path).unwrap().len();
        std::fs::write(&path, vec![0x5a; length]).unwrap();
        let envelope = rain(&mut phone, id(2), "0.2");
        let met = match page_first {
            true => farm.get("/blocks").await.status,
            false => farm.put(&envelope).await.status,
        };
        assert_eq!(met, 503);
        assert!(farm.store.damage().is_some());
        let answer = farm.put(&envelope).await;
        assert_eq!(answer.state(), (202, "held"), "{}", answer.body);
        farm.close().await;
    }
}

/// Every page of the file is read for it, and whoever makes a page fail may do so again and again.
#[tokio::test]
async fn it_is_looked_for_once_a_minute_and_behind_the_answer() {
    let farm = Farm::started().await;
    let now = moment(MORNING);
    let look = farm.store.look_for_damage_behind(now).expect("a look");
    assert!(farm.store.look_for_damage_behind(now).is_none(), "one");
    look.await.unwrap();
    let soon = now + TimeDelta::seconds(59);
    assert!(farm.store.look_for_damage_behind(soon).is_none());
    assert_eq!(farm.store.damage(), None);
    spoil_while_in_use(farm.folder()).await;
    let then = now + TimeDelta::seconds(60);
    let look = farm.store.look_for_damage_behind(then).expect("another");
    look.await.unwrap();
    assert!(farm.store.damage().is_some());
    farm.close().await;
}

/// A fault that is none of the file's stops nothing.
#[tokio::test]
async fn what_fails_for_another_reason_is_no_damage() {
    let farm = Farm::started().await;
    let mut connection = outside(&farm.folder().join("endpost.db")).await;
    run(
        &mut connection,
        "CREATE TRIGGER fault BEFORE INSERT ON weather BEGIN SELECT raise(ABORT, 'no'); END",
    )
    .await;
    let envelope = rain(&mut Phone::new(1), id(1), "0.1");
    assert_eq!(farm.put(&envelope).await.status, 500);
    let again = farm.store.look_for_damage_behind(moment(MORNING));
    assert!(again.is_none(), "the answer has begun a look");
    assert_eq!(farm.store.damage(), None);
    run(&mut connection, "DROP TRIGGER fault").await;
    assert_eq!(farm.put(&envelope).await.state(), (201, "stored"));
    connection.close().await.unwrap();
    farm.close().await;
}
