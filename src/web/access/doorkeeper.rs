//! What the door remembers while the program runs: codes that are out, wrong tries, links just
//! made. None of it outlives a restart, and none of it is written down.
//! Not here: what outlives one (`store::Keys`).

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, TimeDelta, Utc};
use tokio::sync::Semaphore;
use uuid::Uuid;

use crate::science::access::{PhoneCode, Role, Tries};
use crate::store::Keys;

/// So many codes are out at once, and so many links are shown again.
const MOST_HELD: usize = 64;
/// So many places have wrong tries of their own; whoever comes after shares one account.
const MOST_PLACES: usize = 4096;

/// Whose tries are counted together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    From(IpAddr),
    Passphrase,
    TheRest,
}

impl Place {
    /// Whoever comes from afar has a whole /64 of the sixth version to themselves; on the farm's own
    /// network all phones share one.
    pub fn of(address: IpAddr) -> Self {
        Self::From(match address.to_canonical() {
            IpAddr::V6(six) if !six.is_unicast_link_local() && !six.is_unique_local() => {
                let [a, b, c, d, ..] = six.segments();
                IpAddr::V6([a, b, c, d, 0, 0, 0, 0].into())
            }
            one => one,
        })
    }
}

/// A code that was made for a phone.
#[derive(Clone)]
pub struct Waiting {
    pub id: Uuid,
    pub code: PhoneCode,
    pub role: Role,
    /// Whose phone it is, by initials.
    pub person: Option<String>,
    pub ends_at: DateTime<Utc>,
    /// When it let a phone in.
    pub used_at: Option<DateTime<Utc>>,
    wrong: u32,
}

impl Waiting {
    pub fn new(
        id: Uuid,
        code: PhoneCode,
        role: Role,
        person: Option<String>,
        now: DateTime<Utc>,
    ) -> Self {
        Self {
            id,
            code,
            role,
            person,
            ends_at: now + PhoneCode::GOOD_FOR,
            used_at: None,
            wrong: 0,
        }
    }

    pub fn is_good(&self, now: DateTime<Utc>) -> bool {
        // A clock that was set back makes no code good for longer.
        let left = self.ends_at - now;
        let in_time = left > TimeDelta::zero() && left <= PhoneCode::GOOD_FOR;
        self.used_at.is_none() && self.wrong < PhoneCode::MOST_WRONG && in_time
    }
}

/// Cheap to clone.
#[derive(Clone)]
pub struct Doorkeeper {
    open_to_all: bool,
    held: Arc<Held>,
}

struct Held {
    codes: Mutex<Vec<Waiting>>,
    links: Mutex<Vec<(Uuid, String)>>,
    tries: Mutex<HashMap<Place, Tries>>,
    hashing: Semaphore,
}

impl Default for Doorkeeper {
    fn default() -> Self {
        let held = Held {
            codes: Mutex::default(),
            links: Mutex::default(),
            tries: Mutex::default(),
            // A small board has the memory for one at a time.
            hashing: Semaphore::new(1),
        };
        Self {
            open_to_all: false,
            held: Arc::new(held),
        }
    }
}

impl Doorkeeper {
    /// One that lets everybody in as long as there is no passphrase.
    pub fn open_to_all() -> Self {
        Self {
            open_to_all: true,
            ..Self::default()
        }
    }

    /// As what whoever comes without a session is let in: as the keeper before there is a
    /// passphrase, at the house alone unless it is open to all. Where nobody can read whether there
    /// is one, whoever sits at the house may look and enter.
    pub fn lets_in(&self, keys: &Keys, at_the_house: bool) -> Option<Role> {
        let is_open = keys.passphrase.is_none() && (at_the_house || self.lets_all_in(keys));
        is_open.then_some(match keys.unreadable {
            true => Role::Helper,
            false => Role::Keeper,
        })
    }

