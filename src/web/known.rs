//! What the forms need to know of the farm to read typed text: read once for each page, and kept
//! from entry to entry where phones send many.
//! Not here: samples of past seasons and all that only single pages show.

use std::ops::Deref;
use std::sync::Arc;

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use uuid::Uuid;

use super::App;
use super::error::PageError;
use super::form::protocol::units_of;
use super::words;
use crate::science::access::Person;
use crate::science::cards::CardCode;
use crate::science::places::{Block, Farm, RowLayout, RowsOfBlock, VineEvent, rows_on};
use crate::science::ripeness::{Assumptions, Target};
use crate::science::units::Units;
use crate::science::zone::farm_zone;
use crate::store::ledger::{CLOCKS_AGREE, Fields};
use crate::store::{BlockListed, ClosedSeason, InstrumentListed, Read, Recent};

/// Bags older than this are not asked about again.
const RECENT: TimeDelta = TimeDelta::days(60);

/// The farm as it stands at a moment: its ground, and what was measured last.
#[derive(Clone)]
pub struct Known {
    ground: Arc<Ground>,
    recent: Recent,
    /// Set while a page that was typed in other units than the farm's is read.
    typed_in: Option<Units>,
    pub now: DateTime<Tz>,
    pub today: NaiveDate,
    /// The phone or computer whose page is read, where one is.
    pub device: Option<Uuid>,
    /// The card that the page is typed in from, and the block it was drawn up for.
    card: Option<(CardCode, Uuid)>,
    pub need_a_look: i64,
    newest_arrival: Option<DateTime<Utc>>,
    /// The newest moment at which anything came in, by the clocks of that time.
    latest_moment: Option<DateTime<Utc>>,
}

/// What seldom changes: the places, the people, the tools, what is wanted.
#[derive(Clone)]
pub struct Ground {
    pub farm: Option<Farm>,
    pub farm_record: Option<Uuid>,
    pub zone: Tz,
    pub blocks: Vec<BlockListed>,
    /// Blocks that were taken back: entries typed before that was known name them.
    blocks_gone: Vec<BlockListed>,
    pub row_lists: Vec<RowsOfBlock>,
    pub vines: Vec<VineEvent>,
    pub instruments: Vec<InstrumentListed>,
    pub people: Vec<Person>,
    pub assumptions: Assumptions,
    /// What is wanted of each block today.
    pub targets: Vec<Target>,
    pub closed_seasons: Vec<ClosedSeason>,
}

/// What is known is the ground, with more beside it.
impl Deref for Known {
    type Target = Ground;

    fn deref(&self) -> &Ground {
        &self.ground
    }
}

impl Ground {
    /// The farm's own calendar date now.
    pub fn today(&self, app: &App) -> NaiveDate {
        app.clock.now().with_timezone(&self.zone).date_naive()
    }

    pub async fn read(read: &mut Read, app: &App) -> Result<Self, PageError> {
        let (farm_record, farm) = read.farm().await?.unzip();
        let zone = farm_zone(farm.as_ref().map(|farm| farm.zone.as_str()));
        let today = app.clock.now().with_timezone(&zone).date_naive();
        let people = read.people().await?;
        let vines = read.vine_events().await?;
        Ok(Self {
            farm,
            farm_record,
            zone,
            blocks: read.blocks().await?,
            blocks_gone: read.blocks_gone().await?,
            row_lists: read.row_lists().await?,
            vines: vines.into_iter().map(|(_, event)| event).collect(),
            instruments: read.instruments().await?,
            people: people.into_iter().map(|(_, person)| person).collect(),
            assumptions: read.assumptions().await?,
            targets: read.targets_on(today).await?,
            closed_seasons: read.closed_seasons().await?,
        })
    }
}

impl Known {
    pub async fn load(app: &App) -> Result<Self, PageError> {
        let mut read = app.store.read().await?;
        Self::from(&mut read, app).await
    }

    /// The same through a view already begun, so that a page's parts belong together.
    pub async fn from(read: &mut Read, app: &App) -> Result<Self, PageError> {
        let ground = Arc::new(Ground::read(read, app).await?);
        let now = app.clock.now().with_timezone(&ground.zone);
        let recent = read.recent(now.date_naive() - RECENT).await?;
        Ok(Self {
            recent,
            need_a_look: read.how_many_need_a_look().await?,
            newest_arrival: read.newest_arrival().await?,
            latest_moment: read.latest_moment().await?,
            ..Self::at(now, ground)
        })
    }

    fn at(now: DateTime<Tz>, ground: Arc<Ground>) -> Self {
        Self {
            ground,
            recent: Recent::default(),
            typed_in: None,
            now,
            today: now.date_naive(),
            device: None,
            card: None,
            need_a_look: 0,
            newest_arrival: None,
            latest_moment: None,
        }
    }

    /// What the check of an entry needs, kept from entry to entry until it changes: many phones
    /// send at once, and each entry shall cost no more than its own reading. What pages show
    /// besides, such as how many entries need a look, is not read.
    pub async fn for_entries(app: &App, with_recent: bool) -> Result<Self, PageError> {
        let ground = app.memory.ground(app).await?;
        let now = app.clock.now().with_timezone(&ground.zone);
        let mut known = Self::at(now, ground);
        if with_recent {
            known.recent = app.memory.recent(app, known.today - RECENT).await?;
        }
        Ok(known)
    }

