//! The data folder: the database, photos by their hash, copies, keys, and the lock that keeps two
//! programs from writing into it.
//! Not here: what is in the database (`store`).

use std::fs::{File, TryLockError};
use std::path::{Path, PathBuf};

use anyhow::Context;

/// Held as long as a program writes into the folder; the system lets go of it even after a crash.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

/// The file whose presence says: all in this folder is the demo's.
const DEMO_MARK: &str = "demo";
const LOCK: &str = "lock";

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

    /// Where copies lie.
    pub fn copies(&self) -> PathBuf {
        self.0.join("copies")
    }

    /// Where photos lie.
    pub fn photos(&self) -> PathBuf {
        self.0.join("files")
    }

    /// A folder whose database is gone is no new farm: what was written into it lies in its copies.
    pub fn refuse_a_lost_database(&self) -> anyhow::Result<()> {
        let had_one = ["endpost.newest", "endpost.db-wal"].iter().any(|name| {
            self.0
                .join(name)
                .metadata()
                .is_ok_and(|file| file.len() > 0)
        });
        anyhow::ensure!(
            self.database().exists() || !had_one,
            "the farm's data is gone: {} had a database, and endpost.db is not there any more. Look \
             whether it was moved. If not, put a copy back: endpost restore {} --data {}. For a new \
             farm choose an empty folder with --data DIR",
            self.0.display(),
            self.copies().display(),
            self.0.display()
        );
        Ok(())
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

    /// The file that is locked by whoever writes into the folder.
    pub fn lock_file(&self) -> PathBuf {
        self.0.join(LOCK)
    }

    /// Holds the folder for one program that writes.
    pub fn lock(&self) -> anyhow::Result<Lock> {
        let path = self.lock_file();
        let file = File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .with_context(|| {
                format!(
                    "{} can't be written; look whether the folder can be written to, or choose another with --data DIR",
                    path.display()
                )
            })?;
        match file.try_lock() {
            Ok(()) => Ok(Lock { _file: file }),
            Err(TryLockError::WouldBlock) => anyhow::bail!(
                "another endpost is at work in {}; stop it first, or choose another folder with --data DIR",
                self.0.display()
            ),
            Err(TryLockError::Error(error)) => {
                Err(error).with_context(|| format!("{} can't be locked", path.display()))
            }
        }
    }

    /// Says that all in this folder is the demo's, whoever typed it.
    pub fn mark_demo(&self) -> anyhow::Result<()> {
        let path = self.0.join(DEMO_MARK);
        std::fs::write(
            &path,
            "All in this folder is made up. The next demo clears it.\n",
        )
        .with_context(|| format!("{} can't be written", path.display()))
    }

    pub fn is_marked_demo(&self) -> bool {
        self.0.join(DEMO_MARK).is_file()
    }

    /// From now on somebody's own entries come into this folder: the demo keeps away from it.
    pub fn belongs_to_a_farm(&self) -> anyhow::Result<()> {
        let path = self.0.join(DEMO_MARK);
        match std::fs::remove_file(&path) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                Err(error).with_context(|| format!("{} can't be removed", path.display()))
            }
            _ => Ok(()),
        }
    }

    /// Takes away the database and the photos of a demo.
    pub fn clear(&self) -> anyhow::Result<()> {
        for name in [
            "endpost.db",
            "endpost.db-wal",
            "endpost.db-shm",
            "endpost.newest",
        ] {
            let path = self.0.join(name);
            match std::fs::remove_file(&path) {
                Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                    return Err(error)
                        .with_context(|| format!("{} can't be removed", path.display()));
                }
                _ => {}
            }
        }
        for part in ["files", "copies"] {
            let path = self.0.join(part);
            std::fs::remove_dir_all(&path)
                .with_context(|| format!("{} can't be removed", path.display()))?;
        }
        self.make()
    }
}
