//! The copies that are made without anybody asking: one a night, each brought to the second place
//! as soon as that is there, and a full look at the database once a week.
//! Not here: when one is due (`science::copies`).

use std::io::{self, ErrorKind};
use std::path::Path;
use std::time::Duration;

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;
use tokio::select;
use tokio::task::spawn_blocking;
use tokio::time::{MissedTickBehavior, interval};

use super::files::{Found, copies_in};
use super::place::{Brought, NoPlace, Place};
use super::{Good, Made, good_copies, make};
use crate::clock::Clock;
use crate::program::folder::Folder;
use crate::science::copies::{CopyName, Why, due};
use crate::science::zone::farm_zone;
use crate::store::{Store, StoreError};
use crate::web::copies::{Copy, Keeping, Second};

/// How often it is looked whether something is to be done.
const BETWEEN_LOOKS: Duration = Duration::from_secs(600);
/// How often it is looked whether the second place is there: a stick is pulled and put back in
/// between.
const BETWEEN_GLANCES: Duration = Duration::from_secs(15);
/// After one that came to nothing the next is tried so much later.
const BEFORE_NEXT_TRY: TimeDelta = TimeDelta::hours(1);
const A_WEEK: TimeDelta = TimeDelta::days(7);

/// Looks after a served farm's copies.
pub struct Keeper {
    pub folder: Folder,
    pub store: Store,
    pub clock: Clock,
    pub keeping: Keeping,
    pub place: Option<Place>,
}

impl Keeper {
    /// What is known before anything is done, so that the start can tell it.
    pub fn begin(&self) {
        let database = self.folder.database().display().to_string();
        let folder = self.folder.copies().display().to_string();
        self.keeping.note(|kept| {
            kept.database = database;
            kept.folder = folder;
        });
        self.note_copies();
        if let Some(place) = &self.place {
            let trouble = place.is_for(self.store.house().server_id).err();
            self.note_place(place, trouble.map_or(Ok(None), Err));
        }
    }

    /// Looks at once, and from then on as long as the program runs.
    pub fn watch(self) {
        tokio::spawn(async move {
            let (mut looks, mut glances) = (interval(BETWEEN_LOOKS), interval(BETWEEN_GLANCES));
            looks.set_missed_tick_behavior(MissedTickBehavior::Delay);
            glances.set_missed_tick_behavior(MissedTickBehavior::Delay);
            loop {
                select! {
                    _ = looks.tick() => self.look().await,
                    _ = glances.tick() => self.glance().await,
                }
            }
        });
    }

    /// Does what is to be done now.
    pub async fn look(&self) {
        self.show_a_copy().await;
        // Of a damaged database no copy is good, and none may push a good one out.
        let is_sound = self.store.damage().is_none();
        if is_sound {
            self.copy_if_due().await;
        }
        self.bring_over().await;
        if is_sound {
            self.look_into_database().await;
        }
    }

    /// Sees what changes from one moment to the next: whether the database is damaged, and whether
    /// the stick was pulled, or is back, since that was noted last.
    pub async fn glance(&self) {
        if !self.keeping.now().nothing_to_show {
            self.show_a_copy().await;
        }
        self.see_place().await;
    }

    /// Of a damaged database pages are drawn from the best copy, where they can't be read.
    pub async fn show_a_copy(&self) {
        if self.store.damage().is_none() || self.store.has_stand_in() {
            return;
        }
        let place = self.place.as_ref().filter(|place| {
            let house = self.store.house().server_id;
            place.is_for(house).is_ok()
        });
        let place = place.map(|place| place.path().to_owned());
        for folder in [Some(self.folder.copies()), place].into_iter().flatten() {
            match good_copies(&folder).await {
                Ok(good) if self.show_best_of(&folder, &good).await => return,
                Ok(_) => {}
                Err(error) => tracing::warn!(error = ?error, "no copy can be shown"),
            }
        }
        // Every copy was read: it is tried again at the next look and not before.
        self.keeping.note(|kept| kept.nothing_to_show = true);
    }

    async fn show_best_of(&self, folder: &Path, good: &Good) -> bool {
        let house = self.store.house().server_id;
        for (held, name) in good.best_first() {
            // That of a first start shows no farm, and that of another house shows another.
            let is_ours = house.is_nil() || held.house.server_id == house;
            if held.entries == 0 || !is_ours {
                continue;
            }
            let path = folder.join(name.to_string());
            match self.store.stand_in_with(&path, name.made).await {
                Ok(()) => return true,
                Err(error) => tracing::warn!(error = ?error, copy = %name, "it can't be shown"),
            }
        }
        false
    }

    async fn see_place(&self) {
        let Some(place) = self.place.clone() else {
            return;
        };
        let house = self.store.house().server_id;
        let stands = spawn_blocking(move || place.is_for(house)).await;
        let second = self.keeping.now().second;
        let noted = second.is_some_and(|second| second.is_there);
        if stands.is_ok_and(|stands| is_there(&stands) != noted) {
            self.bring_over().await;
        }
    }

