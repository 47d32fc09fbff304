//! What the checks of entries lean on, kept from entry to entry: the ground until a commit may have
//! changed it, known by a counter read before the data, and what was measured last, to which new
//! samples are added. Who needs a part while it is being read waits for that one reading.
//! Not here: what it is (`known`).

use std::sync::Arc;

use chrono::NaiveDate;
use tokio::sync::Mutex;

use super::App;
use super::error::PageError;
use super::known::Ground;
use crate::store::Recent;

/// The parts read last.
#[derive(Clone, Default)]
pub struct Memory {
    ground: Arc<Mutex<Option<HeldGround>>>,
    recent: Arc<Mutex<Option<Recent>>>,
}

/// The ground with the counter and the day it holds for.
struct HeldGround {
    count: u64,
    day: NaiveDate,
    ground: Arc<Ground>,
}

impl Memory {
    pub async fn ground(&self, app: &App) -> Result<Arc<Ground>, PageError> {
        let mut kept = self.ground.lock().await;
        let count = app.store.commits_to_the_ground();
        if let Some(held) = kept.as_ref()
            && held.count == count
            && held.day == held.ground.today(app)
        {
            return Ok(held.ground.clone());
        }
        let ground = Arc::new(Ground::read(&mut app.store.read().await?, app).await?);
        *kept = Some(HeldGround {
            count,
            day: ground.today(app),
            ground: ground.clone(),
        });
        Ok(ground)
    }

    pub async fn recent(&self, app: &App, since: NaiveDate) -> Result<Recent, PageError> {
        let mut kept = self.recent.lock().await;
        if let Some(recent) = kept.as_mut()
            && recent.since() == since
            && app.store.bring_up_to_date(recent)
        {
            return Ok(recent.clone());
        }
        let recent = app.store.read().await?.recent(since).await?;
        *kept = Some(recent.clone());
        Ok(recent)
    }
}