    /// Whether anybody but this computer can be let in.
    pub fn lets_phones_in(&self, keys: &Keys) -> bool {
        keys.passphrase.is_some() || self.lets_all_in(keys)
    }

    /// Whether everybody on the network is let in.
    pub fn lets_all_in(&self, keys: &Keys) -> bool {
        keys.passphrase.is_none() && !keys.unreadable && self.open_to_all
    }

    /// Waits for the one turn to hash a passphrase.
    pub fn hashing(&self) -> &Semaphore {
        &self.held.hashing
    }

    /// Hands out a code; the oldest goes when too many are out.
    pub fn hand_out(&self, code: Waiting, now: DateTime<Utc>) {
        let mut codes = lock(&self.held.codes);
        // One that was used or is over is shown for a while still, to whoever made it.
        codes.retain(|one| now - one.ends_at < TimeDelta::hours(1));
        make_room(&mut codes);
        codes.push(code);
    }

    /// A code by its id, to show to whoever made it.
    pub fn handed_out(&self, id: Uuid) -> Option<Waiting> {
        let codes = lock(&self.held.codes);
        codes.iter().find(|one| one.id == id).cloned()
    }

    /// Uses a code up. A wrong one counts against the one it was meant for.
    pub fn use_up(&self, typed: PhoneCode, now: DateTime<Utc>) -> Option<Waiting> {
        let mut codes = lock(&self.held.codes);
        let meant = codes
            .iter_mut()
            .find(|one| one.is_good(now) && one.code.name() == typed.name())?;
        if meant.code != typed {
            meant.wrong += 1;
            return None;
        }
        meant.used_at = Some(now);
        Some(meant.clone())
    }

    /// Whether a code of this name is out, so that no two have the same.
    pub fn is_out(&self, code: PhoneCode) -> bool {
        let codes = lock(&self.held.codes);
        codes.iter().any(|one| one.code.name() == code.name())
    }

    /// Keeps the secret of a new link, so that its page can show it.
    pub fn remember_link(&self, share: Uuid, secret: String) {
        let mut links = lock(&self.held.links);
        make_room(&mut links);
        links.push((share, secret));
    }

    /// The secret of a link made since the start.
    pub fn link(&self, share: Uuid) -> Option<String> {
        let links = lock(&self.held.links);
        let found = links.iter().find(|(id, _)| *id == share);
        found.map(|(_, secret)| secret.clone())
    }

    /// How long the next try has to wait.
    pub fn wait(&self, places: &[Place], now: DateTime<Utc>) -> Option<TimeDelta> {
        let tries = lock(&self.held.tries);
        let waits = places.iter().map(|place| counted(&tries, *place));
        waits.filter_map(|place| tries.get(&place)?.wait(now)).max()
    }

    /// Counts a wrong try.
    pub fn wrong(&self, places: &[Place], now: DateTime<Utc>) {
        let mut tries = lock(&self.held.tries);
        if tries.len() >= MOST_PLACES {
            tries.retain(|_, one| !one.is_forgotten(now));
        }
        for place in places {
            let place = counted(&tries, *place);
            tries.entry(place).or_default().wrong(now);
        }
    }

    /// Forgets the wrong tries of whoever came in.
    pub fn right(&self, places: &[Place]) {
        let mut tries = lock(&self.held.tries);
        for place in places {
            tries.remove(place);
        }
    }
}

/// The account of a place: its own, or that of the rest when there are too many.
fn counted(tries: &HashMap<Place, Tries>, place: Place) -> Place {
    match tries.contains_key(&place) || tries.len() < MOST_PLACES {
        true => place,
        false => Place::TheRest,
    }
}

fn make_room<T>(held: &mut Vec<T>) {
    if held.len() >= MOST_HELD {
        held.remove(0);
    }
}

fn lock<T>(held: &Mutex<T>) -> MutexGuard<'_, T> {
    held.lock().unwrap_or_else(PoisonError::into_inner)
}
