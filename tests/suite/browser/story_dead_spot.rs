//! Story 7: the dead spot at the bottom of C. Something is saved at C5 without Wi-Fi, with three
//! taps; back in range it is there once, with the time of the first tap. (Until there are nets, it
//! is a vine that is gone instead of a hole.)

use chrono::{TimeDelta, Utc};

use crate::support::farm::Farm;
use crate::support::handset::{Handset, SAVED, gone_home};
use crate::support::line::{Does, Line};

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn three_taps_out_of_range_are_one_entry_with_the_time_of_the_first() {
    let farm = Farm::at(&Utc::now().to_rfc3339()).await;
    let line = Line::to(&farm.url("")).await;
    let phone = Handset::new(line.port).await;
    phone.open("/vines/new").await;
    line.does(Does::LoseRequests);
    let typed = [("address", "c5 8 2"), ("change", "gone")];
    phone.type_in(&typed).await;
    let first_tap = Utc::now();
    for _ in 0..3 {
        phone.save().await;
    }
    phone.says(&format!("{SAVED}. 1 waiting.")).await;
    phone.bar_says("1 waiting").await;
    let gone = async || {
        let mut read = farm.store.read().await.expect("a view");
        let events = read.vine_events().await.expect("the vines");
        let here = events.into_iter();
        here.filter(|(_, one)| one.at.to_string() == "C5-8-2")
            .map(|(id, _)| id)
            .collect::<Vec<_>>()
    };
    assert!(gone().await.is_empty(), "nothing is at the house yet");

    line.does(Does::Pass);
    phone.in_reach().await;
    phone.bar_says("All sent").await;
    let [record] = gone().await[..] else {
        panic!("one entry, not {:?}", gone().await);
    };
    farm.get(&format!("/entries/{record}"))
        .await
        .says("Stored ");
    let mut read = farm.store.read().await.expect("a view");
    let entry = read.entry(record).await.expect("an entry");
    let typed_at = entry
        .and_then(|one| one.typed_at)
        .expect("when it was typed");
    let off = (typed_at - first_tap).abs();
    assert!(
        off < TimeDelta::seconds(5),
        "typed {off} from the first tap"
    );
    drop(read);
    gone_home(farm, phone).await;
}
