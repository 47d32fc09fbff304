//! What a walk brought so far: two phones may share one, each with a sample of its own.
//! Not here: what is typed on this phone and not yet stored.

use std::collections::BTreeMap;
use std::sync::Arc;

use uuid::Uuid;

use crate::science::cards::{Card, CardCode};
use crate::science::places::VineAddress;
use crate::science::ripeness::walk::running::{Running, running};
use crate::science::ripeness::{Taken, Walk};
use crate::store::ledger::{State, Values};
use crate::store::{Read, StoreError};
use crate::web::App;
use crate::web::error::PageError;
use crate::web::harvest::{BlockToday, Vineyard};
use crate::web::known::Known;
use crate::web::ledger::typed_at;
use crate::web::words::{clock, number};

/// A walk with its card.
pub struct Drawn {
    pub record: Uuid,
    pub code: CardCode,
    pub block: Uuid,
    pub walk: Walk,
}

/// The walk an address names.
pub async fn drawn(read: &mut Read, code: &str) -> Result<Drawn, PageError> {
    let missing = || PageError::missing("walk with this code");
    let code: CardCode = code.parse().map_err(|_| missing())?;
    let found = read.card(code).await?.ok_or_else(missing)?;
    let Card { block, walk, .. } = found.card;
    Ok(Drawn {
        record: found.id,
        code,
        block: block.ok_or_else(missing)?,
        walk: walk.ok_or_else(missing)?,
    })
}

/// A walk as it stands now, for its page and for phones that ask on the way.
pub struct Standing {
    pub known: Known,
    pub vineyard: Arc<Vineyard>,
    pub drawn: Drawn,
    pub kept: KeptStops,
}

impl Standing {
    pub async fn of(app: &App, code: &str) -> Result<Self, PageError> {
        let (known, vineyard) = Vineyard::now(app).await?;
        let mut read = app.store.read().await?;
        let drawn = drawn(&mut read, code).await?;
        let kept = kept_stops(&mut read, &known, drawn.code).await?;
        Ok(Self {
            known,
            vineyard,
            drawn,
            kept,
        })
    }

    pub fn block(&self) -> Result<&BlockToday, PageError> {
        let found = self.vineyard.block(self.drawn.block);
        found.ok_or(PageError::missing("block of this walk"))
    }
}

/// A reading that somebody has kept.
pub struct Kept {
    pub brix: f64,
    /// "21.4, kept by LK 07:52"
    pub words: String,
}

/// The readings kept from a card, by vine.
pub type KeptStops = BTreeMap<VineAddress, Vec<Kept>>;

/// The readings that samples of this card hold now.
async fn kept_stops(
    read: &mut Read,
    known: &Known,
    code: CardCode,
) -> Result<KeptStops, StoreError> {
    let mut found = KeptStops::new();
    for first in read.entries_of_card(code).await? {
        if first.state != State::Stored {
            continue;
        }
        let now = read.entry_in_force(first.record).await?;
        let Some(Values::Sample(sample)) = now.and_then(|entry| entry.values) else {
            continue;
        };
        let Taken::Stops(stops) = sample.taken else {
            continue;
        };
        let typed = typed_at(&first).unwrap_or(first.received_at);
        let time = sample
            .time
            .unwrap_or(typed.with_timezone(&known.zone).time());
        let by = match &first.person {
            Some(person) => format!("kept by {person}"),
            None => "kept".to_owned(),
        };
        for stop in stops {
            let Some(at) = stop.at else { continue };
            let brix = stop.brix.corrected;
            let words = format!("{}, {by} {}", number(brix, 1), clock(time));
            found.entry(at).or_default().push(Kept { brix, words });
        }
    }
    Ok(found)
}

/// The sum of what is kept: one value a vine.
pub fn sum(kept: &KeptStops, walk: &Walk, one: &BlockToday, known: &Known) -> Option<Running> {
    let of_vine = |read: &Vec<Kept>| {
        let sum: f64 = read.iter().map(|one| one.brix).sum();
        sum / read.len() as f64
    };
    let values: Vec<f64> = kept.values().map(of_vine).collect();
    running(&values, vines(one), walk.wanted, &known.assumptions)
}

/// The vines standing in the block, where its rows are known.
pub fn vines(one: &BlockToday) -> Option<u32> {
    Some(one.count.standing).filter(|standing| *standing > 0)
}
