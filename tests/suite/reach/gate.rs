//! Who is let in: names and senders that are ours, and those that are not; requests written letter
//! by letter, as no honest client sends them. Not here: how names are read (`name`).

use std::io::{Read, Write};
use std::net::{IpAddr, SocketAddr, TcpStream};
use std::sync::{Arc, Mutex};

use axum::body::Body;
use axum::http::{Method, Request};
use axum::response::Response;
use endpost::clock::Clock;
use endpost::web::reach::{Computer, Reach};
use endpost::web::{App, router};
use tower::ServiceExt;

use crate::support::farm::{Farm, MORNING, moment};

/// A computer whose addresses a test hands out.
struct Made(Mutex<Vec<IpAddr>>);

impl Made {
    fn with(addresses: &[&str]) -> Arc<Self> {
        let made = Arc::new(Self(Mutex::default()));
        made.lease(addresses);
        made
    }

    fn lease(&self, addresses: &[&str]) {
        let addresses = addresses.iter().map(|one| one.parse().unwrap());
        *self.0.lock().unwrap() = addresses.collect();
    }
}

impl Computer for Made {
    fn addresses(&self) -> Vec<IpAddr> {
        self.0.lock().unwrap().clone()
    }

    fn host_name(&self) -> Option<String> {
        Some("Shed.farm.lan".to_owned())
    }
}

/// A site at port 8087 of the shed's computer, without a network.
struct Site {
    farm: Farm,
    router: axum::Router,
}

impl Site {
    async fn of(computer: Arc<Made>) -> Self {
        let farm = Farm::started().await;
        let listening: SocketAddr = "0.0.0.0:8087".parse().unwrap();
        let known_as = vec!["Tamarack.example".parse().unwrap()];
        let app = App::new(
            farm.store.clone(),
            Clock::starting_at(moment(MORNING)),
            false,
        );
        let router = router(app.reached(Reach::new(listening, known_as, computer)));
        Self { farm, router }
    }

    async fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)]) -> Response {
        let mut request = Request::builder()
            .method(Method::from_bytes(method.as_bytes()).unwrap())
            .uri(path);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let request = request.body(Body::empty()).unwrap();
        self.router.clone().oneshot(request).await.unwrap()
    }

    async fn looks(&self, host: &str) -> u16 {
        let answer = self.ask("GET", "/", &[("host", host)]).await;
        answer.status().as_u16()
    }

    /// A post to an address that takes none: 405 once the gate has let it in.
    async fn sends(&self, host: &str, headers: &[(&str, &str)]) -> u16 {
        let headers = [&[("host", host)], headers].concat();
        self.ask("POST", "/how", &headers).await.status().as_u16()
    }
}

const LET_IN: u16 = 405;

async fn body(answer: Response) -> String {
    let body = axum::body::to_bytes(answer.into_body(), 1 << 20)
        .await
        .unwrap();
    String::from_utf8(body.to_vec()).unwrap()
}

#[tokio::test]
async fn names_of_this_computer_are_answered() {
    let site = Site::of(Made::with(&["192.168.1.20", "fd00::a"])).await;
    for host in [
        "localhost:8087",
        "LOCALHOST:8087",
        "127.0.0.1:8087",
        "127.1.2.3:8087",
        "[::1]:8087",
        "192.168.1.20:8087",
        "[fd00::a]:8087",
        "[FD00:0:0:0:0:0:0:A]:8087",
        "[::ffff:192.168.1.20]:8087",
        "shed:8087",
        "shed.local:8087",
        "SHED.LOCAL.:8087",
        "shed.farm.lan:8087",
        "tamarack.example:8087",
        "Tamarack.Example.:8087",
    ] {
        assert_eq!(site.looks(host).await, 200, "{host}");
    }
    site.farm.close().await;
}

