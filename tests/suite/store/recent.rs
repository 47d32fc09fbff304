//! What was measured last, kept up to date by new samples, is what a new reading of it gives.
//! Not here: the questions that lean on it (`ripeness`).

use chrono::{Days, NaiveDate};
use endpost::science::ripeness::{AcidReading, Attribute, BrixReading, Sample, Stop, Taken};
use endpost::store::{Recent, Store};
use uuid::Uuid;

use crate::support::entries::{bag, block, entry, id, new_store, rain, september, void};

async fn read(store: &Store, since: NaiveDate) -> Recent {
    store.read().await.unwrap().recent(since).await.unwrap()
}

/// All that can be asked of it, for two blocks and the days around September.
fn told(recent: &Recent) -> Vec<String> {
    let mut told = Vec::new();
    for of in [id(1), id(2)] {
        for attribute in Attribute::ALL {
            let latest = recent.latest(of, attribute);
            told.push(format!(
                "{attribute:?} {:?}",
                latest.map(|(date, value)| (date, format!("{value:.9}")))
            ));
        }
        for back in 0..120 {
            let date = september(30) - Days::new(back);
            let mut bags: Vec<_> = recent.bags_of(of, date).collect();
            // Only those of one number stand in order.
            bags.sort_by_key(|bag| bag.bag);
            told.extend(bags.into_iter().map(|bag| {
                let brix = bag.brix.map(|brix| format!("{brix:.9}"));
                format!(
                    "{} {date} {} {brix:?} {:?} {}",
                    bag.record, bag.bag, bag.person, bag.received_at
                )
            }));
        }
    }
    told
}

fn of_bags(block: Uuid, date: NaiveDate, bags: &[(u16, &[f64])]) -> Sample {
    let bags = bags.iter().map(|(number, brix)| bag(*number, brix));
    Sample::of(block, date, Taken::Bags(bags.collect()))
}

fn with_acid(block: Uuid, date: NaiveDate, ph: f64, ta: f64) -> Sample {
    let mut one = bag(4, &[]);
    one.ph = vec![ph, ph + 0.1];
    one.ta = Some(AcidReading {
        g_per_l: ta,
        end_point: None,
    });
    Sample::of(block, date, Taken::Bags(vec![one]))
}

fn of_weight(block: Uuid, date: NaiveDate) -> Sample {
    let mut one = bag(7, &[]);
    one.weight_g = Some(112.0);
    Sample::of(block, date, Taken::Bags(vec![one]))
}

fn of_stops(block: Uuid, date: NaiveDate, brix: &[f64]) -> Sample {
    let stop = |raw: &f64| Stop {
        at: None,
        brix: BrixReading {
            raw: *raw,
            corrected: raw + 0.3,
        },
    };
    Sample::of(block, date, Taken::Stops(brix.iter().map(stop).collect()))
}

#[tokio::test]
async fn what_was_measured_last_grows_with_new_samples() {
    let (_folder, store) = new_store().await;
    for number in [1, 2] {
        let name = ["A", "B"][number as usize - 1];
        store.enter(entry(number, block(name))).await.unwrap();
    }
    let before = of_bags(id(1), september(3), &[(1, &[18.2, 18.4])]);
    store.enter(entry(10, before)).await.unwrap();
    let since = september(1) - Days::new(20);
    let mut kept = read(&store, since).await;

    let days = [
        of_bags(id(1), september(3), &[(2, &[18.9]), (1, &[18.0])]),
        of_bags(id(1), september(10), &[(1, &[19.4, 19.6, 19.5])]),
        with_acid(id(1), september(8), 3.1, 9.4),
        of_stops(id(2), september(9), &[17.0, 18.0, 20.5]),
        // Before the bags that are looked at, and further back than a block's latest day counts.
        of_bags(id(1), since - Days::new(1), &[(1, &[9.0])]),
        with_acid(id(1), september(10) - Days::new(45), 2.9, 15.0),
        with_acid(id(2), september(9) - Days::new(44), 2.8, 16.0),
        // Nothing but a weight makes the latest day of its block too.
        of_weight(id(1), september(30) + Days::new(30)),
        // Its pH then lies too far behind the block's latest day.
        of_stops(id(2), september(30), &[22.0]),
    ];
    let mut saw_ph = false;
    for (number, sample) in (20..).zip(days) {
        store.enter(entry(number, sample)).await.unwrap();
        store
            .enter(entry(number + 100, rain(number - 19, 1.0)))
            .await
            .unwrap();
        assert!(store.bring_up_to_date(&mut kept), "only plain entries came");
        let fresh = read(&store, since).await;
        let told = told(&kept);
        saw_ph |= told.iter().any(|line| line.starts_with("Ph Some"));
        assert_eq!(told, self::told(&fresh), "after entry {number}");
    }
    assert!(saw_ph, "pH was told of as long as it counted");
    assert!(store.bring_up_to_date(&mut kept), "nothing came");
}

#[tokio::test]
async fn what_was_taken_back_makes_it_be_read_again() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, block("A"))).await.unwrap();
    let since = september(1);
    let mut kept = read(&store, since).await;
    let sample = of_bags(id(1), september(3), &[(1, &[18.2])]);
    store.enter(entry(2, sample)).await.unwrap();
    assert!(store.bring_up_to_date(&mut kept));
    store.enter(void(3, id(2))).await.unwrap();
    assert!(!store.bring_up_to_date(&mut kept));
    let fresh = read(&store, since).await;
    assert_eq!(fresh.latest(id(1), Attribute::Brix), None);
    kept = fresh;
    assert!(store.bring_up_to_date(&mut kept));
}

#[tokio::test]
async fn more_than_is_remembered_makes_it_be_read_again() {
    let (_folder, store) = new_store().await;
    store.enter(entry(1, block("A"))).await.unwrap();
    let mut old = read(&store, september(1)).await;
    let mut younger = old.clone();
    for number in 0..300 {
        let sample = of_bags(id(1), september(3), &[(1, &[18.2])]);
        store.enter(entry(10 + number, sample)).await.unwrap();
        if number == 100 {
            younger = read(&store, september(1)).await;
        }
    }
    assert!(!store.bring_up_to_date(&mut old));
    assert!(store.bring_up_to_date(&mut younger));
    assert_eq!(younger.bags_of(id(1), september(3)).count(), 300);
}
