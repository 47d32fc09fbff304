//! The page of a walk on a phone: its script says the same sum as the farm computer, offers spare
//! vines, and turns closed with what was typed in sight. Not here: what is kept (`ripeness`).

use endpost::science::ripeness::Assumptions;
use endpost::science::ripeness::walk::running::running;
use endpost::web::ripeness::walk_words;
use serde_json::{Value, json};

use crate::support::browser::Browser;
use crate::support::farm::{Farm, MORNING};
use crate::support::handset::{Handset, SAVED, gone_home};
use crate::support::line::{Does, Line};
use crate::support::seed::save_anyway;

/// Vines standing in B.
const VINES: u32 = 264;
const STOPS: usize = 12;
const ZERO: f64 = 0.3;

async fn walk(farm: &Farm, browser: &Browser, wanted: &str) -> String {
    let block = farm.block("B").await;
    let wishes = [("stops", "12"), ("wanted", wanted)];
    let made = farm
        .fill(&format!("/walks/new?block={block}"), &wishes)
        .await;
    let path = made.location().to_owned();
    browser.open(&farm.url(&path)).await;
    let begun = "return document.querySelector('form.walk.scripted') !== null";
    browser.until("the script of the walk", begun).await;
    path
}

/// Types readings into the stops in their order, and gives back what the page then says.
const TYPED: &str = "
    const stops = [...document.querySelectorAll('.stop [name^=read_]')];
    return READINGS.map(readings => {
        stops.forEach((stop, place) => stop.value = readings[place] ?? '');
        stops[0].dispatchEvent(new Event('input', { bubbles: true }));
        return ['#value', '#so-far'].map(one => document.querySelector(one).textContent);
    });
";

async fn said(browser: &Browser, readings: &Value) -> Vec<(String, String)> {
    let script = TYPED.replace("READINGS", &readings.to_string());
    let said: Value = browser.ask(&script).await;
    serde_json::from_value(said).expect("pairs of lines")
}

/// Tenths of a degree, always the same.
fn scatter(seed: u64) -> u64 {
    let mixed = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    (mixed ^ (mixed >> 29)).wrapping_mul(0xBF58_476D_1CE4_E5B9) >> 33
}

