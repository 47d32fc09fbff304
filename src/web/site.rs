//! The table of addresses as it is put together: each with its handler and the rule of who may
//! come. There is no way to add an address without its rule.
//! Not here: the addresses (`routes` and the rooms), and who somebody is (`access`).

use axum::Router;
use axum::handler::Handler;
use axum::http::Method;
use axum::middleware::from_fn_with_state;
use axum::routing::{MethodFilter, MethodRouter, on};

use super::App;
use super::access::{Door, admit, rule_of};
use super::beside::divert;
use super::form::{Form, handle};
use crate::science::access::Rule;

/// An address with the rule of who may come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ruled {
    pub method: Method,
    pub path: String,
    pub rule: Rule,
}

/// Addresses with their rules and handlers.
#[derive(Default)]
pub struct Site {
    doors: Vec<(Ruled, MethodRouter<App>)>,
}

impl Site {
    pub fn get<H, T>(self, path: &str, rule: Rule, handler: H) -> Self
    where
        H: Handler<T, App>,
        T: 'static,
    {
        self.add(Method::GET, path, rule, on(MethodFilter::GET, handler))
    }

    pub fn post<H, T>(self, path: &str, rule: Rule, handler: H) -> Self
    where
        H: Handler<T, App>,
        T: 'static,
    {
        self.add(Method::POST, path, rule, on(MethodFilter::POST, handler))
    }

    pub fn put<H, T>(self, path: &str, rule: Rule, handler: H) -> Self
    where
        H: Handler<T, App>,
        T: 'static,
    {
        self.add(Method::PUT, path, rule, on(MethodFilter::PUT, handler))
    }

    /// A form: its empty page, and where it is sent.
    pub fn form(self, form: &'static dyn Form) -> Self {
        let blank = handle::blank_of(form);
        self.get(&format!("{}/new", form.path()), rule_of(form.kind()), blank)
            .takes(form)
    }

    /// Where a form is sent whose empty page is drawn elsewhere.
    pub fn takes(self, form: &'static dyn Form) -> Self {
        self.post(form.path(), rule_of(form.kind()), handle::post_of(form))
    }

    /// The addresses of a room.
    pub fn room(self, of_room: impl FnOnce(Self) -> Self) -> Self {
        of_room(self)
    }

    fn add(mut self, method: Method, path: &str, rule: Rule, handler: MethodRouter<App>) -> Self {
        let path = path.to_owned();
        self.doors.push((Ruled { method, path, rule }, handler));
        self
    }

    /// Every address with its rule.
    pub fn rules(&self) -> Vec<Ruled> {
        self.doors.iter().map(|(ruled, _)| ruled.clone()).collect()
    }

    /// Whether a path leads to a page that can be shared by a link.
    pub fn shares(&self, path: &str) -> bool {
        let shared = self.doors.iter().map(|(ruled, _)| ruled);
        let mut shared = shared.filter(|one| one.rule == Rule::Shared);
        shared.any(|one| leads_to(&one.path, path))
    }

    /// All of them, each behind its rule.
    pub fn router(self, app: &App) -> Router<App> {
        self.doors
            .into_iter()
            .fold(Router::new(), |router, (ruled, handler)| {
                let door = Door::new(app.clone(), ruled.rule);
                let watched = handler
                    .route_layer(from_fn_with_state(app.clone(), divert))
                    .route_layer(from_fn_with_state(door, admit));
                router.route(&ruled.path, watched)
            })
    }
}

/// Whether a pattern such as "/blocks/{id}" takes a path. The parts stand for plain words and ids.
fn leads_to(pattern: &str, path: &str) -> bool {
    let plain = |part: &str| {
        let mut letters = part.chars();
        !part.is_empty() && letters.all(|letter| letter.is_ascii_alphanumeric() || letter == '-')
    };
    let (patterns, parts) = (pattern.split('/'), path.split('/'));
    patterns.clone().count() == parts.clone().count()
        && patterns
            .zip(parts)
            .all(|(wanted, part)| wanted == part || wanted.starts_with('{') && plain(part))
}