#[tokio::test]
async fn other_names_are_told_how_they_are_allowed() {
    let site = Site::of(Made::with(&["192.168.1.20"])).await;
    for host in [
        "elsewhere.example:8087",
        "localhost.elsewhere.example:8087",
        "192.168.1.20.elsewhere.example:8087",
        "elsewhere.example",
        "192.168.1.21:8087",
        "[fd00::a]:8087",
        "0.0.0.0:8087",
        "2130706433:8087",
        "other.local:8087",
        "192.168.1.20",
        "192.168.1.20:8088",
        "localhost:80",
        "shed.local",
        "",
        "m\u{fc}hle:8087",
        "localhost:8087, elsewhere.example:8087",
        "me@localhost:8087",
    ] {
        assert_eq!(site.looks(host).await, 421, "{host:?}");
    }
    let answer = site
        .ask("GET", "/", &[("host", "elsewhere.example:8087")])
        .await;
    let policy = answer.headers().contains_key("content-security-policy");
    assert!(policy, "the refusal has not our headers");
    let page = body(answer).await;
    assert!(page.contains("elsewhere.example:8087"), "{page}");
    assert!(page.contains("--known-as elsewhere.example"), "{page}");
    let there = "href=\"http://tamarack.example:8087/help/connect\"";
    assert!(page.contains(there), "{page}");
    let answer = site.ask("GET", "/", &[("host", "192.168.1.20:81")]).await;
    let page = body(answer).await;
    assert!(page.contains("port 8087"), "{page}");
    assert!(!page.contains("--known-as"), "{page}");
    site.farm.close().await;
}

#[tokio::test]
async fn one_host_is_named_no_more_and_no_less() {
    let site = Site::of(Made::with(&[])).await;
    assert_eq!(site.ask("GET", "/", &[]).await.status(), 421);
    let two = [("host", "localhost:8087"), ("host", "localhost:8087")];
    assert_eq!(site.ask("GET", "/", &two).await.status(), 421);
    // A whole address in the request counts more than the header.
    let ours = [("host", "localhost:8087")];
    let answer = site
        .ask("GET", "http://elsewhere.example:8087/", &ours)
        .await;
    assert_eq!(answer.status(), 421);
    let answer = site.ask("GET", "http://localhost:8087/", &ours).await;
    assert_eq!(answer.status(), 200);
    site.farm.close().await;
}

#[tokio::test]
async fn a_new_lease_works_without_a_restart() {
    let computer = Made::with(&["192.168.1.20"]);
    let site = Site::of(computer.clone()).await;
    assert_eq!(site.looks("192.168.1.20:8087").await, 200);
    assert_eq!(site.looks("192.168.1.77:8087").await, 421);
    computer.lease(&["192.168.1.77"]);
    assert_eq!(site.looks("192.168.1.77:8087").await, 200);
    assert_eq!(site.looks("192.168.1.20:8087").await, 421);
    site.farm.close().await;
}

#[tokio::test]
async fn only_our_own_pages_send() {
    let site = Site::of(Made::with(&["192.168.1.20", "fd00::a"])).await;
    for (host, origin) in [
        ("192.168.1.20:8087", "http://192.168.1.20:8087"),
        ("[fd00::a]:8087", "http://[fd00::a]:8087"),
        ("SHED.local:8087", "http://shed.local:8087"),
    ] {
        let status = site.sends(host, &[("origin", origin)]).await;
        assert_eq!(status, LET_IN, "{host} from {origin}");
    }
    for origin in [
        "null",
        "",
        "192.168.1.20:8087",
        "http://192.168.1.20",
        "http://192.168.1.20:8088",
        "https://192.168.1.20:8087",
        "http://elsewhere.example",
        "http://elsewhere.example:8087",
        "http://192.168.1.20:8087.elsewhere.example",
        // Another name of ours is another site to a browser.
        "http://shed.local:8087",
    ] {
        let status = site.sends("192.168.1.20:8087", &[("origin", origin)]).await;
        assert_eq!(status, 403, "{origin:?}");
    }
    assert_eq!(site.sends("192.168.1.20:8087", &[]).await, 403);
    let ours = ("origin", "http://192.168.1.20:8087");
    assert_eq!(site.sends("192.168.1.20:8087", &[ours, ours]).await, 403);
    site.farm.close().await;
}

