//! The data folder: the database, photos by their hash, copies, keys.
//! Not here: what is in the database (`store`).

use std::path::{Path, PathBuf};

use anyhow::Context;

/// The farm's data folder.
#[derive(Clone, Debug)]
pub struct Folder(PathBuf);

impl Folder {
    /// The folder named, or "endpost" in the user's home.
    pub fn named(named: Option<&Path>) -> anyhow::Result<Self> {
        match named {
            Some(path) => Ok(Self(path.to_owned())),
            None => std::env::home_dir()
                .filter(|home| !home.as_os_str().is_empty())
                .map(|home| Self(home.join("endpost")))
                .context("there is no home folder; say where the data shall lie with --data DIR"),
        }
    }

    /// Makes the folder and what belongs in it.
    pub fn make(&self) -> anyhow::Result<()> {
        for part in ["files", "copies", "keys"] {
            let path = self.0.join(part);
            std::fs::create_dir_all(&path).with_context(|| {
                format!(
                    "the folder {} can't be made; choose another with --data DIR",
                    path.display()
                )
            })?;
        }
        Ok(())
    }

    pub fn path(&self) -> &Path {
        &self.0
    }

    pub fn database(&self) -> PathBuf {
        self.0.join("endpost.db")
    }

    /// The database of a folder that is there already; a command that only looks makes none.
    pub fn existing_database(&self) -> anyhow::Result<PathBuf> {
        let path = self.database();
        anyhow::ensure!(
            path.is_file(),
            "there is no data in {}; say where it lies with --data DIR",
            self.0.display()
        );
        Ok(path)
    }
}
