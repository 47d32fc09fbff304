//! Single vines in lines of one field: every line is asked what a bag is asked, by its own name.
//! Not here: bags (`keeping`, `asked`).

use crate::support::farm::Farm;
use crate::support::page::Page;

async fn vineyard() -> Farm {
    let farm = Farm::started().await;
    farm.save("/blocks/new", &[("name", "B"), ("variety", "Frontenac")])
        .await;
    for name in ["A", "B"] {
        let block = farm.block(name).await;
        let rows = [("block", block.as_str()), ("rows", "6 x 11 x 4")];
        farm.save("/rows/new", &rows).await;
    }
    let gone = [
        ("address", "A2-4-1"),
        ("change", "gone"),
        ("date", "2027-05-08"),
    ];
    farm.save("/vines/new", &gone).await;
    farm
}

async fn walked(farm: &Farm, lines: &str, more: &[(&str, &str)]) -> Page {
    let block = farm.block("A").await;
    let mut fields = vec![
        ("block", block.as_str()),
        ("date", "2027-09-09"),
        ("stops", lines),
    ];
    fields.extend(more);
    farm.fill("/ripeness/new", &fields).await
}

fn told(page: &Page) -> Vec<String> {
    page.text_of(".summary li > a")
        .into_iter()
        .filter(|text| text != "No, let me fix it")
        .collect()
}

#[tokio::test]
async fn each_line_is_asked_by_its_name() {
    let farm = vineyard().await;
    let lines = "A3-7-2 21.4\nA3-8-1 45\nA2-4-1 21.0\nB2-1-1 20.6\nA4-1-1 <21";
    let asked = walked(&farm, lines, &[]).await;
    assert_eq!(asked.status, 422);
    assert_eq!(
        told(&asked),
        [
            "\"A3-8-1 45\": Did you mean 4.5?",
            "\"A2-4-1 21.0\": A2-4-1 is written down as gone since 8 May.",
            "\"B2-1-1 20.6\": Row B2 belongs to B, the sample is of A.",
            "\"A4-1-1 <21\": \"<21\" says below 21. Take 21?",
        ],
    );
    // Saved again as it stands, all is answered.
    let stored = farm.send(&asked, &[]).await;
    let record = farm.get(stored.location()).await;
    assert!(record.text().contains("A3-8-1 45.0"), "{}", record.text());
    farm.close().await;
}

#[tokio::test]
async fn an_answer_mends_its_own_line() {
    let farm = vineyard().await;
    let asked = walked(&farm, "A3-7-2 214\nA3-8-1 20.9 °Brix", &[]).await;
    assert_eq!(told(&asked), ["\"A3-7-2 214\": Did you mean 21.4?"]);
    let offers = asked.attributes("button[name=tap]", "value");
    let stored = farm.send(&asked, &[("tap", &offers[0])]).await;
    let record = farm.get(stored.location()).await;
    for value in ["A3-7-2 21.4", "A3-8-1 20.9"] {
        assert!(record.text().contains(value), "{}", record.text());
    }
    farm.close().await;
}

#[tokio::test]
async fn what_is_no_reading_is_refused() {
    let farm = vineyard().await;
    let asked = walked(&farm, "A3-7-2 20.0kg\nA3-7 21.0\nA3-7-3 good", &[]).await;
    let told = told(&asked);
    assert!(told[0].contains("\"kg\" is no unit of sugar"), "{told:?}");
    assert!(told[1].contains("That is not a single vine."), "{told:?}");
    assert!(told[2].contains("is not a number"), "{told:?}");
    assert_eq!(told.len(), 3, "{told:?}");
    farm.close().await;
}

#[tokio::test]
async fn an_instrument_that_does_not_compensate_asks_how_warm_it_was() {
    let farm = vineyard().await;
    let old = [
        ("name", "the old one"),
        ("compensated", "no"),
        ("water", "0.2"),
    ];
    farm.save("/instruments/new", &old).await;
    let lines = "A3-7-2 20.0\nA3-8-1 20.0";
    let asked = walked(&farm, lines, &[]).await;
    let told = told(&asked);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(
        told[0].starts_with("the old one does not compensate"),
        "{told:?}"
    );
    assert!(asked.has_id("stops_temp-problem"));
    // 20.0 read at 30 °C, water reads 0.2: 19.8 and 0.79 (ICUMSA SPS-3).
    let stored = farm.send(&asked, &[("stops_temp", "86")]).await;
    let record = farm.get(stored.location()).await;
    assert!(record.text().contains("A3-7-2 20.6"), "{}", record.text());
    farm.close().await;
}

#[tokio::test]
async fn vines_differ_and_are_not_asked_about_one_by_one_but_their_mean_is() {
    let farm = vineyard().await;
    let block = farm.block("A").await;
    let bag = [
        ("block", block.as_str()),
        ("date", "2027-09-08"),
        ("brix_1_1", "21.0"),
        ("no_instrument", "yes"),
    ];
    farm.save("/ripeness/new", &bag).await;
    let around = "A3-7-2 18.1\nA3-8-1 24.2\nA4-1-1 21.4\nA5-1-1 20.2";
    let stored = walked(&farm, around, &[("no_instrument", "yes")]).await;
    stored.sent_to("/entries/");
    let low = "A3-7-2 17.1\nA3-8-1 17.5";
    let asked = walked(
        &farm,
        low,
        &[("no_instrument", "yes"), ("date", "2027-09-10")],
    )
    .await;
    let [told] = &told(&asked)[..] else {
        panic!("{:?}", told(&asked));
    };
    assert!(
        told.starts_with("The mean of all lines is 17.3 °Brix. Fell "),
        "{told}"
    );
    farm.tap(&asked, "They read so").await.is_stored();
    farm.close().await;
}

#[tokio::test]
async fn vines_on_a_day_that_has_bags_are_asked_about_and_said() {
    let farm = vineyard().await;
    let block = farm.block("A").await;
    let bag = [
        ("block", block.as_str()),
        ("date", "2027-09-09"),
        ("brix_1_1", "20.5"),
        ("note", "smells of vinegar at A4"),
        ("no_instrument", "yes"),
    ];
    farm.save("/ripeness/new", &bag).await;
    let lines = "A3-7-2 22.0\nA3-8-1 22.2";
    let asked = walked(&farm, lines, &[("no_instrument", "yes")]).await;
    let [told] = &told(&asked)[..] else {
        panic!("{:?}", told(&asked));
    };
    assert!(told.contains("bags stand for the day"), "{told}");
    farm.tap(&asked, "Keep them beside").await.is_stored();
    let page = farm.get(&format!("/blocks/{block}")).await;
    page.says("°Brix 20.5 (one bag, about ±1.4)");
    page.says("single vines or clusters read 22.1 °Brix beside them (two vines or clusters");
    page.says("smells of vinegar at A4");
    farm.close().await;
}

#[tokio::test]
async fn a_vine_read_twice_is_one_vine() {
    let farm = vineyard().await;
    let block = farm.block("A").await;
    let lines = "A3-7-2 18.4\nA3-8-1 19.0\nA4-1-1 18.8";
    for _ in 0..2 {
        let stored = walked(&farm, lines, &[("no_instrument", "yes")]).await;
        stored.sent_to("/entries/");
    }
    let page = farm.get(&format!("/blocks/{block}")).await;
    page.says("18.7 (three vines or clusters")
        .says_not("six vines");
    farm.close().await;
}
