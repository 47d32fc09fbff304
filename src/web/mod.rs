//! The web floor: pages and forms. It asks the store, lets `science` reckon, and finds the words.
//! Not here: SQL, sums, files, and "now" other than through the clock.

pub mod access;
pub mod beside;
mod came;
mod cards;
mod changed;
mod cookies;
pub mod copies;
pub mod crop;
mod daybook;
mod disk;
mod dress;
pub mod error;
pub mod form;
pub mod frame;
mod harvest;
pub mod helpers;
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
mod site;
pub mod sprays;
mod typed;
mod visitor;
pub mod weather;
pub mod words;

use std::convert::Infallible;
use std::ops::Deref;
use std::sync::Arc;

use axum::extract::FromRequestParts;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, LOCATION};
use axum::http::request::Parts;
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};

use crate::clock::Clock;
use crate::store::Store;
use access::{Doorkeeper, Who};
use copies::Keeping;
pub use disk::Disk;
use harvest::Memo;
use memory::Memory;
use reach::Reach;
pub use routes::{router, site};

/// What every page can reach, and who asks for it. Each request has several copies of it, which
/// must cost nothing.
#[derive(Clone)]
pub struct App {
    reached: Arc<InReach>,
    /// A stranger, until the door says otherwise.
    pub who: Who,
}

/// Goes with a request whose page is drawn from a copy of the damaged database.
#[derive(Clone)]
struct StandIn(Arc<InReach>);

impl FromRequestParts<App> for App {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Infallible> {
        let stand_in = parts.extensions.get::<StandIn>();
        let reached = stand_in.map_or(&app.reached, |StandIn(reached)| reached);
        Ok(Self {
            reached: reached.clone(),
            who: parts.extensions.get().copied().unwrap_or_default(),
        })
    }
}

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
    doorkeeper: Doorkeeper,
    pub keeping: Keeping,
}

impl Deref for App {
    type Target = InReach;

    fn deref(&self) -> &InReach {
        &self.reached
    }
}

impl App {
    pub fn new(store: Store, clock: Clock, demo: bool) -> Self {
        let reached = InReach {
            store,
            clock,
            demo,
            memo: Memo::default(),
            memory: Memory::default(),
            reach: Reach::default(),
            disk: Disk::default(),
            keeping: Keeping::default(),
            doorkeeper: Doorkeeper::default(),
        };
        Self {
            reached: Arc::new(reached),
            who: Who::default(),
        }
    }

    /// The same, served where `reach` says.
    pub fn reached(mut self, reach: Reach) -> Self {
        Arc::make_mut(&mut self.reached).reach = reach;
        self
    }

    /// What pages are drawn from while the database is damaged, if there is a copy to show.
    fn stand_in(&self) -> Option<StandIn> {
        let store = self.store.stand_in()?;
        // What was worked out from the damaged one is not the copy's.
        Some(StandIn(Arc::new(InReach {
            store,
            memo: Memo::default(),
            memory: Memory::default(),
            ..InReach::clone(&self.reached)
        })))
    }

    /// The same, open to everybody on the network as long as there is no passphrase.
    pub fn open_to_all(mut self) -> Self {
        Arc::make_mut(&mut self.reached).doorkeeper = Doorkeeper::open_to_all();
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
