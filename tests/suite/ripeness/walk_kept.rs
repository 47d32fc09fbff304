//! What is read on a walk and kept: readings by vine, vines passed over, two phones on one walk, a
//! block closed meanwhile. Over HTTP, as a phone without scripts sends it.
//! Not here: which vines are drawn (`story_walk`), the sum on a phone (`browser`).

use super::story_walk::{A_BAG, spray, stops, walk_through};
use crate::support::farm::Farm;
use crate::support::page::Page;

const MORNING: &str = "2027-09-10T07:10:00-04:00";
const TWELVE: [(&str, &str); 4] = [
    ("read", "vines"),
    ("wanted", "0.5"),
    ("stops", "12"),
    ("berries", "20"),
];

/// Fills stops of a walk's page by their place in it, and sends it.
async fn keep(farm: &Farm, walk: &Page, typed: &[(usize, &str, &str)]) -> Page {
    let stops = stops(walk);
    let named: Vec<(String, &str)> = typed
        .iter()
        .map(|(place, part, text)| (format!("{part}_{}", stops[*place]), *text))
        .collect();
    let fields: Vec<(&str, &str)> = named
        .iter()
        .map(|(name, text)| (name.as_str(), *text))
        .collect();
    let answer = farm.send(walk, &fields).await;
    match answer.status {
        303 => farm.get(answer.location()).await,
        _ => answer,
    }
}

const FIVE: [(usize, &str, &str); 5] = [
    (0, "read", "21,4"),
    (1, "read", "22.8"),
    (2, "read", "21.6"),
    (3, "read", "21.5"),
    (4, "read", "22.2"),
];

#[tokio::test]
async fn readings_are_kept_as_one_sample_with_the_cards_code() {
    let farm = Farm::at(MORNING).await;
    let walk = walk_through(&farm, "B", &TWELVE).await;
    walk.says("No reading yet").says("0 of 12 stops.");
    let record = keep(&farm, &walk, &FIVE).await;
    record
        .is_stored()
        .says("21.9 °Brix (five vines or clusters, about ±0.7)");
    for (place, _, typed) in FIVE {
        let at = &stops(&walk)[place];
        let read = typed.replace(',', ".");
        assert_eq!(record.value_of(at), Some(read), "{}", record.text());
    }
    record.says("B2, B3, B4, B5");
    // The walk shows what is kept, and the sum of it.
    let again = farm.get(&walk.path).await;
    again
        .says("21.9 °Brix ± 0.7")
        .says("5 of 12 stops. Three more should bring it to ± 0.5.")
        .says("21.4, kept 07:10");
    let state = farm.get(&format!("{}/state", walk.path)).await;
    assert!(state.body.contains("\"brix\":[21.4]"), "{}", state.body);
    // It can be changed like any sample: every stop stands on the page.
    let page = farm.get(&format!("{}/correct", record.record())).await;
    assert_eq!(page.typed(&format!("read_{}", stops(&walk)[0])), ["21,4"]);
    let changed = farm
        .send(&page, &[(&format!("read_{}", stops(&walk)[0]), "21.9")])
        .await;
    let record = farm.get(changed.location()).await;
    record.is_stored().says("22.0 °Brix");
    let found = farm.store.check().await.expect("a check");
    assert_eq!(found.faults, [""; 0]);
    farm.close().await;
}

#[tokio::test]
async fn vines_passed_over_are_kept_with_the_reason() {
    let farm = Farm::at(MORNING).await;
    let walk = walk_through(&farm, "B", &TWELVE).await;
    let typed = [
        (0, "read", "21.4"),
        (1, "why", "gone"),
        (1, "note", "stump only"),
        (2, "why", "odd"),
        (3, "why", "skip"),
        (12, "read", "22.0"),
    ];
    let record = keep(&farm, &walk, &typed).await;
    let at = stops(&walk);
    assert_eq!(
        record.value_of(&at[1]).as_deref(),
        Some("passed over, gone: stump only")
    );
    assert_eq!(record.value_of(&at[2]).as_deref(), Some("passed over, odd"));
    assert_eq!(record.value_of(&at[3]).as_deref(), Some("passed over"));
    assert_eq!(record.value_of(&at[12]).as_deref(), Some("22.0"));
    // Nothing is written down as gone by itself; the way there is offered.
    let offered = record
        .links()
        .into_iter()
        .find(|link| link.contains("change=gone"));
    let vine = farm.get(&offered.expect("a link")).await;
    assert_eq!(vine.typed("address"), [at[1].as_str()]);
    assert_eq!(vine.typed("date"), ["2027-09-10"]);
    let read = farm.get("/vines").await;
    read.says_not(&at[1]);
    farm.send(&vine, &[]).await.sent_to("/entries/");
    let walk = farm.get(&walk.path).await;
    walk.says("Gone since 10 Sept: take a spare.");

    // A vine with a reading that is passed over as well is asked about.
    let both = [(5, "read", "21.4"), (5, "why", "odd")];
    let asked = keep(&farm, &walk, &both).await;
    asked.asks(&format!(
        "{} has a reading and is passed over as well. Does the reading count?",
        at[5]
    ));
    let record = farm.tap(&asked, "Yes, 21.4 counts").await;
    assert_eq!(record.value_of(&at[5]).as_deref(), Some("21.4"));

    // Nothing but reasons is no sample.
    let walk = farm.get(&walk.path).await;
    keep(&farm, &walk, &[(6, "why", "skip")])
        .await
        .asks("Type at least one reading.");
    farm.close().await;
}

