//! Coming in with a real phone: the helper's first minute, a way in that ends while somebody
//! types, and every page around the door by the rules that all pages keep.

use super::{Found, axe, look};
use crate::support::browser::Browser;
use crate::support::caller::PASSPHRASE;
use crate::support::farm::Farm;
use crate::support::handset::Handset;

fn port_of(farm: &Farm) -> u16 {
    let url = farm.url("");
    let port = url.rsplit(':').next().and_then(|port| port.parse().ok());
    port.expect("a port")
}

/// Types into the field of this name.
async fn type_into(browser: &Browser, name: &str, text: &str) {
    let script = format!("document.querySelector('[name={name}]').value = '{text}'");
    browser.ask(&script).await;
}

async fn come_in(phone: &Handset, code: &str) {
    type_into(&phone.browser, "code", code).await;
    phone.tap_labelled("Come in").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_helpers_first_minute() {
    let farm = Farm::guarded().await;
    let code = farm.code_for("helper").await;
    let phone = Handset::new(port_of(&farm)).await;
    phone.open("/").await;
    phone.says("Ask the keeper for a code").await;
    come_in(&phone, &code).await;
    phone.says("Not sure? Don't. Ask.").await;
    phone.begun().await;
    phone.go("/ripeness/new").await;
    phone
        .type_in(&[("brix_1_1", "21.4"), ("berries_1", "100")])
        .await;
    phone.save().await;
    phone.says("21.4 °Brix").await;
    phone.bar_says("All sent").await;
    drop(phone);
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_way_in_that_ends_while_somebody_types_costs_nothing() {
    let farm = Farm::guarded().await;
    let code = farm.code_for("helper").await;
    let phone = Handset::new(port_of(&farm)).await;
    phone.open(&format!("/P/{}", code.replace('-', ""))).await;
    phone.tap_labelled("Come in").await;
    phone.says("Not sure? Don't. Ask.").await;
    phone.begun().await;
    phone.go("/weather/new").await;
    let session = farm.store.keys().sessions()[0].id;
    farm.post(&format!("/phones/sessions/{session}/end"), &[])
        .await
        .sent_to("/phones");
    phone.rain("0.3").await;
    phone.says("Saved on this phone").await;
    phone.says("ask the keeper for a code").await;
    phone.bar_says("1 waiting").await;
    phone.go("/outbox").await;
    phone.says("type a code from the keeper").await;
    phone.go("/pair").await;
    come_in(&phone, &farm.code_for("helper").await).await;
    phone.says("Not sure? Don't. Ask.").await;
    phone.bar_says("All sent").await;
    farm.get("/weather").await.says("0.3 in.");
    // Its numbers go on under the session that it has now.
    farm.get("/phones")
        .await
        .says("may look and enter")
        .says_not("may still be on it");
    drop(phone);
    farm.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_pages_around_the_door_keep_the_rules() {
    let axe = axe::source();
    let open = Farm::started().await;
    let farm = Farm::guarded().await;
    let phone = Handset::new(port_of(&farm)).await;
    let mut found: Vec<Found> = Vec::new();
    let shut = Handset {
        port: port_of(&open),
        ..phone
    };
    shut.open("/").await;
    look(&shut.browser, &axe, "before a passphrase", &mut found).await;
    let phone = Handset {
        port: port_of(&farm),
        ..shut
    };
    for path in ["/", "/pair", "/P/K7Q29XRD", "/outbox"] {
        phone.open(path).await;
        look(&phone.browser, &axe, path, &mut found).await;
    }
    come_in_badly(&phone, &axe, &mut found).await;
    phone.open("/pair").await;
    come_in(&phone, &farm.code_for("looker").await).await;
    phone.says("Not sure? Don't. Ask.").await;
    phone.begun().await;
    phone.browser.open(&phone.url("/weather/new")).await;
    look(&phone.browser, &axe, "not yours", &mut found).await;
    // The keeper's side of it, at the house.
    let here = &phone.browser;
    here.open(&farm.url("/house")).await;
    look(here, &axe, "with a passphrase", &mut found).await;
    type_into(here, "passphrase", PASSPHRASE).await;
    phone.tap_labelled("Come in").await;
    phone.says("Settings").await;
    for path in [
        "/passphrase",
        "/phones/new",
        "/phones",
        "/shares/new?what=/harvest/sheet&title=x",
    ] {
        here.open(&farm.url(path)).await;
        look(here, &axe, path, &mut found).await;
    }
    phone.tap_labelled("Make the link").await;
    phone.says("End it now").await;
    look(here, &axe, "a shared page", &mut found).await;
    here.open(&farm.url("/phones/new")).await;
    phone.tap_labelled("Make a code").await;
    phone.says("Good once").await;
    look(here, &axe, "a code", &mut found).await;
    let (_, link) = farm.guest_of("/harvest/sheet", &[]).await;
    // A guest is who has no other way in.
    for session in farm.store.keys().sessions() {
        let end = farm.store.end_session(session.id, session.began_at).await;
        end.expect("an end");
    }
    here.open(&phone.url(&link)).await;
    look(here, &axe, "a guest", &mut found).await;
    let said: Vec<String> = found
        .iter()
        // The browser itself says that the door is shut; it is the status of the whole page.
        .filter(|one| !(one.rule == "console" && one.what.contains("the server responded with")))
        .map(|one| format!("{}: {}: {}", one.rule, one.page, one.what))
        .collect();
    assert!(said.is_empty(), "{}", said.join("\n"));
    drop(phone);
    open.close().await;
    farm.close().await;
}

/// A slip at the door, with something typed before it shut.
async fn come_in_badly(phone: &Handset, axe: &str, found: &mut Vec<Found>) {
    phone.open("/pair").await;
    come_in(phone, "K7Q").await;
    phone.says("A code has eight letters or digits").await;
    look(&phone.browser, axe, "a slip in the code", found).await;
}
