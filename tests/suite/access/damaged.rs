//! While the database is damaged the door is as it was: strangers enter nothing beside it either,
//! and what a helper sends comes in as a helper's afterwards.

use endpost::science::access::Role;
use endpost::store::beside::{Came, Line, Sender, lines_beside};
use endpost::store::ledger::State;
use endpost::web::beside::{Became, replay};
use uuid::Uuid;

use crate::copies::beside_alive::spoil_while_in_use;
use crate::support::caller::Caller;
use crate::support::entries::id;
use crate::support::farm::{Farm, MORNING, moment};
use crate::support::phone::{Phone, rain};

#[tokio::test]
async fn whoever_is_not_let_in_enters_nothing_beside_it() {
    let farm = Farm::guarded().await;
    let (helper, _) = farm.let_in("helper").await;
    let (looker, _) = farm.let_in("looker").await;
    let nobody = Caller::on_the_wifi(&farm);
    spoil_while_in_use(farm.folder()).await;
    let mut phone = Phone::new(1);
    let envelope = rain(&mut phone, id(1), "0.2");
    // The first to meet the damage is told so; it is sent again.
    helper.put(&envelope).await;
    assert!(farm.store.damage().is_some());
    assert_eq!(helper.put(&envelope).await.status, 202);
    assert_eq!(
        looker.put(&rain(&mut phone, id(2), "0.3")).await.status,
        403
    );
    assert_eq!(
        nobody.put(&rain(&mut phone, id(3), "0.4")).await.status,
        401
    );
    let typed = [("date", "2027-09-10"), ("rain", "0.5")];
    let page = nobody.post("/weather", &typed).await;
    assert_eq!(page.status, 401);
    page.says("rain: 0.5");
    assert_eq!(nobody.get("/blocks").await.status, 401);
    let log = lines_beside(&farm.folder().join("endpost.db")).unwrap();
    let lines = log.expect("a side log").lines;
    assert_eq!(lines.len(), 1);
    let by = lines[0].by.expect("who sent it");
    assert_eq!((by.role, by.at_the_house), (Role::Helper, false));
    farm.close().await;
}

#[tokio::test]
async fn what_was_kept_beside_comes_in_as_its_senders() {
    let farm = Farm::started().await;
    let session = Uuid::from_u128(77);
    let line = |number: u32, form: &str, fields: &[(&str, &str)], by: Option<Sender>| Line {
        id: id(number),
        fingerprint: [number as u8; 32],
        received_at: moment(MORNING),
        house: farm.store.house().server_id,
        by,
        came: Came::Page {
            form: form.to_owned(),
            device: id(50),
            fields: fields.iter().copied().collect(),
        },
    };
    let helper = Some(Sender {
        role: Role::Helper,
        at_the_house: false,
        session: Some(session),
    });
    let rain = [("date", "2027-09-10"), ("rain", "0.5")];
    let person = [("initials", "MK"), ("here", "yes")];
    for (line, state) in [
        (line(1, "weather", &rain, helper), State::Stored),
        (line(2, "person", &person, helper), State::Held),
        (line(3, "weather", &rain, None), State::Held),
    ] {
        assert_eq!(replay(&farm.store, &line).await.unwrap(), Became::Entered);
        let mut read = farm.store.read().await.unwrap();
        let entry = read.entry(line.id).await.unwrap().expect("an entry");
        assert_eq!(entry.state, state, "{:?}", entry.problems);
        assert_eq!(entry.came_by, line.by.and_then(|by| by.session));
    }
    farm.close().await;
}
