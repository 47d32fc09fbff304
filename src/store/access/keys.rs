//! What opens the door: the keeper's passphrase, the sessions of phones that were let in, and
//! links to single pages. They are few and asked about with every request, so that all of them are
//! held in memory, read again after each change.
//! Not here: their rows (`key_rows`), what a role may do (`science::access`), cookies and links
//! (`web::access`).

use std::collections::HashMap;
use std::sync::{Arc, PoisonError, RwLock};

use chrono::{DateTime, Utc};
use sha2::{Digest, Sha256};
use tokio::sync::{Mutex, MutexGuard};
use uuid::Uuid;

use super::key_rows::{Change, keys};
use crate::science::access::{Role, Shows};
use crate::store::ledger::writer::Note;
use crate::store::{Store, StoreError};

/// What the database knows of a secret: enough to know it again.
pub type SecretHash = [u8; 32];

/// A long random text that opens something: no guess will find it.
pub struct Secret(String);

impl Secret {
    /// A secret somebody shows, in a cookie or a link.
    pub fn shown(text: &str) -> Self {
        Self(text.to_owned())
    }

    /// SHA-256 is enough for a secret that was never a person's to choose.
    pub fn hash(&self) -> SecretHash {
        Sha256::digest(self.0.as_bytes()).into()
    }

    /// The secret itself, for the cookie or link that it is made for.
    pub fn text(&self) -> &str {
        &self.0
    }
}

/// A phone or computer that was let in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Session {
    pub id: Uuid,
    pub secret_hash: SecretHash,
    pub role: Role,
    /// Whom it was made for, by initials.
    pub person: Option<String>,
    pub device: Uuid,
    pub began_at: DateTime<Utc>,
    pub last_seen: DateTime<Utc>,
    pub ends_at: DateTime<Utc>,
    /// When somebody ended it.
    pub ended_at: Option<DateTime<Utc>>,
}

impl Session {
    pub fn is_good(&self, now: DateTime<Utc>) -> bool {
        self.ended_at.is_none() && now < self.ends_at
    }
}

/// A link that shows one page to whoever has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Share {
    pub id: Uuid,
    pub secret_hash: SecretHash,
    pub path: String,
    pub title: String,
    pub shows: Shows,
    pub made_at: DateTime<Utc>,
    pub ends_at: DateTime<Utc>,
    pub last_used: Option<DateTime<Utc>>,
    pub ended_at: Option<DateTime<Utc>>,
}

impl Share {
    pub fn is_good(&self, now: DateTime<Utc>) -> bool {
        self.ended_at.is_none() && now < self.ends_at
    }
}

/// All that opens the door.
#[derive(Clone, Default)]
pub struct Keys {
    /// The hash of the keeper's passphrase, in the PHC string format.
    pub passphrase: Option<String>,
    /// Of a damaged database: whether there is a passphrase can't be read.
    pub unreadable: bool,
    sessions: HashMap<SecretHash, Session>,
    shares: HashMap<SecretHash, Share>,
}

impl Keys {
    pub(super) fn with(passphrase: Option<String>) -> Self {
        Self {
            passphrase,
            ..Self::default()
        }
    }

    /// What is left when not even that can be read.
    pub(in crate::store) fn unreadable() -> Self {
        Self {
            unreadable: true,
            ..Self::default()
        }
    }

    pub(super) fn hold_sessions(&mut self, sessions: Vec<Session>) {
        let sessions = sessions.into_iter();
        self.sessions = sessions.map(|one| (one.secret_hash, one)).collect();
    }

    pub(super) fn hold_shares(&mut self, shares: Vec<Share>) {
        let shares = shares.into_iter();
        self.shares = shares.map(|one| (one.secret_hash, one)).collect();
    }

    pub fn session(&self, secret: &Secret) -> Option<&Session> {
        self.sessions.get(&secret.hash())
    }

    pub fn session_of_id(&self, id: Uuid) -> Option<&Session> {
        self.sessions.values().find(|one| one.id == id)
    }

    pub fn share(&self, secret: &Secret) -> Option<&Share> {
        self.shares.get(&secret.hash())
    }

