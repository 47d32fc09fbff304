//! The same page saved more than once: by a double tap, from two windows, after Back.
//! Not here: answers that were lost (`outbox_line`).

use crate::support::handset::{FORM, SAVED, gone_home, in_the_rows, rain_of};
use crate::support::line::Does;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_double_tap_saves_once() {
    let (farm, line, phone) = in_the_rows().await;
    phone.type_in(&[("rain", "0.2")]).await;
    let twice =
        "for (let tap = 0; tap < 2; tap += 1) document.querySelector('button.main').click()";
    phone.browser.ask(twice).await;
    phone.says("Stored ").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);

    phone.open(FORM).await;
    line.does(Does::LoseRequests);
    phone.type_in(&[("rain", "0.3")]).await;
    phone.browser.ask(twice).await;
    phone.says("1 waiting.").await;
    phone.save().await;
    phone.save().await;
    line.does(Does::Pass);
    phone.in_reach().await;
    phone.bar_says("All sent").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20", "0.30"]);
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn two_windows_send_an_entry_once() {
    let (farm, line, phone) = in_the_rows().await;
    let [first, second] = phone.browser.second_window().await;
    phone.open(FORM).await;
    line.does(Does::LoseRequests);
    phone.rain("0.4").await;
    phone.says(SAVED).await;
    phone.says("1 waiting.").await;
    // The other window hears of it.
    phone.browser.window(&first).await;
    phone.bar_says("1 waiting").await;
    let brought = line.brought();
    line.does(Does::Pass);
    phone.in_reach().await;
    phone.browser.window(&second).await;
    phone.in_reach().await;
    phone.bar_says("All sent").await;
    phone.browser.window(&first).await;
    phone.bar_says("All sent").await;
    assert_eq!(rain_of(&farm.store).await, ["0.40"]);
    assert_eq!(line.brought(), brought + 1, "one page sends at a time");
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn back_and_other_values_are_two_entries_and_a_question() {
    let (farm, _line, phone) = in_the_rows().await;
    // Only a page out of the browser's own store comes back as it was left.
    phone.go_to_kept(FORM).await;
    phone.rain("0.2").await;
    phone.says("Stored ").await;
    phone.browser.back().await;
    phone.begun().await;
    let id = phone.box_holds("entries").await[0]["envelope"]["id"].clone();
    phone.holds("rain", "0.2").await;
    assert_eq!(Some(phone.typed("entry_id").await.as_str()), id.as_str());

    // The same again is the same entry.
    phone.save().await;
    phone.says("nothing was doubled").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20"]);

    phone.browser.back().await;
    phone.begun().await;
    phone.holds("rain", "0.2").await;
    phone.rain("0.3").await;
    phone.says("The same page was sent twice").await;
    assert_eq!(rain_of(&farm.store).await, ["0.20", "0.3"]);
    phone.bar_says("1 needs a look").await;
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_the_house_asks_is_asked_on_its_page_under_the_same_id() {
    let (farm, _line, phone) = in_the_rows().await;
    let id = phone.typed("entry_id").await;
    phone.rain("a lot").await;
    phone
        .browser
        .until(
            "a question",
            "return document.querySelector('.summary') !== null",
        )
        .await;
    phone.holds("rain", "a lot").await;
    assert_eq!(phone.typed("entry_id").await, id);
    assert!(rain_of(&farm.store).await.is_empty());
    assert!(phone.box_holds("entries").await.is_empty());
    assert_eq!(phone.box_holds("drafts").await.len(), 1);

    phone.tap("button[name=keep]").await;
    phone.says("Mend it").await;
    assert_eq!(rain_of(&farm.store).await, ["a lot"]);
    gone_home(farm, phone).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_page_that_is_a_mistake_is_taken_back_and_never_counts() {
    let (farm, line, phone) = in_the_rows().await;
    let bag = [("brix_1_1", "19.4")];
    farm.save("/ripeness/new", &bag).await;
    phone.open("/ripeness/new").await;
    phone.type_in(&[("brix_1_1", "19.6")]).await;
    phone.save().await;
    phone.says("or a mistake?").await;
    // Out of reach nothing is taken for an answer; what was typed stays.
    line.does(Does::LoseRequests);
    phone.tap_labelled("Mine is a mistake").await;
    phone.says("needs the farm computer").await;
    assert!(phone.box_holds("entries").await.is_empty());
    phone.holds("brix_1_1", "19.6").await;
    line.does(Does::Pass);
    phone.tap_labelled("Mine is a mistake").await;
    phone.says("Taken back").await;
    let block = farm.block("A").await;
    farm.get(&format!("/blocks/{block}"))
        .await
        .says("19.4 °Brix");
    gone_home(farm, phone).await;
}
