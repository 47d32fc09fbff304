//! Every address for every role and for nobody, against a list written by hand; and every address
//! that takes something, for pages of other sites.

use std::collections::BTreeMap;

use endpost::science::access::Rule;
use endpost::web::site;
use reqwest::Method;

use crate::support::caller::Caller;
use crate::support::farm::Farm;
use crate::support::page::Page;

/// "GET /walks/{code}" with the rule's word, one a line.
const DOORS: &str = include_str!("../../fixtures/doors.txt");

fn doors() -> BTreeMap<&'static str, &'static str> {
    DOORS
        .lines()
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .map(|line| line.rsplit_once(' ').expect("an address and a rule"))
        .map(|(address, rule)| (address.trim(), rule))
        .collect()
}

fn word(rule: Rule) -> &'static str {
    match rule {
        Rule::Anyone => "anyone",
        Rule::Shared => "shared",
        Rule::Look => "look",
        Rule::Enter => "enter",
        Rule::Keeper => "keeper",
        Rule::House => "house",
    }
}

#[test]
fn every_address_has_the_rule_that_is_written_down() {
    let built: BTreeMap<String, &str> = site()
        .rules()
        .iter()
        .map(|one| (format!("{} {}", one.method, one.path), word(one.rule)))
        .collect();
    let written: BTreeMap<String, &str> = doors()
        .into_iter()
        .map(|(address, rule)| (address.to_owned(), rule))
        .collect();
    assert_eq!(
        built, written,
        "tests/fixtures/doors.txt says which address is for whom"
    );
}

/// How an answer was given: let through, stopped as a stranger, or stopped as somebody else.
#[derive(Debug, PartialEq, Eq)]
enum Given {
    Through,
    Come401,
    NotYours403,
}

fn given(page: &Page) -> Given {
    let stopped = |mark: &str| page.body.contains(mark);
    match page.status {
        401 => Given::Come401,
        403 if stopped("Not from here") || stopped("\"state\":\"refused\"") => Given::NotYours403,
        _ => Given::Through,
    }
}

/// Which rules let whom in, as a keeper would say it.
const LET_IN: &[(&str, &[&str])] = &[
    ("nobody", &["anyone"]),
    ("guest", &["anyone"]),
    ("looker", &["anyone", "shared", "look"]),
    ("helper", &["anyone", "shared", "look", "enter"]),
    ("keeper", &["anyone", "shared", "look", "enter", "keeper"]),
    (
        "keeper at the house",
        &["anyone", "shared", "look", "enter", "keeper", "house"],
    ),
];

async fn knock(caller: &Caller, address: &str) -> Page {
    let (method, path) = address.split_once(' ').expect("a method");
    // An id that names nothing; a guest's link leads to a page without one.
    let path = path
        .replace("{id}", "0199f000-0000-7000-8000-000000000001")
        .replace("{code}", "ZZZZ")
        .replace("{year}", "2026")
        .replace("{secret}", "nothing")
        .replace("{hash}/{name}", "0/page.js");
    let method: Method = method.parse().expect("a method");
    let body = (method != Method::GET).then(|| match path.starts_with("/api/") {
        true => ("application/json", b"{}".to_vec()),
        false => ("application/x-www-form-urlencoded", Vec::new()),
    });
    caller.ask(method, &path, body).await
}