/// A page that makes its own name lead to the farm computer sends its own name with it.
#[tokio::test]
async fn a_name_made_to_lead_here_neither_reads_nor_sends() {
    let site = Site::of(Made::with(&["192.168.1.20"])).await;
    let host = "rebound.example:8087";
    assert_eq!(site.looks(host).await, 421);
    let origin = ("origin", "http://rebound.example:8087");
    assert_eq!(site.sends(host, &[origin]).await, 421);
    site.farm.close().await;
}

#[tokio::test]
async fn what_the_browser_thinks_of_the_sender_counts() {
    let site = Site::of(Made::with(&[])).await;
    let origin = ("origin", "http://localhost:8087");
    for (thinks, status) in [
        ("same-origin", LET_IN),
        ("none", LET_IN),
        ("same-site", 403),
        ("cross-site", 403),
        ("nonsense", 403),
    ] {
        let headers = [origin, ("sec-fetch-site", thinks)];
        assert_eq!(
            site.sends("localhost:8087", &headers).await,
            status,
            "{thinks}"
        );
    }
    // A link on another site may lead here: looking changes nothing.
    let link = [("host", "localhost:8087"), ("sec-fetch-site", "cross-site")];
    assert_eq!(site.ask("GET", "/", &link).await.status(), 200);
    site.farm.close().await;
}

#[tokio::test]
async fn every_method_that_changes_something_needs_a_sender() {
    let site = Site::of(Made::with(&[])).await;
    for method in ["POST", "PUT", "PATCH", "DELETE", "BREW"] {
        let answer = site
            .ask(method, "/weather", &[("host", "localhost:8087")])
            .await;
        assert_eq!(answer.status(), 403, "{method}");
        let page = body(answer).await;
        assert!(page.contains("Nothing was stored."), "{method}: {page}");
    }
    for method in ["GET", "HEAD"] {
        let answer = site
            .ask(method, "/weather", &[("host", "localhost:8087")])
            .await;
        assert_eq!(answer.status(), 200, "{method}");
    }
    site.farm.close().await;
}

#[tokio::test]
async fn a_script_is_refused_in_json() {
    let site = Site::of(Made::with(&[])).await;
    let foreign = [("host", "elsewhere.example:8087")];
    let unsent = [("host", "localhost:8087")];
    for (method, headers, status) in [("GET", foreign, 421), ("PUT", unsent, 403)] {
        let answer = site.ask(method, "/api/anything", &headers).await;
        assert_eq!(answer.status(), status);
        assert_eq!(answer.headers()["content-type"], "application/json");
        assert_eq!(answer.headers()["cache-control"], "no-store");
        let told: serde_json::Value = serde_json::from_str(&body(answer).await).unwrap();
        assert_eq!(told["state"], "refused");
        assert!(told["why"].as_str().unwrap().len() > 20, "{told}");
    }
    site.farm.close().await;
}

/// The first line of the answer to a request written by hand.
fn answered(address: &str, request: &str) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.write_all(request.as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer.lines().next().unwrap_or_default().to_owned()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_gate_stands_before_the_real_server_too() {
    let farm = Farm::started().await;
    let address = farm.url("").replace("http://", "");
    for (head, line) in [
        ("GET / HTTP/1.1\r\n", "HTTP/1.1 421"),
        ("GET / HTTP/1.0\r\n", "HTTP/1.0 421"),
        (
            "GET / HTTP/1.1\r\nHost: elsewhere.example\r\n",
            "HTTP/1.1 421",
        ),
    ] {
        let request = format!("{head}Connection: close\r\n\r\n");
        let told = answered(&address, &request);
        assert!(told.starts_with(line), "{head:?}: {told}");
    }
    let ours = format!("GET / HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n");
    assert!(answered(&address, &ours).starts_with("HTTP/1.1 200"));
    farm.close().await;
}
