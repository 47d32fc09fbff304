//! Bodies that no form of ours sends. Not here: odd addresses (`manners`).

use reqwest::Method;

use super::addresses::{filled, forms, ids_of};
use super::manners::well_mannered;
use crate::support::farm::Farm;

const FORM: &str = "application/x-www-form-urlencoded";

/// Every address that takes a post.
pub async fn posts(farm: &Farm) -> Vec<String> {
    let [block, entry] = ids_of(farm).await;
    let mut found = Vec::new();
    for path in [filled(&block), filled(&entry)].concat() {
        let page = farm.ask(Method::POST, &path, None).await;
        if page.status != 405 && !found.contains(&path) {
            found.push(path);
        }
    }
    assert!(found.len() > 10, "{found:?}");
    found
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn garbage_is_answered_with_a_page() {
    let farm = Farm::started().await;
    let noise: Vec<u8> = (0..2000u32).map(|n| (n * 7919 % 256) as u8).collect();
    let bodies: [&[u8]; 9] = [
        b"",
        b"&&&&====&",
        b"%%%%%zz%0",
        b"entry_id=%00&form_version=-1&subject=nothing&brix_1_1=%FF",
        b"entry_id=&entry_id=&entry_id=x&date=2027-99-99&block=",
        b"asked=x&answer=%7B%7D&answer=%5B%5B&keep=1&more=1",
        b"{\"brix\": 21.5}",
        "name=\u{1F347}\u{202E}\u{0}&zone=\u{1F347}&rain=\u{0661}\u{0662}".as_bytes(),
        &noise,
    ];
    for path in posts(&farm).await {
        for body in bodies {
            let page = farm
                .ask(Method::POST, &path, Some((FORM, body.to_vec())))
                .await;
            well_mannered(&page);
        }
    }
    assert_eq!(
        farm.get("/").await.status,
        200,
        "and the farm is still there"
    );
    let found = farm.store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_body_of_another_kind_is_not_understood() {
    let farm = Farm::started().await;
    for path in posts(&farm).await {
        for kind in [
            "application/json",
            "multipart/form-data; boundary=x",
            "text/plain",
            "",
        ] {
            let body = Some((kind, b"rain=1".to_vec()));
            let page = farm.ask(Method::POST, &path, body).await;
            well_mannered(&page);
            let takes_it = match path.as_str() {
                "/api/receipts" => kind == "application/json",
                "/paste" => kind.starts_with("multipart"),
                _ => false,
            };
            if takes_it {
                assert_eq!(page.status, 400, "{path} took {kind:?}");
            } else if !path.starts_with("/start") {
                assert_eq!(page.status, 415, "{path} took {kind:?}");
            }
        }
    }
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_field_of_a_megabyte_is_too_much_and_says_so() {
    let farm = Farm::started().await;
    let body = format!("note={}", "a".repeat(1 << 20));
    for path in posts(&farm).await {
        let sent = Some((FORM, body.clone().into_bytes()));
        let page = farm.ask(Method::POST, &path, sent).await;
        well_mannered(&page);
        if matches!(path.as_str(), "/api/receipts" | "/paste") {
            assert_eq!(page.status, 415, "{path} takes no such form");
            continue;
        }
        assert_eq!(page.status, 413, "{path}");
        assert!(page.text().contains("not stored"), "{}", page.text());
    }
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_field_that_just_fits_is_taken() {
    let farm = Farm::started().await;
    let note = "n".repeat(200_000);
    let page = farm
        .save("/weather/new", &[("rain", "0.2"), ("note", &note)])
        .await;
    assert!(page.text().contains(&note));
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn too_many_fields_are_too_much() {
    let farm = Farm::started().await;
    let body = "a=1&".repeat(3000);
    let sent = Some((FORM, body.into_bytes()));
    let page = farm.ask(Method::POST, "/weather", sent).await;
    well_mannered(&page);
    assert_eq!(page.status, 413);
    farm.close().await;
}

/// Texts with a meaning to machines are texts here, and come back as they were typed.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn texts_with_a_meaning_elsewhere_are_only_texts() {
    let farm = Farm::started().await;
    let texts = [
        "'; DROP TABLE ledger; --",
        "<script>alert(1)</script>",
        "\"><img src=x onerror=alert(1)>",
        "{{ 7 * 7 }} {% if x %}",
        "\u{1F347} \u{202E}backwards\u{202C} \u{0644}\u{0627}",
        "=1+1",
        "a\u{0000}b",
    ];
    // A page without any typed text, with the scripts that are our own.
    let plain = farm.get("/weather").await;
    for text in texts {
        let saved = farm
            .save("/weather/new", &[("rain", "0.2"), ("note", text)])
            .await;
        // No page can hold the character without a meaning: browsers leave it out of a text, and
        // put a mark for it into a field.
        let shown = text.replace('\0', "\u{FFFD}");
        let read = text.replace('\0', "");
        assert!(saved.text().contains(&read), "{text:?}: {}", saved.text());
        assert_eq!(saved.attributes("img, iframe", "src").len(), 0);
        let scripts = saved.attributes("script", "src");
        assert_eq!(scripts, plain.attributes("script", "src"), "{text}");
        assert_eq!(saved.text_of("script").concat(), "", "{text}");
        let entry = saved.record();
        let form = farm.get(&format!("{entry}/correct")).await;
        assert_eq!(form.typed("note"), [shown], "in the form again");
    }
    let found = farm.store.check().await.unwrap();
    assert_eq!(found.faults, Vec::<String>::new());
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn junk_in_every_field_of_every_form_is_asked_about_or_kept() {
    let farm = Farm::started().await;
    for path in forms() {
        let page = farm.get(&path).await;
        let junk: Vec<(String, String)> = page
            .form()
            .fields
            .iter()
            .map(|(name, _)| (name.clone(), "\u{1F347} 1e999 -0x12,,,".to_owned()))
            .collect();
        let junk: Vec<(&str, &str)> = junk
            .iter()
            .map(|(name, text)| (name.as_str(), text.as_str()))
            .collect();
        let answer = farm.send(&page, &junk).await;
        well_mannered(&answer);
        assert!(
            matches!(answer.status, 303 | 422),
            "{path}: {}",
            answer.status
        );
        // What a print is to be is no entry: it is asked about until it can be drawn up.
        if answer.status == 422 && path != "/cards/new" {
            let kept = farm.send(&answer, &[("keep", "1")]).await;
            kept.sent_to("/entries/");
            let page = farm.get(kept.location()).await;
            well_mannered(&page);
            assert!(
                page.text().contains("Kept as typed"),
                "{path}: {}",
                page.text()
            );
        }
    }
    well_mannered(&farm.get("/held").await);
    farm.close().await;
}
