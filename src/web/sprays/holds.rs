//! What closes which block now, from every spray ever written down.
//! Not here: the sums (`science::sprays::hold`) and the words (`hold_words`).

use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;
use uuid::Uuid;

use super::hold_words::{closed_words, nobody_has_written, until_words};
use crate::science::places::{Block, RowLayout};
use crate::science::sprays::{Hold, Spray, holds_on};
use crate::store::{FIRST_DAY, LAST_DAY, Read, SprayListed, StoreError};
use crate::web::known::Known;

/// Every spray, with what follows from them for each block.
pub struct Holds {
    /// The oldest first.
    pub sprays: Vec<SprayListed>,
    pub blocks: Vec<BlockHold>,
    /// A spray was kept as typed: nobody knows which blocks it closes, so all are in doubt.
    pub to_mend: bool,
}

/// Blocks of which the same is to be said.
pub struct SameSaid {
    pub blocks: String,
    pub said: String,
}

/// Blocks with what is said of each, those of the same words together.
pub fn same_said(each: impl Iterator<Item = (String, String)>) -> Vec<SameSaid> {
    let mut found: Vec<SameSaid> = Vec::new();
    for (block, said) in each {
        match found.iter_mut().find(|one| one.said == said) {
            Some(one) => one.blocks = format!("{}, {block}", one.blocks),
            None => found.push(SameSaid {
                blocks: block,
                said,
            }),
        }
    }
    found
}

/// One block at the present moment.
pub struct BlockHold {
    pub id: Uuid,
    pub block: Block,
    pub hold: Hold,
    pub last_spray: Option<NaiveDate>,
}

impl Holds {
    pub async fn now(read: &mut Read, known: &Known) -> Result<Self, StoreError> {
        let sprays = all_sprays(read).await?;
        let to_mend = read.spray_needs_a_look().await?;
        let blocks = known
            .blocks
            .iter()
            .map(|one| {
                let rows = known.rows(one.id, known.today);
                let covering = covering(&sprays, one.id, &rows);
                let hold = holds_on(&covering, known.now.fixed_offset());
                BlockHold {
                    id: one.id,
                    block: one.block.clone(),
                    hold: hold.unless_a_spray_waits(to_mend),
                    last_spray: last_written(&covering, known.today),
                }
            })
            .collect();
        Ok(Self {
            sprays,
            blocks,
            to_mend,
        })
    }

    /// The closed blocks, those of one hold together.
    pub fn closed_now(&self, known: &Known) -> Vec<SameSaid> {
        let closed = self.blocks.iter().filter(|one| one.is_closed());
        same_said(closed.map(|one| (one.block.name.clone(), one.said(known))))
    }

    /// What to ask before going into the others.
    pub fn to_ask_about(&self) -> Vec<SameSaid> {
        let others = self.blocks.iter().filter(|one| !one.is_closed());
        same_said(others.map(|one| (one.block.name.clone(), nobody_has_written(one.last_spray))))
    }
}

impl BlockHold {
    pub fn is_closed(&self) -> bool {
        self.hold.entry.is_closed() || self.hold.picking.is_closed()
    }

    pub fn entry(&self, known: &Known) -> String {
        closed_words(&self.hold.entry, self.last_spray, known)
    }

    pub fn picking(&self, known: &Known) -> String {
        closed_words(&self.hold.picking, self.last_spray, known)
    }

    /// "entry closed until Mon 6 Sept 10:40; picking closed until Sat 18 Sept 10:40"
    pub fn said(&self, known: &Known) -> String {
        let (entry, picking) = (self.entry(known), self.picking(known));
        if self.hold.waits_for_a_spray() {
            return entry;
        }
        match (self.hold.entry.is_closed(), self.hold.picking.is_closed()) {
            (true, _) => format!("entry {entry}; picking {picking}"),
            (false, true) => format!("picking {picking}; for entry {entry}"),
            (false, false) => entry,
        }
    }
}

/// Every spray ever written down, the oldest first. A blank interval closes a block however long
/// ago it was left blank, so that no spray is too old to count.
pub async fn all_sprays(read: &mut Read) -> Result<Vec<SprayListed>, StoreError> {
    read.sprays_between(FIRST_DAY, LAST_DAY).await
}

/// The sprays that touched a block, or ground that belongs to it now.
pub fn covering(sprays: &[SprayListed], block: Uuid, rows: &[RowLayout]) -> Vec<Spray> {
    sprays
        .iter()
        .filter(|listed| listed.spray.covers(block, rows))
        .map(|listed| listed.spray.clone())
        .collect()
}

/// The day of the last spray up to today.
pub fn last_written(sprays: &[Spray], today: NaiveDate) -> Option<NaiveDate> {
    sprays
        .iter()
        .map(|spray| spray.date)
        .filter(|date| *date <= today)
        .max()
}

/// "C Vidal was closed for entry then: until Mon 6 Sept 10:40.", by the sprays that had begun at a
/// moment; none when it was not closed.
pub async fn entry_hold_at(
    read: &mut Read,
    known: &Known,
    block: Uuid,
    at: DateTime<Tz>,
) -> Result<Option<String>, StoreError> {
    let sprays = all_sprays(read).await?;
    let covering = covering(&sprays, block, &known.rows(block, at.date_naive()));
    let entry = holds_on(&covering, at.fixed_offset()).entry;
    Ok(entry.is_closed().then(|| {
        let called = known.block_called(block);
        format!(
            "{called} was closed for entry then: {}.",
            until_words(&entry, known)
        )
    }))
}
