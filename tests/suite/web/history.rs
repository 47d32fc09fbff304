//! The history of an entry, as its page tells it: what each change changed, what was taken back,
//! and what was typed under the labels of its page. Not here: what the ledger keeps (`store`).

use crate::support::farm::Farm;
use crate::support::page::Page;

/// Two bags of the farm's block.
async fn sample(farm: &Farm) -> Page {
    let typed = [
        ("block", "A"),
        ("date", "2027-09-10"),
        ("brix_1_1", "22.8"),
        ("brix_2_1", "23.3"),
        ("ph_2_1", "3.25"),
        ("temp_2", "68"),
        ("taste", "cherry"),
        ("no_instrument", "yes"),
    ];
    let block = farm.block("A").await;
    let typed = typed.map(|(name, text)| match name {
        "block" => (name, block.as_str()),
        _ => (name, text),
    });
    farm.save("/ripeness/new", &typed).await
}

#[tokio::test]
async fn a_change_shows_what_it_changed_and_nothing_else() {
    let farm = Farm::started().await;
    let path = sample(&farm).await.record();
    let changes = [
        ("brix_1_1", "21.8"),
        ("taste", ""),
        ("rot", "2"),
        ("reason", "read upside down"),
    ];
    farm.save(&format!("{path}/correct"), &changes).await;
    let page = farm.get(&path).await;
    let lines = page.text_of("main ol.list > li");
    let [first, changed] = &lines[..] else {
        panic!("{lines:?}");
    };
    assert!(first.contains("Bag 1 22.8 °Brix"), "{first}");
    let said = [
        "Bag 1 22.8 °Brix (looks 22.8) now 21.8 °Brix (looks 21.8)",
        "Taste cherry taken out",
        "Rot 2 %",
        "Why: read upside down",
    ];
    for said in said {
        assert!(changed.contains(said), "{said:?} in {changed}");
    }
    assert!(!changed.contains("Bag 2"), "{changed}");
    let struck = page.text_of("main ol.list > li s");
    assert!(struck.contains(&"cherry".to_owned()), "{struck:?}");
    assert!(!struck.iter().any(|text| text.contains("23.3")));
    farm.close().await;
}

#[tokio::test]
async fn a_change_is_told_from_what_stood_before_it_not_from_what_was_taken_back() {
    let farm = Farm::started().await;
    let path = farm.save("/weather/new", &[("low", "41")]).await.record();
    let correct = format!("{path}/correct");
    let slip = farm.save(&correct, &[("low", "14")]).await.record();
    farm.post(&format!("{slip}/void"), &[("reason", "wrong day")])
        .await
        .sent_to(&path);
    farm.save(&correct, &[("low", "42")]).await;
    let lines = farm.get(&path).await.text_of("main ol.list > li");
    assert_eq!(lines.len(), 4, "{lines:?}");
    assert!(lines[1].contains("now 14 °F"), "{lines:?}");
    assert!(
        lines[2].contains("The change of 07:00 taken back") && lines[2].contains("wrong day"),
        "{lines:?}"
    );
    assert!(lines[3].contains("41 °F now 42 °F"), "{lines:?}");
    farm.close().await;
}

#[tokio::test]
async fn what_was_taken_back_is_struck_on_its_own_page() {
    let farm = Farm::started().await;
    let path = farm.save("/weather/new", &[("low", "41")]).await.record();
    assert!(farm.get(&path).await.text_of("dl.read s").is_empty());
    farm.post(&format!("{path}/void"), &[]).await.sent_to(&path);
    let page = farm.get(&path).await;
    assert!(page.text_of("dl.read s").contains(&"41 °F".to_owned()));
    let undo = page.form_of_button("Undo the taking back");
    farm.post(&undo.path, &[]).await.sent_to(&path);
    assert!(farm.get(&path).await.text_of("dl.read s").is_empty());
    farm.close().await;
}

#[tokio::test]
async fn typed_text_stands_under_the_labels_of_its_page() {
    let farm = Farm::started().await;
    let saved = sample(&farm).await;
    let typed = saved.text_of("details.fold dl.read dt");
    for label in [
        "Block",
        "Bag 1: °Brix 1",
        "Bag 2: °Brix 1",
        "Bag 2: pH 1",
        "Taste",
    ] {
        assert!(typed.contains(&label.to_owned()), "{label:?} in {typed:?}");
    }
    assert!(!saved.text().contains("brix_1_1"), "{}", saved.text());
    farm.close().await;
}

#[tokio::test]
async fn typed_text_says_its_units_once_the_farm_has_others() {
    let farm = Farm::started().await;
    let path = sample(&farm).await.record();
    farm.get(&path).await.says_not("Typed in");
    let settings = farm.get("/house").await.links();
    let settings = settings.iter().find(|link| link.ends_with("/correct"));
    let settings = settings.expect("a link to the farm's settings");
    farm.save(settings, &[("temperature", "celsius")]).await;
    farm.get(&path).await.says("Typed in °F, lb, ft");
    farm.close().await;
}

#[tokio::test]
async fn kept_as_typed_shows_labels_too() {
    let farm = Farm::started().await;
    let asked = farm.fill("/weather/new", &[("low", "fortyish")]).await;
    let kept = farm.send(&asked, &[("keep", "1")]).await;
    let page = farm.get(kept.location()).await;
    page.says("fortyish");
    assert!(
        page.text_of("dl.read dt")
            .iter()
            .any(|label| label.contains("Low")),
        "{:?}",
        page.text_of("dl.read dt")
    );
    farm.get("/held").await.says("fortyish");
    farm.close().await;
}
