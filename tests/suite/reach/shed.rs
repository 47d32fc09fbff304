//! A site in the shed without a network: a computer whose addresses a test hands out, and requests
//! that need no listening. Not here: a farm that is really served (`support::farm`).

use std::net::SocketAddr;
use std::sync::{Arc, Mutex};

use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{Method, Request};
use axum::response::Response;
use endpost::clock::Clock;
use endpost::web::reach::{Computer, Interface, Reach};
use endpost::web::{App, Disk, router};
use tower::ServiceExt;

use crate::support::farm::{Farm, MORNING, moment};

const HERE: (&str, &str) = ("host", "localhost:8087");
const FORM: &str = "application/x-www-form-urlencoded";

/// A computer called "shed" whose addresses a test hands out.
pub struct Made(Mutex<Vec<Interface>>);

impl Made {
    pub fn with(addresses: &[(&str, &str)]) -> Arc<Self> {
        let made = Arc::new(Self(Mutex::default()));
        made.lease(addresses);
        made
    }

    pub fn lease(&self, addresses: &[(&str, &str)]) {
        *self.0.lock().unwrap() = interfaces(addresses);
    }
}

/// Names of cards with their addresses.
pub fn interfaces(addresses: &[(&str, &str)]) -> Vec<Interface> {
    addresses
        .iter()
        .map(|(name, address)| Interface::new(name, address.parse().unwrap()))
        .collect()
}

impl Computer for Made {
    fn interfaces(&self) -> Vec<Interface> {
        self.0.lock().unwrap().clone()
    }

    fn host_name(&self) -> Option<String> {
        Some("Shed.farm.lan".to_owned())
    }
}

/// Where a computer is reached that listens there, under further names.
pub fn reach(listening: &str, known_as: &[&str], computer: Arc<Made>) -> Reach {
    let listening: SocketAddr = listening.parse().unwrap();
    let known_as = known_as.iter().map(|name| name.parse().unwrap());
    Reach::new(listening, known_as.collect(), computer)
}

/// A site at port 8087 of the shed's computer.
pub struct Site {
    pub farm: Farm,
    pub disk: Disk,
    router: axum::Router,
}

impl Site {
    /// Listening everywhere, with a name set by hand.
    pub async fn of(computer: Arc<Made>) -> Self {
        Self::at(reach("0.0.0.0:8087", &["Tamarack.example"], computer)).await
    }

    pub async fn at(reach: Reach) -> Self {
        let farm = Farm::started().await;
        let clock = Clock::starting_at(moment(MORNING));
        let app = App::new(farm.store.clone(), clock, false)
            .reached(reach)
            .open_to_all();
        Self {
            farm,
            disk: app.disk.clone(),
            router: router(app),
        }
    }

    pub async fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)]) -> Response {
        self.send(method, path, headers, Body::empty()).await
    }

    /// Posts a form of which a body is handed in, from a page of the computer itself.
    pub async fn post_body(&self, path: &str, sent: Body) -> Response {
        let headers = [
            HERE,
            ("origin", "http://localhost:8087"),
            ("content-type", FORM),
        ];
        self.send("POST", path, &headers, sent).await
    }

    async fn send(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        sent: Body,
    ) -> Response {
        let mut request = Request::builder()
            .method(Method::from_bytes(method.as_bytes()).unwrap())
            .uri(path);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let here = SocketAddr::from(([127, 0, 0, 1], 50_000));
        request = request.extension(ConnectInfo(here));
        let request = request.body(sent).unwrap();
        self.router.clone().oneshot(request).await.unwrap()
    }

    /// What a page holds, asked for on the computer itself.
    pub async fn page(&self, path: &str) -> String {
        let answer = self.ask("GET", path, &[HERE]).await;
        assert_eq!(answer.status(), 200, "{path}");
        body(answer).await
    }

    /// Posts a form of one field from a page of the computer itself.
    pub async fn post(&self, path: &str, name: &str, value: &str) -> u16 {
        let fields = form_urlencoded::Serializer::new(String::new())
            .append_pair(name, value)
            .finish();
        let answer = self.post_body(path, Body::from(fields)).await;
        answer.status().as_u16()
    }

    pub async fn looks(&self, host: &str) -> u16 {
        let answer = self.ask("GET", "/", &[("host", host)]).await;
        answer.status().as_u16()
    }

    /// A post to an address that takes none: 405 once the gate has let it in.
    pub async fn sends(&self, host: &str, headers: &[(&str, &str)]) -> u16 {
        let headers = [&[("host", host)], headers].concat();
        self.ask("POST", "/how", &headers).await.status().as_u16()
    }
}

/// The words of an answer.
pub async fn body(answer: Response) -> String {
    let body = axum::body::to_bytes(answer.into_body(), 1 << 20)
        .await
        .unwrap();
    String::from_utf8(body.to_vec()).unwrap()
}
