//! Files of copies: hashed, written so that a power cut leaves the old or the new and no half,
//! brought to another folder and read back there, found and taken away.
//! Not here: what is in them (`store::copies`).

use std::fs::File;
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use crate::science::copies::CopyName;

/// Ends the name of a file that is not whole yet.
pub const COMING: &str = "coming";
/// The folder of photos, in the data folder as beside the copies.
pub const PHOTOS: &str = "files";

/// A copy as it lies in a folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    pub name: CopyName,
    pub bytes: u64,
    /// What its hash was when it was made; none where nothing says so.
    pub sha256: Option<String>,
}

/// SHA-256 of a file, in hexadecimal digits.
pub fn sha256_of(path: &Path) -> io::Result<String> {
    let mut file = File::open(path)?;
    let mut hash = Sha256::new();
    let mut part = vec![0; 1 << 20];
    loop {
        let read = file.read(&mut part)?;
        if read == 0 {
            return Ok(hash.finalize().iter().map(digits).collect());
        }
        hash.update(&part[..read]);
    }
}

fn digits(byte: &u8) -> String {
    format!("{byte:02x}")
}

/// Makes sure that what was written into a file is on the disk.
pub fn sync(path: &Path) -> io::Result<()> {
    File::options().write(true).open(path)?.sync_all()
}

/// Makes sure that the names in a folder are on the disk. Not every system opens folders.
pub fn sync_folder(folder: &Path) -> io::Result<()> {
    match cfg!(unix) {
        true => File::open(folder)?.sync_all(),
        false => Ok(()),
    }
}

/// Waits until no other program writes into a folder of copies, and holds it.
pub fn alone_in(copies: &Path) -> io::Result<File> {
    let file = File::create(copies.join("lock"))?;
    match file.lock() {
        // A disk on the network may not know how. Then nobody is waited for.
        Err(error) if error.kind() != ErrorKind::Unsupported => Err(error),
        _ => Ok(file),
    }
}

/// Where a file grows before it gets its name.
pub fn coming(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".");
    name.push(COMING);
    path.with_file_name(name)
}

/// Writes a small file whole or not at all.
pub fn write_whole(path: &Path, text: &str) -> io::Result<()> {
    let growing = coming(path);
    let mut file = File::create(&growing)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    std::fs::rename(&growing, path)?;
    path.parent().map_or(Ok(()), sync_folder)
}

fn beside(copy: &Path) -> PathBuf {
    let mut name = copy.file_name().unwrap_or_default().to_owned();
    name.push(".sha256");
    copy.with_file_name(name)
}

/// Writes the hash beside a copy, as `sha256sum` writes it and checks it.
pub fn seal(copy: &Path, sha256: &str) -> io::Result<()> {
    let name = copy.file_name().unwrap_or_default().to_string_lossy();
    write_whole(&beside(copy), &format!("{sha256}  {name}\n"))
}

/// The hash that stands beside a copy.
pub fn sealed(copy: &Path) -> Option<String> {
    let text = std::fs::read_to_string(beside(copy)).ok()?;
    let (sha256, _) = text.split_once(' ')?;
    is_sha256(sha256).then(|| sha256.to_ascii_lowercase())
}

fn is_sha256(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|one| one.is_ascii_hexdigit())
}

/// The copies in a folder, the oldest first.
pub fn copies_in(folder: &Path) -> io::Result<Vec<Found>> {
    let mut found = Vec::new();
    for file in std::fs::read_dir(folder)? {
        let file = file?;
        let Ok(name) = file.file_name().to_string_lossy().parse() else {
            continue;
        };
        found.push(Found {
            name,
            bytes: file.metadata()?.len(),
            sha256: sealed(&file.path()),
        });
    }
    found.sort_by_key(|one: &Found| one.name);
    Ok(found)
}

/// Brings a file into a folder and reads it back there before it gets its name.
pub fn bring(from: &Path, to: &Path, sha256: &str) -> io::Result<()> {
    let growing = coming(to);
    let done = bring_growing(from, &growing, sha256);
    if done.is_err() {
        // Half a file is of no use; what can't be removed is written over next time.
        let _ = std::fs::remove_file(&growing);
    }
    done?;
    std::fs::rename(&growing, to)?;
    to.parent().map_or(Ok(()), sync_folder)
}

fn bring_growing(from: &Path, growing: &Path, sha256: &str) -> io::Result<()> {
    copy_contents(from, growing)?;
    match sha256_of(growing)? == sha256 {
        true => Ok(()),
        false => Err(io::Error::new(
            ErrorKind::InvalidData,
            format!("{} reads back as something else", growing.display()),
        )),
    }
}

/// Copies what is in a file, and not who may write to it: a stick may be there only to be read.
pub fn copy_contents(from: &Path, to: &Path) -> io::Result<()> {
    let mut to = File::create(to)?;
    io::copy(&mut File::open(from)?, &mut to)?;
    to.sync_all()
}

/// Takes a copy away, with its hash.
pub fn remove(folder: &Path, name: CopyName) -> io::Result<()> {
    let path = folder.join(name.to_string());
    std::fs::remove_file(&path)?;
    match std::fs::remove_file(beside(&path)) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

/// Takes away what was left half written.
pub fn sweep(folder: &Path) -> io::Result<()> {
    for file in std::fs::read_dir(folder)? {
        let path = file?.path();
        if path.extension().is_some_and(|ending| ending == COMING) {
            std::fs::remove_file(&path)?;
        }
    }
    Ok(())
}

/// Brings the photos that are not there yet into the folder beside copies; each is named by its
/// hash. Told are those that are not what their name says.
pub fn bring_photos(from: &Path, to: &Path) -> io::Result<Vec<String>> {
    let mut spoiled = Vec::new();
    let photos = match std::fs::read_dir(from) {
        Ok(photos) => photos,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(spoiled),
        Err(error) => return Err(error),
    };
    std::fs::create_dir_all(to)?;
    for photo in photos {
        let photo = photo?.path();
        let (Some(name), Some(sha256)) = (photo.file_name(), hash_in_name(&photo)) else {
            continue;
        };
        let there = to.join(name);
        if there.exists() {
            continue;
        }
        match bring(&photo, &there, &sha256) {
            Err(error) if error.kind() == ErrorKind::InvalidData => {
                spoiled.push(name.to_string_lossy().into_owned());
            }
            done => done?,
        }
    }
    Ok(spoiled)
}

/// The hash that a photo is named by.
fn hash_in_name(photo: &Path) -> Option<String> {
    let stem = photo.file_stem()?.to_str()?;
    is_sha256(stem).then(|| stem.to_ascii_lowercase())
}
