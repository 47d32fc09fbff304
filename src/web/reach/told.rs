//! The addresses phones were told. What a phone has not sent yet waits for the very address it
//! knows, so that one which leads here no longer is said loudly until somebody has seen to the
//! phones. Not here: which address is told (`Ways`), the start lines (`program`).

use axum::response::Response;

use super::{Reach, Ways};
use crate::clock::Clock;
use crate::store::{Read, Store, StoreError};
use crate::web::error::PageError;
use crate::web::typed::Posted;
use crate::web::{App, see_other, words};

/// Phones were told addresses that lead here no longer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    pub told: Vec<String>,
    pub now: String,
}

impl Moved {
    /// What to do about it, for the start and for pages.
    pub fn words(&self) -> String {
        let told: Vec<String> = self.told.iter().map(|url| without_end(url)).collect();
        let (told, that) = match told.as_slice() {
            [one] => (one.clone(), "that address"),
            several => (words::list(several), "the last of these addresses"),
        };
        format!(
            "Phones may hold entries for {told}. Give this computer {that} again (reserve it in \
             the router), or bring each phone here: its outbox page has the rescue."
        )
    }

    /// "http://192.168.1.20:8087", as it stands in a sentence.
    pub fn now(&self) -> String {
        without_end(&self.now)
    }
}

fn without_end(url: &str) -> String {
    url.trim_end_matches('/').to_owned()
}

/// Looks which of the addresses that phones were told lead here no longer. A start for this
/// computer alone lets no phone in, whatever the address: there is nothing to look for.
pub async fn moved(read: &mut Read, reach: &Reach) -> Result<Option<Moved>, StoreError> {
    let ways = reach.ways();
    if !ways.lead_in() {
        return Ok(None);
    }
    let mut told = read.told_addresses().await?;
    told.retain(|url| !leads_here(url, &ways));
    let now = ways.canonical().url();
    Ok((!told.is_empty()).then_some(Moved { told, now }))
}

fn leads_here(url: &str, ways: &Ways) -> bool {
    let aside = ways.aside.iter().map(|(host, _)| host);
    let mut all = ways.phones.iter().chain(aside).chain(&ways.by_name);
    all.any(|host| host.url() == url)
}

/// At the start: the address that phones are told is remembered. While an earlier one is missed,
/// the new one is not, so that giving the earlier one back settles all.
pub async fn remember(
    store: &Store,
    reach: &Reach,
    clock: &Clock,
) -> Result<Option<Moved>, StoreError> {
    let ways = reach.ways();
    let moved = moved(&mut store.read().await?, reach).await?;
    if moved.is_none() && ways.lead_in() {
        let url = ways.canonical().url();
        store.tell_address(url, Vec::new(), clock.now()).await?;
    }
    Ok(moved)
}

/// Somebody has seen to the phones: they know the address of now. Only the one that stood on the
/// page counts, since it may have changed again.
pub async fn post(app: App, Posted(fields): Posted) -> Result<Response, PageError> {
    let moved = moved(&mut app.store.read().await?, &app.reach).await?;
    if let Some(Moved { told, now }) = moved.filter(|moved| moved.now == fields.first("now")) {
        app.store.tell_address(now, told, app.clock.now()).await?;
    }
    Ok(see_other("/qr"))
}
