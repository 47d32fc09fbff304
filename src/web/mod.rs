//! The web floor: pages and forms. It asks the store, lets `science` reckon, and finds the words.
//! Not here: SQL, sums, files, and "now" other than through the clock.

pub mod access;
mod came;
mod cards;
mod changed;
pub mod crop;
mod disk;
mod dress;
pub mod error;
pub mod form;
pub mod frame;
mod harvest;
mod kept;
pub mod known;
mod ledger;
mod memory;
mod phones;
pub mod places;
pub mod reach;
pub mod ripeness;
mod routes;
mod scripts;
pub mod sprays;
mod typed;
mod visitor;
pub mod weather;
pub mod words;

use std::ops::Deref;
use std::sync::Arc;

use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, LOCATION};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};

use crate::clock::Clock;
use crate::store::Store;
pub use disk::Disk;
use harvest::Memo;
use memory::Memory;
use reach::Reach;
pub use routes::router;

/// What every page can reach. Each request has several copies of it, which must cost nothing.
#[derive(Clone)]
pub struct App(Arc<InReach>);

/// What is in reach of every page.
#[derive(Clone)]
pub struct InReach {
    pub store: Store,
    pub clock: Clock,
    /// Says "demo, made-up data" on every page.
    pub demo: bool,
    pub memo: Memo,
    memory: Memory,
    pub reach: Reach,
    pub disk: Disk,
}

impl Deref for App {
    type Target = InReach;

    fn deref(&self) -> &InReach {
        &self.0
    }
}

impl App {
    pub fn new(store: Store, clock: Clock, demo: bool) -> Self {
        Self(Arc::new(InReach {
            store,
            clock,
            demo,
            memo: Memo::default(),
            memory: Memory::default(),
            reach: Reach::default(),
            disk: Disk::default(),
        }))
    }

    /// The same, served where `reach` says.
    pub fn reached(mut self, reach: Reach) -> Self {
        Arc::make_mut(&mut self.0).reach = reach;
        self
    }

    /// The same, with what is known of the disk.
    pub fn stored_on(mut self, disk: Disk) -> Self {
        Arc::make_mut(&mut self.0).disk = disk;
        self
    }
}

/// A drawn page. Pages show what is so now, so that no copy is kept.
pub fn page(template: &impl askama::Template) -> Response {
    match template.render() {
        Ok(html) => (
            [
                (CONTENT_TYPE, "text/html; charset=utf-8"),
                (CACHE_CONTROL, "no-store"),
            ],
            html,
        )
            .into_response(),
        Err(error) => {
            tracing::error!(error = ?error, "a template failed");
            StatusCode::INTERNAL_SERVER_ERROR.into_response()
        }
    }
}

/// "See other": where the browser goes after a post, so that a reload posts nothing.
pub fn see_other(path: &str) -> Response {
    let mut response = StatusCode::SEE_OTHER.into_response();
    // Paths are made of fixed words and ids; anything else would be a slip of ours.
    let to = HeaderValue::from_str(path).unwrap_or(HeaderValue::from_static("/"));
    response.headers_mut().insert(LOCATION, to);
    response
}
