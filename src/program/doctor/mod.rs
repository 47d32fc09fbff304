//! `endpost doctor`: looks at all that a farm's Endpost needs, changes nothing, and says in a line
//! each what is wrong and what to type. Exit 0 only if nothing is wrong.
//! Not here: the looks themselves (`data`, `door`, `holder`).

mod data;
mod door;
pub mod holder;

use std::fmt;
use std::path::PathBuf;
use std::process::ExitCode;

use super::folder::Folder;
use super::options::{Data, Listen};
use crate::clock::Clock;

/// How it stands with one thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    Ok,
    /// Somebody should look; Endpost works all the same.
    Look,
    Wrong,
}

impl fmt::Display for Verdict {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(match self {
            Self::Ok => "OK",
            Self::Look => "LOOK",
            Self::Wrong => "WRONG",
        })
    }
}

/// What a look found, in a sentence or two.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    pub verdict: Verdict,
    pub words: String,
}

impl Finding {
    fn ok(words: impl Into<String>) -> Self {
        Self::of(Verdict::Ok, words)
    }

    fn look(words: impl Into<String>) -> Self {
        Self::of(Verdict::Look, words)
    }

    fn wrong(words: impl Into<String>) -> Self {
        Self::of(Verdict::Wrong, words)
    }

    fn of(verdict: Verdict, words: impl Into<String>) -> Self {
        Self {
            verdict,
            words: words.into(),
        }
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:5}  {}", self.verdict, self.words)
    }
}

/// What is looked at.
pub struct Asked {
    pub data: Data,
    pub second_place: Option<PathBuf>,
    pub listen: Listen,
}

/// Looks at everything and says how it stands.
pub async fn doctor(asked: &Asked) -> anyhow::Result<ExitCode> {
    let folder = Folder::named(asked.data.named())?;
    let place = asked.second_place.as_deref();
    let mut found = data::looks(&folder, place, &Clock::of_this_machine()).await;
    let at_work = data::is_at_work(&folder);
    found.extend(door::looks(&asked.listen, at_work).await);
    for one in &found {
        println!("{one}");
    }
    let worst = found.iter().map(|one| one.verdict).max();
    Ok(match worst {
        Some(Verdict::Wrong) => ExitCode::from(1),
        _ => ExitCode::SUCCESS,
    })
}
