//! Who asks, as the cookies of a request show it.
//! Not here: what follows (`admit`), and what a phone says of itself (`visitor`).

use std::net::{IpAddr, SocketAddr};

use axum::extract::{ConnectInfo, Request};
use axum::http::HeaderMap;
use chrono::{DateTime, Utc};
use uuid::Uuid;

use crate::science::access::{Rule, Standing};
use crate::store::beside::Sender;
use crate::store::{Keys, Secret, Session, Share};
use crate::web::App;
use crate::web::cookies::cookie;
use crate::web::reach::Host;

/// The cookie of a phone or computer that was let in.
pub const SESSION: &str = "ep_s";
/// The cookie of links that were opened, the newest first.
pub const SHARED: &str = "ep_v";
/// So many links are kept open on one phone.
pub const MOST_SHARED: usize = 8;
/// Between the secrets of several links. It stands in none of them.
pub const BETWEEN: char = '.';

/// Headers that a program in between adds: whoever comes through one may be anywhere.
const PASSED_ON: &[&str] = &["forwarded", "x-forwarded-for", "x-real-ip", "via"];

/// Who asks.
#[derive(Clone, Copy, Debug, Default)]
pub struct Who {
    pub standing: Standing,
    /// Nobody on the network can listen in.
    pub at_the_house: bool,
    /// The session that lets them in; none where none is needed.
    pub session: Option<Uuid>,
    /// The session that this browser had before, when it is good no more: it is the same browser.
    pub had: Option<Uuid>,
    /// The device that the session was last used by.
    pub device: Option<Uuid>,
}

impl Who {
    /// Who sent a request. A link counts on its own page alone.
    pub fn sent(request: &Request, app: &App) -> Self {
        let keys = app.store.keys();
        let now = app.clock.now();
        let headers = request.headers();
        let at_the_house = is_at_the_house(request);
        if let Some(session) = session_of(headers, &keys, now) {
            return Self {
                standing: Standing::In(session.role),
                at_the_house,
                session: Some(session.id),
                device: Some(session.device),
                had: None,
            };
        }
        let path = request.uri().path();
        let role = app.doorkeeper.lets_in(&keys, at_the_house);
        let standing = match (role, share_of(headers, &keys, now, path)) {
            (Some(role), _) => Standing::In(role),
            (None, Some(share)) => Standing::Guest(share.shows),
            (None, None) => Standing::Stranger,
        };
        let had = cookie(headers, SESSION).map(|secret| Secret::shown(&secret));
        Self {
            standing,
            at_the_house,
            had: had.and_then(|secret| Some(keys.session(&secret)?.id)),
            ..Self::default()
        }
    }

    /// Who sent something that was kept to come in later.
    pub fn once_sent(by: Option<Sender>) -> Self {
        by.map_or_else(Self::default, |by| Self {
            standing: Standing::In(by.role),
            at_the_house: by.at_the_house,
            session: by.session,
            device: None,
            had: None,
        })
    }

    /// Who sends something that is kept to come in later.
    pub fn sender(&self) -> Option<Sender> {
        match self.standing {
            Standing::In(role) => Some(Sender {
                role,
                at_the_house: self.at_the_house,
                session: self.session,
            }),
            _ => None,
        }
    }

    pub fn may(&self, rule: Rule) -> bool {
        rule.lets_in(self.standing, self.at_the_house)
    }

    pub fn is_keeper(&self) -> bool {
        self.may(Rule::Keeper)
    }

    /// Whether they were let in, and not by a link alone.
    pub fn is_in(&self) -> bool {
        matches!(self.standing, Standing::In(_))
    }

    /// Whether people's names stand on the page for them.
    pub fn sees_names(&self) -> bool {
        match self.standing {
            Standing::In(_) => true,
            Standing::Guest(shows) => shows.names,
            Standing::Stranger => false,
        }
    }
}

/// The session whose cookie came along, while it is good.
pub fn session_of<'a>(
    headers: &HeaderMap,
    keys: &'a Keys,
    now: DateTime<Utc>,
) -> Option<&'a Session> {
    let secret = Secret::shown(&cookie(headers, SESSION)?);
    keys.session(&secret).filter(|one| one.is_good(now))
}

fn share_of<'a>(
    headers: &HeaderMap,
    keys: &'a Keys,
    now: DateTime<Utc>,
    path: &str,
) -> Option<&'a Share> {
    let opened = cookie(headers, SHARED)?;
    let secrets = opened.split(BETWEEN).take(MOST_SHARED);
    secrets
        .filter_map(|secret| keys.share(&Secret::shown(secret)))
        .find(|share| share.is_good(now) && share.path == path)
}

/// On this computer itself, by the connection and by the name asked for: a browser here that asks
/// for the address on the Wi-Fi shares its cookies with no page on "localhost".
fn is_at_the_house(request: &Request) -> bool {
    let peer: Option<&ConnectInfo<SocketAddr>> = request.extensions().get();
    let asked: Option<&Host> = request.extensions().get();
    let headers = request.headers();
    peer.is_some_and(|ConnectInfo(peer)| is_this_computer(*peer))
        && asked.is_some_and(|host| host.name.is_loopback())
        && PASSED_ON.iter().all(|name| !headers.contains_key(*name))
}

fn is_this_computer(peer: SocketAddr) -> bool {
    match peer.ip() {
        IpAddr::V6(six) => six.to_canonical().is_loopback(),
        four => four.is_loopback(),
    }
}
