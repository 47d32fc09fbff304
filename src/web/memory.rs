//! What the checks of entries lean on, kept from entry to entry. Each part is known by a counter of
//! the store, read before the data, so that it is never older than its counter says; who needs it
//! while it is being read waits for that one reading.
//! Not here: what it is (`known`).

use std::sync::Arc;

use chrono::NaiveDate;
use tokio::sync::Mutex;

use super::App;
use super::error::PageError;
use super::known::{Ground, Recent};

/// The parts read last.
#[derive(Clone, Default)]
pub struct Memory {
    ground: Part<Ground>,
    recent: Part<Recent>,
}

/// A part with the counter and the day it holds for.
type Part<T> = Arc<Mutex<Option<Held<T>>>>;

struct Held<T> {
    count: u64,
    day: NaiveDate,
    part: Arc<T>,
}

impl Memory {
    pub async fn ground(&self, app: &App) -> Result<Arc<Ground>, PageError> {
        let mut kept = self.ground.lock().await;
        let count = app.store.commits_to_the_ground();
        if let Some(held) = kept.as_ref()
            && held.count == count
            && held.day == held.part.today(app)
        {
            return Ok(held.part.clone());
        }
        let part = Arc::new(Ground::read(&mut app.store.read().await?, app).await?);
        *kept = Some(Held {
            count,
            day: part.today(app),
            part: part.clone(),
        });
        Ok(part)
    }

    pub async fn recent(&self, app: &App, since: NaiveDate) -> Result<Arc<Recent>, PageError> {
        let mut kept = self.recent.lock().await;
        let count = app.store.commits();
        if let Some(held) = kept.as_ref()
            && (held.count, held.day) == (count, since)
        {
            return Ok(held.part.clone());
        }
        let part = Arc::new(Recent::since(&mut app.store.read().await?, since).await?);
        *kept = Some(Held {
            count,
            day: since,
            part: part.clone(),
        });
        Ok(part)
    }
}
