//! How the demo is typed: a script of entries, each with the moment at which somebody typed it.
//! Nothing here is random, so that two starts give the same ledger.
//! Not here: what is typed (`place`, `seasons`, `september`, `sprays`, `walks`, `helpers`).

use std::collections::HashMap;

use anyhow::Context;
use chrono::{DateTime, NaiveDate, NaiveDateTime, NaiveTime, Utc};
use chrono_tz::America::New_York;
use sha2::{Digest, Sha256};
use uuid::Uuid;

use crate::science::zone::{Local, local};
use crate::store::ledger::{Fields, Kind, NewEntry, Source};
use crate::web::form::{Entering, Sent};
use crate::web::known::Known;

/// One entry of the script.
pub struct Line {
    key: String,
    kind: Kind,
    typed: DateTime<Utc>,
    fields: Fields,
    about: Option<String>,
    keep: bool,
    person: Option<String>,
    card_code: Option<String>,
}

impl Line {
    pub fn by(&mut self, person: &str) -> &mut Self {
        self.person = Some(person.to_owned());
        self
    }

    /// It corrects or takes back the entry with this key.
    pub fn about(&mut self, key: &str) -> &mut Self {
        self.about = Some(key.to_owned());
        self
    }

    /// It is kept as typed, whatever is wrong with it.
    pub fn kept(&mut self) -> &mut Self {
        self.keep = true;
        self
    }

    pub fn on_card(&mut self, code: &str) -> &mut Self {
        self.card_code = Some(code.to_owned());
        self
    }

    pub fn set(&mut self, name: &str, text: impl AsRef<str>) -> &mut Self {
        self.fields.add(name, text.as_ref());
        self
    }

    /// Blocks are known before their rows are read, rows before anything that names a vine, and
    /// gone vines before a walk is drawn.
    fn act(&self) -> usize {
        match (self.kind, &self.about) {
            (Kind::Farm | Kind::Person | Kind::Instrument | Kind::Block, None) => 0,
            (Kind::Rows, None) => 1,
            (Kind::Card, _) => 3,
            _ => 2,
        }
    }

    fn id(&self) -> Uuid {
        let digest = Sha256::digest(format!("endpost demo {}", self.key));
        let mut bytes = [0; 10];
        bytes.copy_from_slice(&digest[..10]);
        let milliseconds = u64::try_from(self.typed.timestamp_millis()).unwrap_or_default();
        uuid::Builder::from_unix_timestamp_millis(milliseconds, &bytes).into_uuid()
    }
}

/// All that is typed, in any order.
#[derive(Default)]
pub struct Script(Vec<Line>);

impl Script {
    /// Adds an entry. The key names it for later entries and gives it its id.
    pub fn line(
        &mut self,
        kind: Kind,
        key: impl Into<String>,
        typed: DateTime<Utc>,
        fields: &[(&str, &str)],
    ) -> &mut Line {
        let place = self.0.len();
        self.0.push(Line {
            key: key.into(),
            kind,
            typed,
            fields: fields.iter().copied().collect(),
            about: None,
            keep: false,
            person: None,
            card_code: None,
        });
        &mut self.0[place]
    }

    /// The entries in the order in which they were typed, by what must be known to read them.
    pub fn acts(mut self) -> [Act; 4] {
        self.0.sort_by_key(|line| line.typed);
        let ids: HashMap<String, Uuid> = self
            .0
            .iter()
            .map(|line| (line.key.clone(), line.id()))
            .collect();
        let mut acts = [(); 4].map(|()| Act {
            lines: Vec::new(),
            ids: ids.clone(),
        });
        for line in self.0 {
            acts[line.act()].lines.push(line);
        }
        acts
    }
}

/// Entries that can be read with what is known before any of them.
pub struct Act {
    lines: Vec<Line>,
    ids: HashMap<String, Uuid>,
}

impl Act {
    /// Passes every entry through the check of its form. A slip in the script is an error.
    pub fn understood(&self, known: &Known) -> anyhow::Result<Vec<NewEntry>> {
        self.lines
            .iter()
            .map(|line| self.entry(line, known))
            .collect()
    }

    fn entry(&self, line: &Line, known: &Known) -> anyhow::Result<NewEntry> {
        let subject = match &line.about {
            None => None,
            Some(key) => Some(*self.ids.get(key).with_context(|| {
                format!(
                    "the demo's entry {} is about {key}, which it lacks",
                    line.key
                )
            })?),
        };
        let entering = Entering {
            id: line.id(),
            kind: line.kind,
            form_version: None,
            subject,
            base: None,
            fields: line.fields.clone(),
            confirmed: Vec::new(),
            keep: line.keep,
            source: Source::Demo,
            person: line.person.clone(),
            card_code: line.card_code.clone(),
            sent: Sent::default(),
            received_at: line.typed,
        };
        entering.understood(known).map_err(|problems| {
            let said: Vec<String> = problems
                .into_iter()
                .map(|one| format!("{}: {}", one.field, one.text))
                .collect();
            anyhow::anyhow!(
                "the demo's entry {} is refused: {}",
                line.key,
                said.join(" ")
            )
        })
    }
}

/// A day of the script, written 2027-09-10.
pub fn day(text: &str) -> anyhow::Result<NaiveDate> {
    NaiveDate::parse_from_str(text, "%Y-%m-%d").with_context(|| format!("{text} is no date"))
}

/// A moment by the farm's clock, written 2027-09-10 07:00.
pub fn moment(text: &str) -> anyhow::Result<DateTime<Utc>> {
    let wall = NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M")
        .with_context(|| format!("{text} is no moment"))?;
    on(wall.date(), wall.time())
}

/// The evening of a day, when the day's cards are typed in; `seed` moves the minute.
pub fn evening(date: NaiveDate, seed: &str) -> anyhow::Result<DateTime<Utc>> {
    let minute = (noise(seed).abs() * 40.0) as u32 % 60;
    let time = NaiveTime::from_hms_opt(18, minute, 0).context("no such evening")?;
    on(date, time)
}

fn on(date: NaiveDate, time: NaiveTime) -> anyhow::Result<DateTime<Utc>> {
    match local(New_York, date, time) {
        Local::Once(moment) => Ok(moment.to_utc()),
        _ => anyhow::bail!("{date} {time} is not one moment by the farm's clock"),
    }
}

/// Scatter with mean 0 and spread about 1, never beyond 3, always the same for the same seed.
pub fn noise(seed: &str) -> f64 {
    let digest = Sha256::digest(format!("scatter {seed}"));
    let sum: f64 = digest
        .iter()
        .take(12)
        .map(|byte| f64::from(*byte) / 255.0 - 0.5)
        .sum();
    sum.clamp(-3.0, 3.0)
}