#[tokio::test]
async fn every_address_is_tried_by_everybody() {
    let farm = Farm::guarded().await;
    let (guest, _) = farm.guest_of("/harvest/sheet", &[]).await;
    let (looker, _) = farm.let_in("looker").await;
    let (helper, _) = farm.let_in("helper").await;
    let (keeper, _) = farm.let_in("keeper").await;
    let here = Caller::at_the_house(&farm);
    let code = farm.code_for("keeper").await;
    here.post("/pair", &[("code", &code), ("then", "/")])
        .await
        .sent_to("/");
    let nobody = Caller::on_the_wifi(&farm);
    let callers = [&nobody, &guest, &looker, &helper, &keeper, &here];
    let mut tried = 0;
    for (address, rule) in doors() {
        // Whoever leaves is out: that is tried elsewhere, and so are slips at the door, which are
        // answered more slowly each time.
        if ["POST /leave", "POST /login", "POST /passphrase"].contains(&address) {
            continue;
        }
        for ((who, rules), caller) in LET_IN.iter().zip(callers) {
            let page = knock(caller, address).await;
            let is_in = !["nobody", "guest"].contains(who);
            let shared_here = *who == "guest" && address == "GET /harvest/sheet";
            let expected = match (rules.contains(&rule) || shared_here, is_in) {
                (true, _) => Given::Through,
                (false, true) => Given::NotYours403,
                (false, false) => Given::Come401,
            };
            assert_eq!(
                given(&page),
                expected,
                "{who} at {address} ({rule}): {}",
                page.body
            );
            assert_ne!(page.status, 500, "{who} at {address}");
            tried += 1;
        }
    }
    assert_eq!(tried, LET_IN.len() * (doors().len() - 3));
    farm.close().await;
}

#[tokio::test]
async fn nothing_is_taken_from_a_page_of_another_site() {
    let farm = Farm::guarded().await;
    let (cookie, address) = {
        let (_, cookie) = farm.let_in("keeper").await;
        (cookie, farm.url(""))
    };
    let port = address.rsplit(':').next().unwrap();
    let host = format!("192.168.1.20:{port}");
    for (address, _) in doors()
        .into_iter()
        .filter(|(one, _)| !one.starts_with("GET"))
    {
        let (method, path) = address.split_once(' ').unwrap();
        let path = path.replace("{id}", "0199f000-0000-7000-8000-000000000001");
        let own = format!("http://{host}");
        for (origin, status) in [
            (None, 403),
            (Some("null"), 403),
            (Some("http://elsewhere.example"), 403),
            (Some("http://192.168.1.20"), 403),
            (Some(own.as_str()), 0),
        ] {
            let client = reqwest::Client::new();
            let method: Method = method.parse().unwrap();
            let mut request = client
                .request(method, farm.url(&path))
                .header("host", &host)
                .header("cookie", &cookie)
                .header("content-type", "application/x-www-form-urlencoded");
            if let Some(origin) = origin {
                request = request.header("origin", origin);
            }
            let page = Page::read(&path, request.send().await.unwrap()).await;
            let refused = page.body.contains("only Endpost's own pages may send")
                || page.body.contains("only Endpost&#39;s own pages may send");
            assert_eq!(
                refused,
                status == 403,
                "{address} from {origin:?}: {}",
                page.body
            );
        }
    }
    farm.close().await;
}

#[tokio::test]
async fn no_path_leads_around_the_door() {
    let farm = Farm::guarded().await;
    let nobody = Caller::on_the_wifi(&farm);
    for path in [
        "//phones",
        "/./phones",
        "/help/../phones",
        "/help/%2e%2e/phones",
        "/P/..%2Fphones",
        "/phones/",
        "/PHONES",
        "/phones%00",
        "/phones;a=b",
        "/s/0/..%2f..%2fphones",
        "/v/..%2f..%2fphones",
        "/outbox/../blocks",
        "/icon.svg/../../blocks",
        "/%2fphones",
        "/\\phones",
    ] {
        let answer = crate::support::wire::raw(&farm.url(""), path).await;
        let status: u16 = answer.split(' ').nth(1).unwrap().parse().unwrap();
        // What stands after /P/ is at most a code that the door shows again.
        let at_the_door = status == 200 && answer.contains("<h1>Come in</h1>");
        let stopped = [400, 401, 404, 405].contains(&status);
        assert!(stopped || at_the_door, "{path}: {answer}");
        assert!(!answer.contains("Each phone numbers"), "{path}");
    }
    // What is known of nobody says nothing of the farm either.
    for path in ["/outbox", "/qr", "/help/connect", "/pair", "/blocks"] {
        nobody.get(path).await.says_not("Tamarack Bend");
    }
    farm.close().await;
}
