//! `endpost import`: readings of earlier seasons from a file, through the sample form's own check.
//! All lines are checked before any is written.
//! Not here: the file's columns (`columns`), its cells (`sheet`), and lines made samples (`samples`).

pub mod columns;
mod samples;
pub mod sheet;

use std::path::Path;
use std::process::ExitCode;

use anyhow::Context;
use chrono::{DateTime, NaiveDate, Utc};

use super::folder::Folder;
use super::options::ImportChoices;
use super::serve::open;
use crate::clock::Clock;
use crate::store::ledger::{
    Fields, Kind, NewEntry, Outcome as Came, Receipt, Source, State, Values,
};
use crate::store::{BlockListed, Store};
use crate::web::App;
use crate::web::error::PageError;
use crate::web::form::{Entering, Problem, Sent};
use crate::web::known::Known;
use samples::{Group, groups, id_of};

/// A line that can't be imported as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    pub line: u64,
    pub column: &'static str,
    pub text: String,
    /// It is only unusual: `--confirm-unusual` takes it.
    pub asked: bool,
}

impl Refusal {
    fn new(line: u64, column: &'static str, text: impl Into<String>) -> Self {
        Self {
            line,
            column,
            text: text.into(),
            asked: false,
        }
    }
}

/// What an import did, or would have done.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outcome {
    /// Samples written.
    pub entered: usize,
    /// Samples that were here before.
    pub here_before: usize,
    pub blocks_made: Vec<String>,
    /// Samples written down and held: what the tables refuse of them, in a sentence each.
    pub held: Vec<String>,
    pub refused: Vec<Refusal>,
}

/// Imports a file into a farm's data.
pub async fn import(
    file: &Path,
    data: Option<&Path>,
    choices: &ImportChoices,
) -> anyhow::Result<ExitCode> {
    let bytes = std::fs::read(file).with_context(|| format!("{} can't be read", file.display()))?;
    let folder = Folder::named(data)?;
    folder.existing_database()?;
    let _lock = folder.lock()?;
    let clock = Clock::of_this_machine();
    let store = open(&folder, &clock).await?;
    let done = bring_in(&store, clock, &bytes, choices).await;
    store.close().await;
    let done = done.with_context(|| format!("nothing was imported from {}", file.display()))?;
    if done.entered + done.held.len() > 0 {
        folder.belongs_to_a_farm()?;
    }
    Ok(tell(&done, choices))
}

/// Checks the whole file, then writes all of it in one piece, or nothing.
pub async fn bring_in(
    store: &Store,
    clock: Clock,
    bytes: &[u8],
    choices: &ImportChoices,
) -> anyhow::Result<Outcome> {
    let lines = sheet::read(bytes)?;
    let groups = groups(&lines, &choices.block_for);
    let mut known = known(store, clock, &groups).await?;
    anyhow::ensure!(
        known.farm.is_some(),
        "there is no farm here yet; start endpost serve and fill its first page"
    );
    let now = clock.now();
    let mut done = Outcome::default();
    let mut entries = Vec::new();
    for group in &groups {
        let mut made = None;
        if !is_here(&known, &group.block) {
            match new_block(group, &known, choices, now) {
                Ok((listed, entry)) => {
                    known.ground_mut().blocks.push(listed);
                    made = Some(entry);
                }
                Err(refused) => {
                    done.refused.extend(refused);
                    continue;
                }
            }
        }
        match sample(store, group, &known, choices, now).await? {
            Found::New(entry) => {
                entries.extend(made);
                entries.push(*entry);
            }
            found => {
                // A block is made for samples that come in, and for no others.
                if made.is_some() {
                    known.ground_mut().blocks.pop();
                }
                match found {
                    Found::Refused(refused) => done.refused.extend(refused),
                    _ => done.here_before += 1,
                }
            }
        }
    }
    done.refused.sort_by_key(|one| one.line);
    if !done.refused.is_empty() && !choices.only_good {
        return Ok(Outcome {
            refused: done.refused,
            ..Outcome::default()
        });
    }
    let sent = entries.clone();
    let receipts = store.enter_all(entries).await?;
    for (entry, receipt) in sent.iter().zip(&receipts) {
        done.count(entry, receipt);
    }
    Ok(done)
}

impl Outcome {
    /// Counts what became of an entry: the tables' own rules may have held it.
    fn count(&mut self, entry: &NewEntry, receipt: &Receipt) {
        let new = receipt.outcome == Came::New;
        match &entry.values {
            Some(Values::Block(block)) if new && receipt.state == State::Stored => {
                self.blocks_made.push(block.name.clone());
            }
            Some(Values::Sample(sample)) if receipt.state != State::Stored => {
                let (block, why) = (entry.fields.first("block"), receipt.problems.join(" "));
                self.held.push(format!("{block}, {}: {why}", sample.date));
            }
            Some(Values::Sample(_)) if new => self.entered += 1,
            Some(Values::Sample(_)) => self.here_before += 1,
            _ => {}
        }
    }
}

fn unreadable(error: PageError) -> anyhow::Error {
    anyhow::anyhow!("the farm's data can't be read: {error:?}")
}

