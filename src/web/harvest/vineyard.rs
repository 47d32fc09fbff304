//! The whole vineyard as it can be told today: read once for each change of data and day.
//! Forecasts are what costs; they are kept until an entry or the date changes.
//! Not here: the sums (`science::harvest`) and the words (`sentences`).

use std::sync::{Arc, Mutex};

use chrono::{Datelike, NaiveDate};
use uuid::Uuid;

use crate::science::harvest::{BlockFacts, Outlook, Readiness, outlooks, readiness};
use crate::science::places::census::{Count, count_on};
use crate::science::places::{Block, RowLayout, changes_of_rows};
use crate::science::ripeness::day::{SampleDay, own_spread, running_series, sample_days};
use crate::science::ripeness::spread::Spread;
use crate::science::ripeness::{Attribute, DayOfYear};
use crate::science::sprays::{Hold, Spray, holds_on};
use crate::science::weather::WeatherDay;
use crate::store::{FIRST_DAY, Read};
use crate::web::App;
use crate::web::error::PageError;
use crate::web::known::Known;
use crate::web::sprays::{all_sprays, covering, last_written, until_words};

/// All that pages tell of one block.
#[derive(Clone, Debug)]
pub struct BlockToday {
    pub id: Uuid,
    pub block: Block,
    pub rows: Vec<RowLayout>,
    pub count: Count,
    pub season_end: NaiveDate,
    /// All sample days, of earlier seasons too, oldest first.
    pub days: Vec<SampleDay>,
    pub outlooks: [Outlook; 3],
    /// The block's own spread between and within vines, once a pilot tells it.
    pub spread: Option<Spread>,
    pub last_spray: Option<NaiveDate>,
    pub sprays: Vec<Spray>,
    pub rows_changed: Vec<NaiveDate>,
}

impl BlockToday {
    pub fn outlook(&self, attribute: Attribute) -> &Outlook {
        match attribute {
            Attribute::Brix => &self.outlooks[0],
            Attribute::Ph => &self.outlooks[1],
            Attribute::Ta => &self.outlooks[2],
        }
    }

    pub fn series(&self, today: NaiveDate) -> &[SampleDay] {
        running_series(&self.days, today)
    }

    /// What closes it at the present moment.
    pub fn hold(&self, known: &Known, vineyard: &Vineyard) -> Hold {
        holds_on(&self.sprays, known.now.fixed_offset())
            .unless_a_spray_waits(vineyard.spray_to_mend)
    }

    /// Judges the block at the present moment.
    pub fn readiness(&self, known: &Known, vineyard: &Vineyard) -> Readiness {
        readiness(BlockFacts {
            series: self.series(known.today),
            outlooks: &self.outlooks,
            weather: &vineyard.weather,
            hold: self.hold(known, vineyard),
            today: known.today,
            assumptions: &known.assumptions,
        })
    }
}

/// The blocks with what concerns them all.
#[derive(Clone, Debug)]
pub struct Vineyard {
    pub blocks: Vec<BlockToday>,
    pub weather: Vec<WeatherDay>,
    /// A spray was kept as typed: nobody knows which blocks it closes, so all are in doubt.
    pub spray_to_mend: bool,
}

/// The last vineyard worked out.
#[derive(Clone, Default)]
pub struct Memo(Arc<Mutex<Option<Kept>>>);

/// A vineyard with the count of commits and the day it holds for.
struct Kept {
    commits: u64,
    day: NaiveDate,
    vineyard: Arc<Vineyard>,
}

impl Memo {
    fn get(&self, commits: u64, day: NaiveDate) -> Option<Arc<Vineyard>> {
        let kept = self.0.lock().unwrap_or_else(|broken| broken.into_inner());
        kept.as_ref()
            .filter(|kept| (kept.commits, kept.day) == (commits, day))
            .map(|kept| kept.vineyard.clone())
    }

    fn keep(&self, commits: u64, day: NaiveDate, vineyard: Arc<Vineyard>) {
        let mut kept = self.0.lock().unwrap_or_else(|broken| broken.into_inner());
        *kept = Some(Kept {
            commits,
            day,
            vineyard,
        });
    }
}

impl Vineyard {
    /// The vineyard now. The commit counter is read before the data, so that what is kept under a
    /// count is never older than the count says.
    pub async fn now(app: &App) -> Result<(Known, Arc<Self>), PageError> {
        let commits = app.store.commits();
        let mut read = app.store.read().await?;
        let known = Known::from(&mut read, app).await?;
        if let Some(kept) = app.memo.get(commits, known.today) {
            return Ok((known, kept));
        }
        let vineyard = Arc::new(Self::work_out(&mut read, &known).await?);
        app.memo.keep(commits, known.today, vineyard.clone());
        Ok((known, vineyard))
    }

    async fn work_out(read: &mut Read, known: &Known) -> Result<Self, PageError> {
        let today = known.today;
        let samples = read.samples_between(FIRST_DAY, today).await?;
        let targets = read.targets_on(today).await?;
        let year_start = NaiveDate::from_yo_opt(today.year(), 1).unwrap_or(today);
        let weather = read.weather_between(year_start, today).await?;
        let sprays = all_sprays(read).await?;
        let spray_to_mend = read.spray_needs_a_look().await?;
        let mut blocks = Vec::with_capacity(known.blocks.len());
        for one in &known.blocks {
            let rows = known.rows(one.id, today);
            let count = count_on(&rows, &known.vines, today);
            let target = targets.iter().find(|target| target.block == one.id);
            let of_block: Vec<_> = samples
                .iter()
                .filter(|listed| listed.sample.block == one.id)
                .map(|listed| &listed.sample)
                .collect();
            let spread = of_block.iter().rev().find_map(|sample| own_spread(sample));
            let vines = (count.standing > 0).then_some(count.standing);
            let days = sample_days(&of_block, vines, &known.assumptions);
            let season_end = target
                .map_or(DayOfYear::SEASON_END, |target| target.season_end)
                .in_year(today.year());
            let covering = covering(&sprays, one.id, &rows);
            blocks.push(BlockToday {
                id: one.id,
                block: one.block.clone(),
                outlooks: outlooks(&days, target, today, season_end, &known.assumptions),
                last_spray: last_written(&covering, today),
                sprays: covering,
                spread,
                rows_changed: changes_of_rows(one.id, today, &known.row_lists),
                rows,
                count,
                season_end,
                days,
            });
        }
        Ok(Self {
            blocks,
            weather: weather.into_iter().map(|(_, day)| day).collect(),
            spray_to_mend,
        })
    }

    /// The blocks that a spray closes for entry now, each with the words that say so.
    pub fn closed_for_entry<'a>(
        &'a self,
        known: &'a Known,
    ) -> impl Iterator<Item = (Uuid, String)> + 'a {
        self.blocks.iter().filter_map(|one| {
            let entry = one.hold(known, self).entry;
            entry.is_closed().then(|| {
                let until = until_words(&entry, known);
                let words = format!(
                    "{}: entry closed {until}. The label rules.",
                    one.block.called()
                );
                (one.id, words)
            })
        })
    }

    /// The same words for the block a page is about, or for all where it names none.
    pub fn closed_words<'a>(
        &'a self,
        known: &'a Known,
        block: &'a str,
    ) -> impl Iterator<Item = String> + 'a {
        self.closed_for_entry(known)
            .filter(move |(id, _)| block.is_empty() || known.block_named(block) == Some(*id))
            .map(|(_, words)| words)
    }

    pub fn block(&self, id: Uuid) -> Option<&BlockToday> {
        self.blocks.iter().find(|one| one.id == id)
    }
}
