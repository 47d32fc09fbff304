//! Where the demo's data lies: a folder of its own that is cleared at every start, and never one
//! that holds a real farm.
//! Not here: what is in it.

use std::path::{Path, PathBuf};

use anyhow::Context;

use crate::clock::Clock;
use crate::program::folder::{Folder, Lock};
use crate::program::serve::open;

/// The name of a folder for the time being, before the number of the process.
const PREFIX: &str = "endpost-demo-";

/// A folder held for the demo alone.
pub struct DemoFolder {
    folder: Folder,
    lock: Lock,
    /// It goes when the demo stops.
    for_now: bool,
}

impl DemoFolder {
    /// The folder named, emptied, if it holds no more than a demo; or one for the time being.
    pub async fn prepare(named: Option<&Path>) -> anyhow::Result<Self> {
        let path = match named {
            Some(path) => path.to_owned(),
            None => {
                sweep(&std::env::temp_dir());
                std::env::temp_dir().join(format!("{PREFIX}{}", std::process::id()))
            }
        };
        let folder = Folder::named(Some(&path))?;
        folder.make()?;
        let lock = folder.lock()?;
        if folder.database().is_file() {
            refuse_a_real_farm(&folder).await?;
            folder.clear()?;
        }
        folder.mark_demo()?;
        Ok(Self {
            folder,
            lock,
            for_now: named.is_none(),
        })
    }

    pub fn folder(&self) -> &Folder {
        &self.folder
    }

    /// Takes the folder away again if it was for the time being.
    pub fn close(self) {
        drop(self.lock);
        if self.for_now {
            // What can't be removed now is swept at the next start.
            let _ = std::fs::remove_dir_all(self.folder.path());
        }
    }
}

/// A folder that was a demo's all along may be cleared, with all that visitors tried in it.
async fn refuse_a_real_farm(folder: &Folder) -> anyhow::Result<()> {
    if folder.is_marked_demo() {
        return Ok(());
    }
    let store = open(folder, &Clock::of_this_machine()).await?;
    let only_demo = store.read().await?.holds_only_demo().await;
    store.close().await;
    anyhow::ensure!(
        only_demo?,
        "{} holds a farm's own data, which the demo would clear away; leave --data out, or name \
         an empty folder",
        folder.path().display()
    );
    Ok(())
}

/// Removes what demos left that were stopped the hard way. One that runs holds its lock.
fn sweep(temporary: &Path) {
    for path in left_behind(temporary) {
        let folder = Folder::named(Some(&path));
        if let Ok(lock) = folder.and_then(|folder| folder.lock()) {
            drop(lock);
            let _ = std::fs::remove_dir_all(&path);
        }
    }
}

fn left_behind(temporary: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(temporary)
        .with_context(|| format!("{} can't be read", temporary.display()));
    entries
        .into_iter()
        .flatten()
        .flatten()
        .filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_dir()))
        .filter(|entry| {
            let name = entry.file_name();
            let number = name.to_str().and_then(|name| name.strip_prefix(PREFIX));
            number.is_some_and(|number| number.parse::<u32>().is_ok())
        })
        .map(|entry| entry.path())
        .filter(|path| Folder::named(Some(path)).is_ok_and(|folder| folder.is_marked_demo()))
        .collect()
}
