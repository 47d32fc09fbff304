//! What is being typed and was not saved: it comes back after a kill, a reload or a dead line, and
//! goes only when somebody says so. Not here: what was saved (`outbox`).

use crate::support::farm::Farm;
use crate::support::handset::{FORM, Handset, gone_home, in_the_rows, rain_of};
use crate::support::line::{Does, Line};

/// Types and waits until it lies in the box.
async fn types(phone: &Handset, inches: &str) {
    phone
        .type_in(&[("rain", inches), ("note", "at dusk")])
        .await;
    a_draft_lies_there(phone, inches).await;
}

async fn a_draft_lies_there(phone: &Handset, text: &str) {
    for _ in 0..400 {
        let drafts = phone.box_holds("drafts").await;
        if drafts
            .iter()
            .any(|one| one["texts"].to_string().contains(text))
        {
            return;
        }
        phone.browser.moment().await;
    }
    panic!("no draft of {text}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_draft_outlives_a_kill_and_becomes_one_entry() {
    let farm = Farm::started().await;
    let line = Line::to(&farm.url("")).await;
    let profile = tempfile::tempdir().expect("a folder for the browser");
    let phone = Handset::over(profile.path(), line.port).await;
    phone.open(FORM).await;
    let id = phone.typed("entry_id").await;
    types(&phone, "0.2").await;
    phone.browser.kill_at_once();

    let phone = Handset::over(profile.path(), line.port).await;
    phone.open(FORM).await;
    phone.says("Put back from this phone, typed").await;
    phone.holds("rain", "0.2").await;
    assert_eq!(phone.typed("note").await, "at dusk");
    assert_eq!(phone.typed("entry_id").await, id);
    phone.save().await;
    phone.says("Stored ").await;
    phone.open(FORM).await;
    phone.holds("rain", "").await;
    assert!(phone.box_holds("drafts").await.is_empty());
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_reload_on_a_dead_line_keeps_what_was_typed() {
    let (farm, line, phone) = in_the_rows().await;
    types(&phone, "0.2").await;
    line.does(Does::LoseRequests);
    phone.browser.reload().await;
    let gone = "return document.querySelector('form') === null";
    phone.browser.until("the browser's own page", gone).await;
    line.does(Does::Pass);
    phone.open(FORM).await;
    phone.holds("rain", "0.2").await;
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn discarding_takes_a_second_tap_elsewhere_and_can_be_undone() {
    let (farm, _line, phone) = in_the_rows().await;
    types(&phone, "0.2").await;
    phone.open(FORM).await;
    phone.says("Put back from this phone").await;
    phone.tap_labelled("Discard").await;
    phone.tap_labelled("No, keep it").await;
    phone.holds("rain", "0.2").await;
    phone.tap_labelled("Discard").await;
    phone.tap_labelled("Yes, discard it").await;
    phone.says("Discarded.").await;
    phone.holds("rain", "").await;
    phone.tap_labelled("Undo").await;
    phone.says("Put back from this phone").await;
    phone.holds("rain", "0.2").await;
    assert_eq!(phone.box_holds("drafts").await.len(), 1);
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_page_the_house_drew_with_what_was_typed_is_left_alone() {
    let (farm, _line, phone) = in_the_rows().await;
    types(&phone, "0.2").await;
    let other =
        "document.querySelector('[name=entry_id]').value = '01990000-0000-7000-8000-000000000001'";
    phone.browser.ask(other).await;
    phone.rain("a lot").await;
    let asks = "return document.querySelector('.summary') !== null";
    phone.browser.until("a question", asks).await;
    phone.begun().await;
    phone.holds("rain", "a lot").await;
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_kept_form_opens_out_of_range_and_saves() {
    let (farm, line, phone) = in_the_rows().await;
    phone.has_kept(FORM).await;
    phone.has_kept("/outbox").await;
    line.does(Does::LoseRequests);
    phone.go("/outbox").await;
    phone.says("Pages that open out of range").await;
    phone.says("Rain and weather").await;
    phone.go(FORM).await;
    phone.says("ask whether anyone has sprayed since").await;
    phone.rain("0.2").await;
    phone.says("Saved on this phone. 1 waiting.").await;
    let first = phone.typed("entry_id").await;
    phone.go("/outbox").await;
    phone
        .says("Saved on this phone, waiting for the farm computer.")
        .await;
    phone.go(FORM).await;
    assert_ne!(phone.typed("entry_id").await, first);
    phone.rain("0.3").await;
    phone.says("Saved on this phone. 2 waiting.").await;
    line.does(Does::Pass);
    phone.in_reach().await;
    phone.bar_says("All sent").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20", "0.30"]);
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_sum_of_a_card_runs_along_while_it_is_typed() {
    let (farm, _line, phone) = in_the_rows().await;
    let asked = [("what", "clusters"), ("count", "1")];
    let sheet = farm.fill("/cards/new", &asked).await;
    let (_, code) = sheet.location().split_once("code=").expect("a code");
    phone.open(&format!("/clusters/new?card={code}")).await;
    let typed = [
        ("clusters_1", "41"),
        ("clusters_2", "35"),
        ("clusters_3", "?"),
        ("weight_1", "4,5"),
    ];
    phone.type_in(&typed).await;
    phone.says("What is typed here comes to 76.").await;
    phone.says("What is typed here comes to 4.5.").await;
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_was_typed_for_one_block_is_put_back_on_no_page_of_another() {
    let (farm, _line, phone) = in_the_rows().await;
    farm.save("/blocks/new", &[("name", "B")]).await;
    let of = async |block: &str| format!("/ripeness/new?block={}", farm.block(block).await);
    let (of_a, of_b) = (of("A").await, of("B").await);
    let asked = [("what", "berries"), ("count", "1")];
    let sheet = farm.fill("/cards/new", &asked).await;
    let (_, code) = sheet.location().split_once("code=").expect("a code");
    phone.open(&of_a).await;
    phone.type_in(&[("brix_1_1", "17.7")]).await;
    a_draft_lies_there(&phone, "17.7").await;
    phone.open(&of_b).await;
    assert_eq!(phone.typed("brix_1_1").await, "");
    phone.open(&format!("/ripeness/new?card={code}")).await;
    assert_eq!(phone.typed("brix_1_1").await, "");
    assert_eq!(phone.typed("date").await, "");
    phone.open(&of_a).await;
    phone.holds("brix_1_1", "17.7").await;
    phone.open("/outbox").await;
    phone.says("New sample, A").await;
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_a_save_says_is_in_view_and_sending_in_vain_is_told() {
    let (farm, line, phone) = in_the_rows().await;
    line.does(Does::LoseRequests);
    let bottom = "document.querySelector('button.main').scrollIntoView()";
    phone.browser.ask(bottom).await;
    phone.rain("0.2").await;
    phone.says("Saved on this phone. 1 waiting.").await;
    let in_view = "const { top, bottom } = document.querySelector('.told').getBoundingClientRect();
                   return top >= 0 && bottom <= innerHeight";
    assert_eq!(phone.browser.ask(in_view).await, true);
    phone.save().await;
    phone.says("Saved; nothing new.").await;
    line.does(Does::Pass);
    phone.open("/outbox").await;
    phone.bar_says("All sent").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);
    line.does(Does::LoseRequests);
    phone.go(FORM).await;
    phone.rain("0.3").await;
    phone.says("1 waiting.").await;
    phone.go("/outbox").await;
    phone.tap("#send-now").await;
    phone.says("The farm computer did not take them now.").await;
    gone_home(farm, phone).await;
}
