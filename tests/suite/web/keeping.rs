//! A page that asks: status 422, everything still typed, each problem linked to its field, and
//! "keep it as typed" as the way out. Not here: which values are asked about.

use super::addresses::forms;
use super::manners::well_mannered;
use crate::support::farm::Farm;
use crate::support::page::{Page, selector};

/// Text for each field that can't be what the field wants.
fn wrong_text(name: &str) -> String {
    format!("what? {name}")
}

/// The fields of a page that are typed into.
fn typed_into(page: &Page) -> Vec<String> {
    let wanted = "form[method=post] input[type=text], form[method=post] input[type=date], \
                  form[method=post] input[type=time], form[method=post] textarea";
    page.attributes(wanted, "name")
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_was_typed_stands_there_and_problems_lead_to_their_fields() {
    let farm = Farm::started().await;
    let mut asked = 0;
    for path in forms() {
        let page = farm.get(&path).await;
        let names = typed_into(&page);
        let texts: Vec<String> = names.iter().map(|name| wrong_text(name)).collect();
        let typed: Vec<(&str, &str)> = names
            .iter()
            .zip(&texts)
            .map(|(name, text)| (name.as_str(), text.as_str()))
            .collect();
        let answer = farm.send(&page, &typed).await;
        if answer.status == 303 {
            continue;
        }
        asked += 1;
        assert_eq!(answer.status, 422, "{path}");
        well_mannered(&answer);
        for (name, text) in &typed {
            assert_eq!(answer.typed(name), [*text], "{path} lost {name}");
        }
        assert_eq!(
            answer.typed("entry_id"),
            page.typed("entry_id"),
            "{path} is another entry now"
        );
        problems_lead_to_fields(&answer);
    }
    assert!(asked > 4, "only {asked} forms asked anything");
    farm.close().await;
}

fn problems_lead_to_fields(page: &Page) {
    let links = page.attributes(".summary li > a", "href");
    assert!(!links.is_empty(), "{} has no summary", page.path);
    for link in &links {
        let id = link.strip_prefix('#').unwrap_or_default();
        assert!(page.has_id(id), "{}: {link} leads nowhere", page.path);
        assert!(
            page.has_id(&format!("{id}-problem")),
            "{}: {id} says nothing",
            page.path
        );
    }
    let document = page.document();
    for element in document.select(&selector("[aria-describedby], [aria-labelledby]")) {
        for name in ["aria-describedby", "aria-labelledby"] {
            for id in element.attr(name).unwrap_or_default().split_whitespace() {
                assert!(page.has_id(id), "{}: {name} names {id}", page.path);
            }
        }
    }
}

/// A browser leaves out a line end right behind the tag of a field of several lines.
#[tokio::test]
async fn a_note_that_begins_with_an_empty_line_keeps_it() {
    let farm = Farm::started().await;
    let typed = "\r\n\r\nbehind two empty lines";
    let asked = farm
        .fill("/weather/new", &[("rain", "much"), ("note", typed)])
        .await;
    assert_eq!(asked.status, 422);
    assert_eq!(asked.typed("note"), ["\n\nbehind two empty lines"]);
    farm.close().await;
}

#[tokio::test]
async fn the_first_page_keeps_what_was_typed_too() {
    let farm = Farm::empty().await;
    let answer = farm
        .fill(
            "/start",
            &[
                ("name", "Tamarack Bend"),
                ("zone", "the river"),
                ("block_name", ""),
            ],
        )
        .await;
    assert_eq!(answer.status, 422);
    assert_eq!(answer.typed("name"), ["Tamarack Bend"]);
    assert_eq!(answer.typed("zone"), ["the river"]);
    problems_lead_to_fields(&answer);
    farm.close().await;
}

/// Story: "215" is asked about, and one tap mends it.
#[tokio::test]
async fn a_slip_of_the_point_is_asked_about_and_one_tap_mends_it() {
    let farm = Farm::started().await;
    let reading = ("brix_1_1", "215");
    let asked = farm
        .fill("/ripeness/new", &[reading, ("date", "2027-09-09")])
        .await;
    assert_eq!(asked.status, 422, "{}", asked.text());
    assert!(asked.text().contains("21.5"), "{}", asked.text());
    let offers = asked.attributes("button[name=tap]", "value");
    assert_eq!(offers.len(), 1, "{}", asked.text());
    let stored = farm.send(&asked, &[("tap", &offers[0])]).await;
    stored.sent_to("/entries/");
    let record = farm.get(stored.location()).await;
    assert!(record.text().contains("21.5"), "{}", record.text());
    assert!(
        record.text().contains("215"),
        "the typed text is shown: {}",
        record.text()
    );
    farm.close().await;
}

#[tokio::test]
async fn kept_as_typed_it_waits_and_can_be_mended() {
    let farm = Farm::started().await;
    let fields = [("brix_1_1", "21,4 or so"), ("date", "2027-09-09")];
    let asked = farm.fill("/ripeness/new", &fields).await;
    assert_eq!(asked.status, 422);
    let kept = farm.send(&asked, &[("keep", "1")]).await;
    let page = farm.get(kept.location()).await;
    assert!(page.text().contains("Kept as typed"), "{}", page.text());
    let held = farm.get("/held").await;
    assert!(held.text().contains("New sample"), "{}", held.text());
    assert!(farm.get("/").await.text().contains("1 entry needs a look"));

    let entry = kept.record();
    let mend = farm.get(&format!("{entry}/correct")).await;
    assert_eq!(mend.typed("brix_1_1"), ["21,4 or so"]);
    let mended = farm.send(&mend, &[("brix_1_1", "21,4")]).await;
    mended.sent_to("/entries/");
    assert!(!farm.get("/").await.text().contains("needs a look"));
    farm.close().await;
}

/// A bag of 22.9 with one thing more, on the sample form.
async fn one_bag(farm: &Farm, more: (&str, &str)) -> Page {
    let block = farm.block("A").await;
    let typed = [
        ("block", block.as_str()),
        ("date", "2027-09-10"),
        ("brix_1_1", "22.9"),
        ("no_instrument", "yes"),
        more,
    ];
    farm.fill("/ripeness/new", &typed).await
}

/// A record of 41 °F, its address, and the page of a change of it that can't be understood.
async fn change_to_fortyish(farm: &Farm) -> (String, Page) {
    let path = farm.save("/weather/new", &[("low", "41")]).await.record();
    let asked = farm
        .fill(&format!("{path}/correct"), &[("low", "fortyish")])
        .await;
    (path, asked)
}

#[tokio::test]
async fn another_bag_leaves_questions_open() {
    let farm = Farm::started().await;
    let asked = one_bag(&farm, ("ta_1", "1.15")).await;
    asked.asks("1.15 % = 11.5 g/L tartaric?");
    let more = farm.send(&asked, &[("more", "1")]).await;
    assert_eq!(more.status, 200);
    farm.send(&more, &[])
        .await
        .asks("1.15 % = 11.5 g/L tartaric?");
    farm.close().await;
}

#[tokio::test]
async fn a_bag_without_a_reading_is_no_bag() {
    let farm = Farm::started().await;
    let asked = one_bag(&farm, ("berries_2", "100")).await;
    assert_eq!(asked.status, 422);
    asked.says("This bag has no reading");
    farm.close().await;
}

#[tokio::test]
async fn a_berry_of_four_milligrams_is_asked_about() {
    let farm = Farm::started().await;
    let asked = one_bag(&farm, ("weight_1", "0.4")).await;
    asked.asks("A berry would weigh 0.004 g; usual is 0.3 to 5. Is it the weight of all 100 berries, in grams?");
    farm.send(&asked, &[("weight_1", "104")])
        .await
        .sent_to("/entries/");
    farm.close().await;
}

#[tokio::test]
async fn a_change_that_changes_nothing_is_not_stored() {
    let farm = Farm::started().await;
    let saved = farm.save("/weather/new", &[("low", "41")]).await;
    let path = saved.record();
    let commits = farm.store.commits();
    let page = farm.save(&format!("{path}/correct"), &[]).await;
    page.says("Nothing was changed, so nothing was stored.");
    assert_eq!(farm.store.commits(), commits);
    farm.save(&format!("{path}/correct"), &[("low", "42")])
        .await;
    assert!(farm.store.commits() > commits);
    farm.close().await;
}

#[tokio::test]
async fn a_change_kept_as_typed_says_that_the_old_still_counts() {
    let farm = Farm::started().await;
    let (path, asked) = change_to_fortyish(&farm).await;
    let kept = farm
        .send(&asked, &[("keep", "1"), ("reason", "smudged")])
        .await;
    let page = farm.get(kept.location()).await;
    page.says("Change: ")
        .says("What stood before it still counts.");
    farm.get(&path)
        .await
        .says("A change of it was kept as typed and waits to be mended.");
    // The reason is still there when it is mended.
    let held = page.record();
    let mend = farm.get(&format!("{held}/correct")).await;
    assert_eq!(mend.typed("reason"), ["smudged"]);
    farm.send(&mend, &[("low", "44")])
        .await
        .sent_to("/entries/");
    let page = farm.get(&path).await;
    page.says_not("waits to be mended").says("Why: smudged");
    farm.close().await;
}

#[tokio::test]
async fn a_held_change_mended_to_what_stood_before_is_settled() {
    let farm = Farm::started().await;
    let (_, asked) = change_to_fortyish(&farm).await;
    let kept = farm.send(&asked, &[("keep", "1")]).await;
    let held = kept.record();
    farm.get("/").await.says("1 entry needs a look");
    farm.save(&format!("{held}/correct"), &[("low", "41")])
        .await;
    farm.get("/").await.says_not("needs a look");
    farm.close().await;
}

#[tokio::test]
async fn a_question_answered_by_a_tap_stays_on_the_record_too() {
    let farm = Farm::started().await;
    let asked = one_bag(&farm, ("ta_1", "0.96")).await;
    let record = farm.tap(&asked, "It is 0.96 as typed").await;
    record.is_stored();
    record.says("Asked about Bag 1: TA, and it stands as typed: 0.96 % = 9.6 g/L tartaric?");
    farm.close().await;
}