    /// Takes in what bears on how an entry is read: the units it was typed in, the device it comes
    /// from and the card.
    pub async fn take_in(
        &mut self,
        app: &App,
        fields: &Fields,
        device: Uuid,
        card: Option<&str>,
    ) -> Result<(), PageError> {
        self.read_in_units_of(fields);
        self.device = Some(device);
        self.look_up_card(app, card).await
    }

    /// Looks up the card that a page is typed in from.
    pub async fn look_up_card(&mut self, app: &App, code: Option<&str>) -> Result<(), PageError> {
        if let Some(code) = code.and_then(|code| code.parse().ok()) {
            let card = app.store.read().await?.card(code).await?;
            let block = card.and_then(|listed| listed.card.block);
            self.card = block.map(|block| (code, block));
        }
        Ok(())
    }

    /// The card that the page is typed in from, if it was drawn up for another block.
    pub fn card_of_another(&self, block: Uuid) -> Option<(CardCode, Uuid)> {
        self.card.filter(|(_, of)| *of != block)
    }

    /// The ground to be tried with something that is not written down yet.
    pub fn ground_mut(&mut self) -> &mut Ground {
        Arc::make_mut(&mut self.ground)
    }

    /// What was measured last in each block.
    pub fn recent(&self) -> &Recent {
        &self.recent
    }

    /// The same where bags of older days than usual are asked about.
    pub fn with_recent(self, recent: Recent) -> Self {
        Self { recent, ..self }
    }

    /// "Fri 10 Sept 07:10", for the head of a sheet.
    pub fn data_up_to(&self) -> String {
        self.newest_arrival.map_or_else(
            || "no entry yet".to_owned(),
            |at| words::moment(&at.with_timezone(&self.zone), self.today),
        )
    }

    /// When the newest entry came, if this computer's clock says that this is still to come.
    pub fn ahead_of_the_clock(&self) -> Option<DateTime<Tz>> {
        let latest = self.latest_moment?.with_timezone(&self.zone);
        (latest - self.now > CLOCKS_AGREE).then_some(latest)
    }

    /// The units in which typed text is read and values are shown.
    pub fn units(&self) -> Units {
        self.typed_in
            .or_else(|| self.farm.as_ref().map(|farm| farm.units))
            .unwrap_or_default()
    }

    /// Reads what follows in the units that its page was typed in: the farm's may have changed
    /// since, and 59 °F must not become 59 °C.
    pub fn read_in_units_of(&mut self, fields: &Fields) {
        self.typed_in = units_of(fields);
    }

    pub fn block(&self, id: Uuid) -> Option<&Block> {
        self.blocks
            .iter()
            .find(|one| one.id == id)
            .map(|one| &one.block)
    }

    /// The block that a text names: by its id, its name or what it is called.
    pub fn block_named(&self, text: &str) -> Option<Uuid> {
        let text = text.trim();
        let named = |one: &&BlockListed| {
            one.id.to_string() == text
                || one.block.name.eq_ignore_ascii_case(text)
                || one.block.called().eq_ignore_ascii_case(text)
        };
        self.blocks.iter().find(named).map(|one| one.id)
    }

    /// The instrument that a text names: by its id or its name.
    pub fn instrument_named(&self, text: &str) -> Option<&InstrumentListed> {
        let text = text.trim();
        self.instruments.iter().find(|one| {
            one.id.to_string() == text || one.instrument.name.eq_ignore_ascii_case(text)
        })
    }

    /// Whose entry it is: the initials tapped, if they are on the list, or the only ones there.
    pub fn person(&self, tapped: Option<&str>) -> Option<String> {
        let here: Vec<&Person> = self.people.iter().filter(|one| one.here).collect();
        let found = here
            .iter()
            .find(|one| Some(one.initials.as_str()) == tapped);
        match (found, here.as_slice()) {
            (Some(person), _) | (None, [person]) => Some(person.initials.clone()),
            _ => None,
        }
    }

    /// Whether somebody of these initials is on the list, here now or not.
    pub fn lists(&self, initials: &str) -> bool {
        self.people.iter().any(|one| one.initials == initials)
    }

    /// "A Marquette", or words for a block that is not here.
    pub fn block_called(&self, id: Uuid) -> String {
        self.block(id)
            .map(Block::called)
            .or_else(|| self.block_gone_called(id))
            .unwrap_or_else(|| "a block that is not here".to_owned())
    }

    /// "A Marquette, taken back"
    pub fn block_gone_called(&self, id: Uuid) -> Option<String> {
        let gone = self.blocks_gone.iter().find(|one| one.id == id)?;
        Some(format!("{}, taken back", gone.block.called()))
    }

    /// The blocks as choices of a form.
    pub fn block_choices(&self) -> Vec<(String, String)> {
        self.blocks
            .iter()
            .map(|one| (one.id.to_string(), one.block.called()))
            .collect()
    }

    /// The year that a page's address names, else this one.
    pub fn year_asked(&self, asked: &Fields) -> i32 {
        let year = asked.first("year").trim().parse().ok();
        year.filter(|year| (1900..=2999).contains(year))
            .unwrap_or(self.today.year())
    }

    /// The rows a block has on a day.
    pub fn rows(&self, block: Uuid, day: NaiveDate) -> Vec<RowLayout> {
        rows_on(block, day, &self.row_lists)
    }

    /// All rows of the farm today.
    pub fn all_rows(&self) -> Vec<RowLayout> {
        self.blocks
            .iter()
            .flat_map(|one| self.rows(one.id, self.today))
            .collect()
    }
}