/// The farm as the forms know it, with the bags of all days the file speaks of.
async fn known(store: &Store, clock: Clock, groups: &[Group<'_>]) -> anyhow::Result<Known> {
    let app = App::new(store.clone(), clock, false);
    let mut read = store.read().await?;
    let known = Known::from(&mut read, &app).await.map_err(unreadable)?;
    let dates = groups.iter().flat_map(|group| &group.lines);
    let first = dates
        .filter_map(|line| NaiveDate::parse_from_str(line.cell("date"), "%Y-%m-%d").ok())
        .min();
    if let Some(first) = first {
        return Ok(known.with_recent(read.recent(first).await?));
    }
    Ok(known)
}

fn is_here(known: &Known, name: &str) -> bool {
    known.blocks.iter().any(|one| {
        one.block.name.eq_ignore_ascii_case(name)
            || one.block.called().eq_ignore_ascii_case(name)
            || one.id.to_string() == name
    })
}

/// The block a group names and that is not here: made, if that was asked for.
fn new_block(
    group: &Group,
    known: &Known,
    choices: &ImportChoices,
    now: DateTime<Utc>,
) -> Result<(BlockListed, NewEntry), Vec<Refusal>> {
    let name = &group.block;
    if !choices.make_blocks || name.is_empty() {
        let names: Vec<String> = known.blocks.iter().map(|one| one.block.called()).collect();
        let here = match names.as_slice() {
            [] => "there are none here yet".to_owned(),
            names => format!("here are {}", names.join(", ")),
        };
        let text = match name.as_str() {
            "" => format!("Name the block; {here}."),
            name => format!(
                "There is no block \"{name}\"; {here}. --make-blocks makes it, \
                 --block-for \"{name}=A\" takes it for A."
            ),
        };
        let lines = group.lines.iter();
        return Err(lines
            .map(|line| Refusal::new(line.number, "block", text.clone()))
            .collect());
    }
    let fields: Fields = [("name", name)].into_iter().collect();
    let id = id_of(Kind::Block, &fields);
    let entry = entering(id, Kind::Block, fields, None, now)
        .understood(known)
        .map_err(|problems| refusals(group, &problems))?;
    let block = match &entry.values {
        Some(Values::Block(block)) => block.clone(),
        _ => return Err(Vec::new()),
    };
    Ok((BlockListed { id, block }, entry))
}

/// How a group of lines was found.
enum Found {
    New(Box<NewEntry>),
    HereBefore,
    Refused(Vec<Refusal>),
}

async fn sample(
    store: &Store,
    group: &Group<'_>,
    known: &Known,
    choices: &ImportChoices,
    now: DateTime<Utc>,
) -> anyhow::Result<Found> {
    let fields = match group.fields() {
        Ok(fields) => fields,
        Err(refused) => return Ok(Found::Refused(refused)),
    };
    let id = id_of(Kind::Sample, &fields);
    if store.read().await?.entry(id).await?.is_some() {
        return Ok(Found::HereBefore);
    }
    let mut entering = entering(id, Kind::Sample, fields, group.person(), now);
    let mut tried = entering.understood(known);
    if let Err(problems) = &tried
        && choices.confirm_unusual
        && problems.iter().all(can_be_confirmed)
    {
        entering.confirmed = problems
            .iter()
            .filter_map(|one| one.asked.clone())
            .collect();
        tried = entering.understood(known);
    }
    Ok(match tried {
        Ok(entry) => Found::New(Box::new(entry)),
        Err(problems) => Found::Refused(refusals(group, &problems)),
    })
}

/// Which bag it is can't be confirmed for a whole file: that would make second looks of copies.
fn can_be_confirmed(problem: &Problem) -> bool {
    problem.asked.is_some() && !problem.field.starts_with("bag_")
}

fn refusals(group: &Group, problems: &[Problem]) -> Vec<Refusal> {
    problems
        .iter()
        .map(|problem| {
            let refusal = group.refusal(problem);
            let text = match problem.asked.is_some() && !can_be_confirmed(problem) {
                true => format!(
                    "{} Give another bag its own number in the column bag; take a second look out \
                     of the file and enter it on a page.",
                    refusal.text
                ),
                false => refusal.text.clone(),
            };
            Refusal {
                asked: can_be_confirmed(problem),
                text,
                ..refusal
            }
        })
        .collect()
}

fn entering(
    id: uuid::Uuid,
    kind: Kind,
    fields: Fields,
    person: Option<String>,
    received_at: DateTime<Utc>,
) -> Entering {
    Entering {
        id,
        kind,
        form_version: None,
        subject: None,
        base: None,
        fields,
        confirmed: Vec::new(),
        keep: false,
        source: Source::Import,
        person,
        card_code: None,
        sent: Sent::default(),
        received_at,
    }
}

/// Says what was done, and for every refused line where and why.
fn tell(done: &Outcome, choices: &ImportChoices) -> ExitCode {
    for one in &done.refused {
        let asked = match one.asked {
            true => " (asked; --confirm-unusual takes it as it stands)",
            false => "",
        };
        eprintln!("line {}, {}: {}{asked}", one.line, one.column, one.text);
    }
    if !done.refused.is_empty() && !choices.only_good {
        eprintln!(
            "Nothing was imported. Mend the lines above, or take the others with --only-good."
        );
        return ExitCode::from(2);
    }
    for name in &done.blocks_made {
        println!("Block {name} was made; its rows are still to be typed.");
    }
    println!(
        "{} imported.",
        match done.entered {
            1 => "1 sample was".to_owned(),
            count => format!("{count} samples were"),
        }
    );
    for one in &done.held {
        println!("Held, in no sum until somebody mends it: {one}");
    }
    if done.here_before > 0 {
        println!(
            "{} samples were here already; nothing was doubled.",
            done.here_before
        );
    }
    if !done.refused.is_empty() {
        println!("The samples of the lines named above were left out.");
    }
    ExitCode::SUCCESS
}