    /// All sessions, the newest first.
    pub fn sessions(&self) -> Vec<&Session> {
        let mut all: Vec<&Session> = self.sessions.values().collect();
        all.sort_by_key(|one| std::cmp::Reverse((one.began_at, one.id)));
        all
    }

    /// All links, the newest first.
    pub fn shares(&self) -> Vec<&Share> {
        let mut all: Vec<&Share> = self.shares.values().collect();
        all.sort_by_key(|one| std::cmp::Reverse((one.made_at, one.id)));
        all
    }
}

/// All that opens the door as it is now; cheap to clone.
#[derive(Clone, Default)]
pub(in crate::store) struct KeyRing(Arc<Ring>);

#[derive(Default)]
struct Ring {
    keys: RwLock<Arc<Keys>>,
    turn: Mutex<()>,
}

impl KeyRing {
    pub fn of(keys: Keys) -> Self {
        let ring = Self::default();
        ring.hold(keys);
        ring
    }

    fn now(&self) -> Arc<Keys> {
        let keys = self.0.keys.read();
        keys.unwrap_or_else(PoisonError::into_inner).clone()
    }

    fn hold(&self, keys: Keys) {
        let held = self.0.keys.write();
        *held.unwrap_or_else(PoisonError::into_inner) = Arc::new(keys);
    }

    async fn turn(&self) -> MutexGuard<'_, ()> {
        self.0.turn.lock().await
    }
}

impl Store {
    /// What opens the door now.
    pub fn keys(&self) -> Arc<Keys> {
        self.keys.now()
    }

    pub async fn set_passphrase(&self, hash: String, at: DateTime<Utc>) -> Result<(), StoreError> {
        self.change_keys(Change::Passphrase { hash, at }).await
    }

    /// Beside a damaged database a session is written down nowhere, and ends with the program.
    pub async fn begin_session(&self, session: Session) -> Result<(), StoreError> {
        if self.damage().is_some() {
            let _turn = self.keys.turn().await;
            let mut keys = Keys::clone(&self.keys());
            keys.sessions.retain(|_, one| one.id != session.id);
            keys.sessions.insert(session.secret_hash, session);
            self.keys.hold(keys);
            return Ok(());
        }
        self.change_keys(Change::SessionBegins(session)).await
    }

    pub async fn end_session(&self, id: Uuid, at: DateTime<Utc>) -> Result<(), StoreError> {
        self.change_keys(Change::SessionEnds { id, at }).await
    }

    /// Notes that a session was used, and by which device as it calls itself.
    pub async fn session_seen(
        &self,
        id: Uuid,
        device: Uuid,
        at: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        self.change_keys(Change::SessionSeen { id, device, at })
            .await
    }

    pub async fn begin_share(&self, share: Share) -> Result<(), StoreError> {
        self.change_keys(Change::ShareBegins(share)).await
    }

    pub async fn end_share(&self, id: Uuid, at: DateTime<Utc>) -> Result<(), StoreError> {
        self.change_keys(Change::ShareEnds { id, at }).await
    }

    pub async fn share_used(&self, id: Uuid, at: DateTime<Utc>) -> Result<(), StoreError> {
        self.change_keys(Change::ShareUsed { id, at }).await
    }

    /// What the keeper calls a phone; nothing for its own short name.
    pub async fn call_phone(&self, device: Uuid, called: Option<String>) -> Result<(), StoreError> {
        self.change_keys(Change::PhoneCalled { device, called })
            .await
    }

    /// Says that a phone is the same as another, or is none but itself.
    pub async fn same_phone(&self, device: Uuid, other: Option<Uuid>) -> Result<(), StoreError> {
        self.change_keys(Change::PhoneSameAs { device, other })
            .await
    }

    /// One change at a time, so that what is held in memory is never older than the newest.
    /// A browser that goes away meanwhile leaves nothing half done.
    async fn change_keys(&self, change: Change) -> Result<(), StoreError> {
        let store = self.clone();
        let changed = tokio::spawn(async move {
            let _turn = store.keys.turn().await;
            store.writer.note(Note::Keys(Box::new(change))).await?;
            store.keys.hold(keys(&mut store.read().await?).await?);
            Ok(())
        });
        changed.await.map_err(|_| StoreError::Closing)?
    }
}
