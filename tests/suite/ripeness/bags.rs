//! Bags of a day, single vines, what was not measured, and where a new line begins.
//! Not here: readings of one juice (`bench`).

use endpost::science::ripeness::{Sample, Taken};

use super::{block_page, sampled, single_bags, typed_in, wanted};
use crate::support::farm::Farm;
use crate::support::page::Page;

const MONDAY: &str = "2027-09-13T07:43:00-04:00";

/// The samples of a block as they are stored.
async fn stored(farm: &Farm, block: &str) -> Vec<Sample> {
    let block = farm.block(block).await;
    let mut read = farm.store.read().await.expect("a view");
    let [first, last] = ["2027-01-01", "2027-12-31"].map(|day| day.parse().expect("a date"));
    let samples = read.samples_between(first, last).await.expect("samples");
    let of_block = samples.into_iter().map(|one| one.sample);
    of_block
        .filter(|one| one.block.to_string() == block)
        .collect()
}

/// C's bag 1 of Mon 13 Sept was 19.4; then comes another bag 1, 19.6.
async fn second_bag_1() -> (Farm, Page) {
    let farm = Farm::at(MONDAY).await;
    let first = [("time", "07:40"), ("bag_1", "1"), ("brix_1_1", "19.4")];
    sampled(&farm, "C", &first).await.is_stored();
    let second = [("time", "07:43"), ("bag_1", "1"), ("brix_1_1", "19.6")];
    let asked = sampled(&farm, "C", &second).await;
    asked.asks(
        "This phone entered C Vidal bag 1 of Mon 13 Sept at 07:43: 19.4. Is yours another look at \
         the same bag, another bag, or a mistake?",
    );
    assert_eq!(asked.typed("brix_1_1"), ["19.6"]);
    assert_eq!(stored(&farm, "C").await.len(), 1, "nothing without a tap");
    (farm, asked)
}

#[tokio::test]
async fn another_look_at_the_same_bag_is_one_bag_read_twice() {
    let (farm, asked) = second_bag_1().await;
    let record = farm.tap(&asked, "Another look at the same bag").await;
    record.is_stored();
    let page = block_page(&farm, "C").await;
    page.says("°Brix 19.5 (one bag, about ±1.4)");
    page.says("19.5 °Brix on 13 Sept (one bag, about ±1.4)");
    assert_eq!(stored(&farm, "C").await.len(), 2, "both looks are kept");
}

#[tokio::test]
async fn another_bag_takes_the_next_number() {
    let (farm, asked) = second_bag_1().await;
    let record = farm.tap(&asked, "Another bag: number 2").await;
    record.is_stored();
    record.says("Bag 2");
    assert_eq!(typed_in(&record, "bag_1").as_deref(), Some("1"), "as typed");
    let page = block_page(&farm, "C").await;
    page.says("19.5 °Brix on 13 Sept (two bags, 0.2 apart, about ±1.0)");
}

#[tokio::test]
async fn a_mistake_is_mended_or_left_and_the_first_stays_as_it_was() {
    let (farm, asked) = second_bag_1().await;
    assert_eq!(asked.text_of("a.offer"), ["No, let me fix it"]);
    assert_eq!(asked.attributes("a.offer", "href"), ["#bag_1"]);
    let mended = farm.send(&asked, &[("bag_1", "3")]).await;
    farm.get(mended.location()).await.says("Bag 3");
    let samples = stored(&farm, "C").await;
    let Taken::Bags(bags) = &samples[0].taken else {
        panic!("{samples:?}");
    };
    assert_eq!((bags[0].number, bags[0].brix[0].raw), (1, 19.4));
}

#[tokio::test]
async fn a_mistake_is_kept_and_taken_back_at_once() {
    let (farm, asked) = second_bag_1().await;
    let record = farm.tap(&asked, "Mine is a mistake").await;
    record.says("Taken back.");
    record.says("19.6");
    assert_eq!(stored(&farm, "C").await.len(), 1, "only the first counts");
    farm.tap(&asked, "Mine is a mistake")
        .await
        .says("Taken back");
    farm.get("/held").await.says_not("19.6");
}

#[tokio::test]
async fn an_empty_bag_number_is_asked_about_as_well() {
    let farm = Farm::at(MONDAY).await;
    sampled(&farm, "C", &[("brix_1_1", "19.4")])
        .await
        .is_stored();
    let asked = sampled(&farm, "C", &[("brix_1_1", "19.6")]).await;
    asked.says("entered C Vidal bag 1 of Mon 13 Sept at 07:43: 19.4.");
    let record = farm.tap(&asked, "Another bag: number 2").await;
    record.is_stored();
    record.says("Bag 2");
}