    async fn copy_if_due(&self) {
        let now = self.clock.now();
        let failed = self.keeping.now().failed;
        if failed.is_some_and(|(at, _)| now - at < BEFORE_NEXT_TRY) {
            return;
        }
        match self.copy_unless_made().await {
            Ok(None) => {}
            Ok(Some(made)) => {
                if !made.spoiled.is_empty() {
                    tracing::error!(photos = ?made.spoiled, "photos are not what their names say");
                }
                self.keeping.note(|kept| kept.failed = None);
            }
            Err(error) => {
                tracing::error!(error = ?error, "no copy was made");
                let why = why(&error);
                self.store.look_for_damage().await;
                self.keeping.note(|kept| kept.failed = Some((now, why)));
            }
        }
        self.note_copies();
    }

    async fn copy_unless_made(&self) -> anyhow::Result<Option<Made>> {
        let now = self.on_the_farm().await?;
        let copies = copies_in(&self.folder.copies())?;
        let made: Vec<CopyName> = copies.iter().map(|one| one.name).collect();
        if !due(&made, now) {
            return Ok(None);
        }
        make(&self.folder, Why::Daily, &self.clock).await.map(Some)
    }

    async fn on_the_farm(&self) -> Result<DateTime<Tz>, StoreError> {
        let farm = self.store.read().await?.farm().await?;
        let zone = farm_zone(farm.as_ref().map(|(_, farm)| farm.zone.as_str()));
        Ok(self.clock.now().with_timezone(&zone))
    }

    async fn bring_over(&self) {
        let Some(place) = self.place.clone() else {
            return;
        };
        let (from, house) = (self.folder.copies(), self.store.house().server_id);
        // While the database is damaged copies are brought, and none is taken away.
        let now = match self.store.damage() {
            Some(_) => None,
            None => self.on_the_farm().await.ok(),
        };
        let there = place.clone();
        let brought = spawn_blocking(move || there.bring_over(&from, house, now)).await;
        match brought {
            Ok(brought) => self.note_place(&place, brought.map(Some)),
            Err(error) => tracing::error!(error = ?error, "copies were not brought over"),
        }
    }

    async fn look_into_database(&self) {
        let now = self.clock.now();
        let looked = self.keeping.now().looked;
        if looked.is_some_and(|(at, _)| now - at < A_WEEK) {
            return;
        }
        match self.store.faults().await {
            Ok(faults) => {
                if !faults.is_empty() {
                    tracing::error!(faults = ?faults, "the database has faults");
                }
                let faults = faults.len();
                self.keeping.note(|kept| kept.looked = Some((now, faults)));
            }
            Err(error) => tracing::error!(error = ?error, "the database can't be looked into"),
        }
    }

    fn note_copies(&self) {
        match copies_in(&self.folder.copies()) {
            Ok(found) => {
                let copies = found.into_iter().map(shown).collect();
                self.keeping.note(|kept| kept.copies = copies);
            }
            Err(error) => tracing::warn!(error = ?error, "the copies can't be listed"),
        }
    }

    fn note_place(&self, place: &Place, stands: Result<Option<Brought>, NoPlace>) {
        if let Err(trouble) = &stands {
            tracing::warn!(trouble = %trouble, "the second place for copies");
        }
        let is_there = is_there(&stands);
        let (brought, trouble) = match stands {
            Ok(brought) => (brought, None),
            Err(trouble) => (None, Some(trouble.to_string())),
        };
        let spoiled = brought.iter().flat_map(|brought| &brought.spoiled);
        let second = Second {
            path: place.path().display().to_string(),
            is_there,
            spoiled: spoiled.map(CopyName::to_string).collect(),
            copies: brought.as_ref().map(|brought| brought.copies.len()),
            trouble,
        };
        self.keeping.note(|kept| kept.second = Some(second));
    }
}

/// Whether the place is there, whatever keeps copies from being brought.
fn is_there<T>(stands: &Result<T, NoPlace>) -> bool {
    match stands {
        Ok(_) => true,
        Err(trouble) => trouble.is_of_what_is_there(),
    }
}

fn shown(found: Found) -> Copy {
    Copy {
        name: found.name,
        bytes: found.bytes,
        sha256: found.sha256,
    }
}

/// Why no copy was made, in words for a page; the log has the rest.
fn why(error: &anyhow::Error) -> String {
    let full = |cause: &(dyn std::error::Error + 'static)| {
        let kind = cause.downcast_ref::<io::Error>().map(io::Error::kind);
        let no_room = matches!(
            kind,
            Some(ErrorKind::StorageFull | ErrorKind::QuotaExceeded)
        );
        no_room || matches!(cause.downcast_ref(), Some(StoreError::Full))
    };
    let store = error.chain().find_map(|cause| cause.downcast_ref());
    match store {
        _ if error.chain().any(full) => "the disk is full, or can't be written to".to_owned(),
        Some(StoreError::Damaged(_)) => "the database is damaged".to_owned(),
        Some(StoreError::Unlike(_)) => "the copy is not like the data".to_owned(),
        _ => "the program's log says why".to_owned(),
    }
}
