//! A copy that is read in the place of a damaged database, so that pages can be shown at all.
//! Not here: which copy (`program::copies`), and which pages need it (`web::beside`).

use std::path::{Path, PathBuf};
use std::sync::{Arc, PoisonError, RwLock};

use chrono::{DateTime, Utc};
use sqlx::SqlitePool;

use super::{Store, StoreError, connection};

/// The copy, once one was found; cheap to clone.
#[derive(Clone, Default)]
pub(super) struct StandIn(Arc<RwLock<Option<Copy>>>);

#[derive(Clone)]
struct Copy {
    path: PathBuf,
    readers: SqlitePool,
    made: DateTime<Utc>,
}

impl StandIn {
    fn now(&self) -> Option<Copy> {
        let copy = self.0.read();
        copy.unwrap_or_else(PoisonError::into_inner).clone()
    }

    fn is(&self, copy: Copy) {
        let held = self.0.write();
        *held.unwrap_or_else(PoisonError::into_inner) = Some(copy);
    }
}

impl Store {
    /// From now on what can't be read of the damaged database can be read of a copy of it. The copy
    /// was looked into, and is left as it is.
    pub async fn stand_in_with(&self, copy: &Path, made: DateTime<Utc>) -> Result<(), StoreError> {
        let readers = connection::open_to_show(copy).await?;
        self.stand_in.is(Copy {
            path: copy.to_owned(),
            readers,
            made,
        });
        Ok(())
    }

    /// Whether a copy stands in.
    pub fn has_stand_in(&self) -> bool {
        self.stand_in.now().is_some()
    }

    /// Whether what can't be read here is asked of the copy next.
    pub fn waits_for_stand_in(&self) -> bool {
        self.copy_of.is_none() && self.has_stand_in()
    }

    /// Where the copy lies.
    pub fn stand_in_lies_at(&self) -> Option<PathBuf> {
        self.stand_in.now().map(|copy| copy.path)
    }

    /// The same store with the copy to read from.
    pub fn stand_in(&self) -> Option<Self> {
        let copy = self.stand_in.now()?;
        Some(Self {
            readers: copy.readers,
            copy_of: Some(copy.made),
            ..self.clone()
        })
    }

    /// When the copy was made that is read here in the place of the database.
    pub fn is_copy_of(&self) -> Option<DateTime<Utc>> {
        self.copy_of
    }
}