#[tokio::test]
async fn bags_more_than_two_apart_are_asked_about_once() {
    let farm = Farm::at(MONDAY).await;
    let just = [("brix_1_1", "19.4"), ("brix_2_1", "21.4")];
    sampled(&farm, "B", &just).await.is_stored();
    let far = [("brix_1_1", "19.4"), ("brix_2_1", "21.5")];
    let asked = sampled(&farm, "C", &far).await;
    asked.asks("The bags are 2.1 apart: is one from another part of the block?");
    for (name, text) in far {
        assert_eq!(asked.typed(name), [text]);
    }
    assert!(stored(&farm, "C").await.is_empty());
    let record = farm.save_again(&asked).await;
    record.is_stored();
    record.says("two bags, 2.1 apart, about ±1.0");
}

#[tokio::test]
async fn stops_are_read_by_address_and_read_back() {
    let farm = Farm::at(MONDAY).await;
    let lines = "C2-7-2 19.4\nc3 7 2 19,8\nC3.1.4: 20.0\n19.6";
    let record = sampled(&farm, "C", &[("stops", lines)]).await;
    record.is_stored();
    for (at, brix) in [
        ("C2-7-2", "19.4"),
        ("C3-7-2", "19.8"),
        ("C3-1-4", "20.0"),
        ("Stop 4", "19.6"),
    ] {
        assert_eq!(record.value_of(at).as_deref(), Some(brix), "{at}");
    }
    record.says("19.7 °Brix (four vines or clusters");
    for (typed, told) in [
        ("c37 2 19.4", "Write row, panel and vine apart"),
        ("C9-1-1 19.4", "C9"),
        ("C3-7-2 215", "Did you mean 21.5?"),
    ] {
        let asked = sampled(&farm, "C", &[("stops", typed)]).await;
        assert_eq!(asked.status, 422, "{typed}");
        asked.says(told);
        assert_eq!(asked.typed("stops"), [typed]);
    }
}

#[tokio::test]
async fn a_blank_ph_is_not_measured_and_never_nought() {
    let farm = Farm::at(MONDAY).await;
    wanted(&farm, "C", &[("brix_low", "19.0"), ("ph_high", "3.40")]).await;
    let typed = [("brix_1_1", "19.4"), ("ph_1_1", " "), ("ta_1", "9.6")];
    let record = sampled(&farm, "C", &typed).await;
    record.is_stored();
    assert_eq!(record.value_of("pH"), None);
    assert_eq!(
        record.value_of("Bag 1").as_deref(),
        Some("19.4 °Brix (looks 19.4); TA 9.6 g/L")
    );
    let Taken::Bags(bags) = &stored(&farm, "C").await[0].taken else {
        panic!("a bag");
    };
    assert!(bags[0].ph.is_empty());
    for path in ["/", "/harvest/sheet"] {
        let page = farm.get(path).await;
        page.says("not measured");
        page.says_not("0.00");
    }
    let page = block_page(&farm, "C").await;
    page.says("pH not measured");
    page.says_not("0.00");
    assert_ne!(page.text_of(".badge")[0], "Ready");
}

#[tokio::test]
async fn a_mean_of_ph_counts_only_what_was_measured() {
    let farm = Farm::at(MONDAY).await;
    let typed = [
        ("brix_1_1", "19.4"),
        ("brix_2_1", "19.6"),
        ("ph_2_1", "3.1"),
    ];
    let record = sampled(&farm, "C", &typed).await;
    record.is_stored();
    assert_eq!(record.value_of("pH").as_deref(), Some("3.10 (one bag)"));
}

#[tokio::test]
async fn a_new_line_leaves_the_earlier_samples_out_of_the_forecast() {
    let farm = Farm::at(MONDAY).await;
    wanted(&farm, "C", &[("brix_low", "21.0")]).await;
    single_bags(
        &farm,
        "C",
        &[("2027-08-20", "14.0"), ("2027-08-27", "15.5")],
    )
    .await;
    let typed = [
        ("date", "2027-09-06"),
        ("brix_1_1", "18.0"),
        ("new_series", "another sampler"),
    ];
    let record = sampled(&farm, "C", &typed).await;
    record.is_stored();
    let begins = record.value_of("A new line begins");
    assert_eq!(begins.as_deref(), Some("another sampler"));
    block_page(&farm, "C").await.says("needs a second reading");

    single_bags(&farm, "C", &[("2027-09-13", "19.2")]).await;
    let page = block_page(&farm, "C").await;
    page.says("Rough guess from two samples.");
    page.says("a new line begins: another sampler");
    let dates = page.text_of("h2 + ul.list > li strong");
    assert_eq!(dates, ["Mon 13 Sept", "Mon 6 Sept"]);
    assert_eq!(
        stored(&farm, "C").await.len(),
        4,
        "the earlier ones are kept"
    );
}
