//! Somebody who comes to a farm that is guarded: from the Wi-Fi or at the house, with cookies of
//! their own. Not here: the farm itself (`farm`).

use reqwest::header::{COOKIE, HOST, HeaderMap, HeaderValue, ORIGIN};
use reqwest::{Client, Method, redirect};
use serde_json::Value;

use super::farm::{Farm, ON_THE_WIFI, ask, form_of};
use super::page::Page;

/// The keeper's passphrase in the tests.
pub const PASSPHRASE: &str = "larch gate seven buckets";

/// A browser somewhere.
pub struct Caller {
    client: Client,
    /// "http://127.0.0.1:41235": where the connection goes.
    address: String,
}

impl Caller {
    pub fn on_the_wifi(farm: &Farm) -> Self {
        Self::under(farm, ON_THE_WIFI, None)
    }

    pub fn at_the_house(farm: &Farm) -> Self {
        Self::under(farm, "127.0.0.1", None)
    }

    /// One that has a cookie from before.
    pub fn with_cookie(farm: &Farm, cookie: &str) -> Self {
        Self::under(farm, ON_THE_WIFI, Some(cookie))
    }

    fn under(farm: &Farm, name: &str, cookie: Option<&str>) -> Self {
        let address = farm.url("");
        let port = address.rsplit(':').next().expect("a port");
        let value = |text: &str| HeaderValue::from_str(text).expect("a header");
        let mut headers = HeaderMap::from_iter([
            (HOST, value(&format!("{name}:{port}"))),
            (ORIGIN, value(&format!("http://{name}:{port}"))),
        ]);
        if let Some(cookie) = cookie {
            headers.insert(COOKIE, value(cookie));
        }
        let client = Client::builder()
            .redirect(redirect::Policy::none())
            .cookie_store(cookie.is_none())
            .default_headers(headers)
            .build();
        Self {
            client: client.expect("a client"),
            address,
        }
    }

    pub async fn ask(&self, method: Method, path: &str, body: Option<(&str, Vec<u8>)>) -> Page {
        ask(&self.client, &self.address, method, path, body).await
    }

    pub async fn get(&self, path: &str) -> Page {
        self.ask(Method::GET, path, None).await
    }

    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Page {
        self.ask(Method::POST, path, Some(form_of(fields))).await
    }

    /// Sends the form of the button with this label, with some of its fields typed.
    pub async fn tap(&self, page: &Page, label: &str, typed: &[(&str, &str)]) -> Page {
        let mut form = page.form_of_button(label);
        form.fields
            .retain(|(name, _)| typed.iter().all(|(other, _)| other != name));
        let fields = form.fields.iter();
        let fields = fields.map(|(name, text)| (name.as_str(), text.as_str()));
        let fields: Vec<(&str, &str)> = fields.chain(typed.iter().copied()).collect();
        self.post(&form.path, &fields).await
    }

    pub async fn put(&self, envelope: &Value) -> Page {
        let path = format!("/api/entries/{}", envelope["id"].as_str().expect("an id"));
        let body = envelope.to_string().into_bytes();
        self.ask(Method::PUT, &path, Some(("application/json", body)))
            .await
    }
}

impl Page {
    /// The cookie that an answer sets, as a browser sends it back.
    pub fn cookie(&self, name: &str) -> Option<String> {
        let set = self.headers.get_all("set-cookie").iter();
        let set = set.filter_map(|header| header.to_str().ok());
        let pairs = set.filter_map(|header| header.split(';').next());
        pairs
            .filter(|pair| pair.split('=').next() == Some(name))
            .map(str::to_owned)
            .next()
    }

    /// The code on the keeper's page.
    pub fn code(&self) -> String {
        self.text_of("p.key").concat()
    }
}

impl Farm {
    /// A farm whose keeper has set the passphrase, and sits at the house.
    pub async fn guarded() -> Self {
        let farm = Self::started().await;
        farm.guard().await;
        farm
    }

    /// Sets the passphrase.
    pub async fn guard(&self) {
        let typed = [("new", PASSPHRASE), ("again", PASSPHRASE)];
        self.post("/passphrase", &typed).await.sent_to("/phones");
    }

    /// A code for a phone, made by the keeper at the house.
    pub async fn code_for(&self, role: &str) -> String {
        let made = self.post("/phones/new", &[("role", role)]).await;
        self.get(made.sent_to("/phones/codes/").location())
            .await
            .code()
    }

    /// A phone on the Wi-Fi that was let in, and the cookie that it was given.
    pub async fn let_in(&self, role: &str) -> (Caller, String) {
        let phone = Caller::on_the_wifi(self);
        let code = self.code_for(role).await;
        let came = phone.post("/pair", &[("code", &code), ("then", "/")]).await;
        let cookie = came.sent_to("/").cookie("ep_s").expect("a session");
        (phone, cookie)
    }

    /// Somebody who opened a link that shares a page, and the link's path.
    pub async fn guest_of(&self, page: &str, with: &[(&str, &str)]) -> (Caller, String) {
        let fields = [("what", page), ("title", "A page"), ("until", "2027-09-24")];
        let fields: Vec<(&str, &str)> = fields.iter().chain(with).copied().collect();
        let made = self.post("/shares", &fields).await;
        let shown = self.get(made.sent_to("/shares/").location()).await;
        let link = shown.text_of("p.link").concat();
        let secret = link.rsplit("/v/").next().expect("a secret").to_owned();
        let guest = Caller::on_the_wifi(self);
        let path = format!("/v/{secret}");
        guest.get(&path).await.sent_to(page);
        (guest, path)
    }
}