fn many_readings() -> Vec<Vec<f64>> {
    (0..90_u64)
        .map(|seed| {
            let width = [3, 12, 40][(seed % 3) as usize];
            let count = 1 + seed % STOPS as u64;
            (0..count)
                .map(|stop| 200.0 + (scatter(seed * 100 + stop) % width) as f64)
                .map(|tenths| tenths / 10.0)
                .collect()
        })
        .collect()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_phone_says_the_sum_of_the_farm_computer() {
    let farm = Farm::at(MORNING).await;
    let zeroed = [("name", "blue"), ("compensated", "yes"), ("water", "0.3")];
    farm.save("/instruments/new", &zeroed).await;
    let browser = Browser::start().await;
    let assumptions = Assumptions::default();
    for (typed, wanted) in [("0.5", 0.5), ("1.5", 1.5), ("0.1", 0.1)] {
        walk(&farm, &browser, typed).await;
        let all = many_readings();
        let shown = said(&browser, &json!(all)).await;
        for (readings, shown) in all.iter().zip(shown) {
            let values: Vec<f64> = readings.iter().map(|read| read - ZERO).collect();
            let sum = running(&values, Some(VINES), Some(wanted), &assumptions);
            let expected = walk_words::running(sum.as_ref(), STOPS, Some(wanted));
            assert_eq!(shown, expected, "{readings:?}, ± {wanted}");
        }
    }
    // What is no reading yet is in no sum.
    let half = json!([["21.4", "", "215", "2x", "21,", " 22,0 "], []]);
    let shown = said(&browser, &half).await;
    assert_eq!(shown[0].0, "21.4 °Brix ± 1.7", "{shown:?}");
    let told = "2 of 12 stops, 3 to look at.";
    assert!(shown[0].1.starts_with(told), "{shown:?}");
    assert_eq!(shown[1].0, "No reading yet");
    farm.close().await;
}

/// How many stops of a kind are in sight.
async fn in_sight(browser: &Browser, selector: &str) -> u64 {
    let script = format!(
        "return [...document.querySelectorAll('{selector}')].filter(one => one.checkVisibility()).length"
    );
    browser.ask(&script).await.as_u64().expect("a number")
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_spare_vine_is_offered_for_each_one_passed_over() {
    let farm = Farm::at(MORNING).await;
    let browser = Browser::start().await;
    walk(&farm, &browser, "0.5").await;
    assert_eq!(in_sight(&browser, ".stop").await, 12);
    assert_eq!(in_sight(&browser, ".stop details, #spares").await, 0);
    browser.ask("document.querySelector('#pass').click()").await;
    assert_eq!(in_sight(&browser, ".stop details").await, 1);
    browser
        .ask("document.querySelector('.stop details[open] input[value=gone]').click()")
        .await;
    assert_eq!(in_sight(&browser, ".spares .stop").await, 1);
    // The next tap is about the next vine.
    let focus = "document.querySelectorAll('.stop [name^=read_]')[4].focus()";
    browser.ask(focus).await;
    browser.ask("document.querySelector('#pass').click()").await;
    let open = "return document.querySelectorAll('.stop')[4].querySelector('details').open";
    assert_eq!(browser.ask(open).await, Value::Bool(true));
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_block_that_closes_meanwhile_turns_the_page_closed_and_keeps_what_was_typed() {
    let farm = Farm::at(MORNING).await;
    let browser = Browser::start().await;
    let path = walk(&farm, &browser, "0.5").await;
    said(&browser, &json!([["21.4", "22.8"]])).await;
    let block = farm.block("B").await;
    let spray = [
        ("block", block.as_str()),
        ("date", "2027-09-10"),
        ("started", "06:10"),
        ("ended", "06:40"),
        ("product_1_name", "Tank 1 fungicide"),
        ("product_1_entry", "48"),
        ("product_1_harvest", "14"),
        ("label_read", "yes"),
    ];
    save_anyway(&farm, "/sprays/new", &spray).await;
    browser.ask("dispatchEvent(new Event('focus'))").await;
    let closed = "return !document.querySelector('#closed').hidden";
    browser.until("the hold", closed).await;
    let words = "return document.querySelector('main').innerText";
    let words = browser.ask(words).await.to_string();
    assert!(words.contains("CLOSED until Sun 12 Sept 06:40"), "{words}");
    assert_eq!(in_sight(&browser, ".stop").await, 2);
    let values =
        "return [...document.querySelectorAll('.stop [name^=read_]')].map(one => one.value)
                      .filter(value => value)";
    assert_eq!(browser.ask(values).await, json!(["21.4", "22.8"]));
    // Kept from there, it is stored with the hold beside it.
    browser
        .ask("document.querySelector('form.walk button.main').click()")
        .await;
    let stored = "return location.pathname.startsWith('/entries/')";
    browser.until("the entry's page", stored).await;
    let words = browser
        .ask("return document.body.innerText")
        .await
        .to_string();
    assert!(words.contains("was closed for entry then"), "{words}");
    let walk = farm.get(&path).await;
    walk.says("CLOSED until Sun 12 Sept 06:40.");
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_kept_out_of_range_stays_in_sight_and_in_the_sum() {
    let farm = Farm::at(MORNING).await;
    let block = farm.block("B").await;
    let wishes = [("stops", "12"), ("wanted", "0.5")];
    let made = farm
        .fill(&format!("/walks/new?block={block}"), &wishes)
        .await;
    let line = Line::to(&farm.url("")).await;
    let phone = Handset::new(line.port).await;
    phone.open(made.location()).await;
    line.does(Does::LoseRequests);
    said(&phone.browser, &json!([["21.4", "22.8", "215"]])).await;
    phone.says("2 of 12 stops, 1 to look at.").await;
    phone.says("Look at this reading").await;
    phone.save().await;
    phone.says(&format!("{SAVED}. 1 waiting.")).await;
    phone.says("215, kept on this phone").await;
    phone.says("22.1 °Brix").await;
    phone.says("2 of 12 stops.").await;
    let values = "return [...document.querySelectorAll('.stop [name^=read_]')]
                      .filter(one => one.value).length";
    assert_eq!(
        phone.browser.ask(values).await,
        json!(0),
        "ready for the rest"
    );
    gone_home(farm, phone).await;
}