#[tokio::test]
async fn a_slip_is_asked_about_at_its_stop() {
    let farm = Farm::at(MORNING).await;
    let walk = walk_through(&farm, "B", &TWELVE).await;
    let asked = keep(&farm, &walk, &[(0, "read", "215"), (1, "read", "21.8")]).await;
    asked.asks("Did you mean 21.5?");
    let at = &stops(&walk)[0];
    assert_eq!(
        asked.attributes("input[aria-invalid]", "name"),
        [format!("read_{at}")]
    );
    let held = farm
        .tap(&asked, "Keep it as typed, I'll mend it later")
        .await;
    held.says("Kept as typed");
    let walk = farm.get(&walk.path).await;
    walk.says("No reading yet");
    let mend = farm.get(&format!("{}/correct", held.record())).await;
    let record = farm.tap(&mend, "Yes, 21.5").await;
    assert_eq!(
        record.value_of(at).as_deref(),
        Some("21.5"),
        "{}",
        record.text()
    );
    farm.close().await;
}

#[tokio::test]
async fn two_phones_share_a_walk() {
    let farm = Farm::at(MORNING).await;
    for initials in ["LK", "TB"] {
        farm.save("/people/new", &[("initials", initials)]).await;
    }
    let walk = walk_through(&farm, "B", &TWELVE).await;
    let at = stops(&walk);
    let first = [
        ("person", "LK"),
        (&format!("read_{}", at[0]), "21.4"),
        (&format!("read_{}", at[1]), "22.8"),
    ];
    farm.send(&walk, &first).await.sent_to("/entries/");
    let farm = farm.later("2027-09-10T07:52:00-04:00").await;
    let other = farm.get(&walk.path).await;
    other.says("21.4, kept by LK 07:10").says("2 of 12 stops.");
    // The same vine read by both is one vine.
    let typed = [
        (1, "read", "22.6"),
        (2, "read", "21.6"),
        (3, "read", "21.5"),
        (4, "read", "22.2"),
    ];
    keep(&farm, &other, &typed).await.is_stored();
    let day = farm
        .get(&format!("/blocks/{}", farm.block("B").await))
        .await;
    day.says("five vines or clusters");
    let walk = farm.get(&walk.path).await;
    walk.says("5 of 12 stops.")
        .says("22.8, kept by LK 07:10; 22.6, kept");
    farm.close().await;
}

#[tokio::test]
async fn what_was_typed_in_a_block_closed_meanwhile_is_kept_and_says_so() {
    let farm = Farm::at("2027-09-04T09:00:00-04:00").await;
    let walk = walk_through(&farm, "D", &TWELVE).await;
    spray(&farm, "2027-09-04", "09:10", "10:40", "48").await;
    let farm = farm.later("2027-09-04T11:00:00-04:00").await;
    let record = keep(&farm, &walk, &FIVE).await;
    record
        .is_stored()
        .says("D Traminette was closed for entry then: until Mon 6 Sept 10:40.");
    farm.close().await;
}

#[tokio::test]
async fn berries_into_a_bag_are_ticked_on_the_way_and_read_at_the_end() {
    let farm = Farm::at(MORNING).await;
    let walk = walk_through(&farm, "B", &A_BAG).await;
    walk.says("0 of 25 stops.")
        .says("4 berries, two from each side, top of the cluster");
    assert_eq!(walk.typed("berries_1"), ["100"]);
    let typed = [(0, "done", "yes"), (1, "done", "yes"), (2, "why", "skip")];
    let asked = keep(&farm, &walk, &typed).await;
    asked.asks("This bag has no reading: type °Brix, pH, TA or its weight.");
    let record = farm
        .send(&asked, &[("brix_1_1", "21.5"), ("ph_1_1", "3.2")])
        .await;
    let record = farm.get(record.location()).await;
    record.is_stored().says("21.5 °Brix (one bag, about ±1.4)");
    record.says(&format!("{} passed over", stops(&walk)[2]));
    farm.close().await;
}
