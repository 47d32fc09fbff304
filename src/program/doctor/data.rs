//! Looks at the data folder: whether it is there and can be written to, the database, the clock
//! against it, the room on the disk, the copies, what waits beside. Nothing is changed.
//! Not here: the network (`door`).

use std::fs::{File, TryLockError};
use std::io::{self, ErrorKind};
use std::path::Path;

use chrono::{DateTime, TimeDelta, Utc};

use super::Finding;
use crate::clock::Clock;
use crate::program::copies::place::{NoPlace, Place};
use crate::program::copies::{copies_in, verify};
use crate::program::folder::Folder;
use crate::science::copies::Why;
use crate::store::beside::lines_beside;
use crate::store::copies::{Health, health};
use crate::store::ledger::CLOCKS_AGREE;
use crate::store::{House, StoreError};
use crate::web::Disk;
use crate::web::copies::as_typed;
use crate::web::words::{counted, day_and_year};

/// A copy older than this is told.
const OLD_COPY: TimeDelta = TimeDelta::days(2);
/// A clock that shows an earlier moment was never set: 1 January 2026.
const EARLIEST: i64 = 1_767_225_600;

/// All that can be said of a folder.
pub async fn looks(folder: &Folder, place: Option<&Path>, clock: &Clock) -> Vec<Finding> {
    let path = folder.path().display();
    if !folder.path().is_dir() {
        return vec![match folder.path().exists() {
            true => Finding::wrong(format!(
                "{path} is no folder. Name the data folder with --data DIR."
            )),
            false => Finding::look(format!(
                "There is no folder {path} yet. endpost serve makes it; if the farm's data lies \
                 elsewhere, name it with --data DIR."
            )),
        }];
    }
    let mut found = vec![writable(folder)];
    if !folder.database().is_file() {
        found.push(match folder.refuse_a_lost_database() {
            Err(lost) => Finding::wrong(format!("{lost}.")),
            Ok(()) => Finding::look(format!(
                "There is no data in {path} yet. endpost serve begins it; endpost restore and a \
                 folder of copies brings it back."
            )),
        });
        found.push(room(folder));
        return found;
    }
    let health = health(&folder.database()).await;
    found.push(database(folder, &health));
    found.extend(health.as_ref().ok().map(|health| time(health, clock.now())));
    found.push(room(folder));
    found.push(copies(folder, clock.now()).await);
    let house = health.ok().map(|health| health.house);
    found.push(second_place(place, house));
    found.extend(beside(folder));
    found
}

/// Whether another Endpost holds the folder.
pub fn is_at_work(folder: &Folder) -> bool {
    let file = File::options().write(true).open(folder.lock_file());
    file.is_ok_and(|file| matches!(file.try_lock(), Err(TryLockError::WouldBlock)))
}

fn writable(folder: &Folder) -> Finding {
    let path = folder.path().display();
    for file in [folder.lock_file(), folder.database()] {
        // Opened and closed again: nothing is written.
        match File::options().write(true).open(&file) {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                return Finding::wrong(format!(
                    "{} can't be written to. It should belong to whoever starts Endpost: sudo chown \
                     -R NAME {path}",
                    file.display()
                ));
            }
            _ => {}
        }
    }
    match is_at_work(folder) {
        true => Finding::ok(format!("The folder {path}: an Endpost is at work in it.")),
        false => Finding::ok(format!("The folder {path}: no Endpost is at work in it.")),
    }
}

fn database(folder: &Folder, health: &Result<Health, StoreError>) -> Finding {
    let path = folder.database();
    let path = path.display();
    match health {
        Ok(health) if health.is_older => Finding::look(format!(
            "The database {path} is of an older Endpost. endpost serve copies it and then brings it \
             up to date."
        )),
        Ok(health) => Finding::ok(format!(
            "The database {path}: {} entries, and SQLite finds no fault.",
            health.entries
        )),
        Err(StoreError::Damaged(_)) => Finding::wrong(format!(
            "The database {path} is damaged. Keep the folder; stop Endpost, then type: endpost \
             restore {} --data {}",
            as_typed(&folder.copies()),
            as_typed(folder.path())
        )),
        Err(error @ (StoreError::Newer { .. } | StoreError::Foreign(_))) => {
            Finding::wrong(format!("{path}: {error}."))
        }
        Err(error) => Finding::wrong(format!(
            "The database {path} can't be read ({error}). Look whose it is: ls -l {}",
            folder.path().display()
        )),
    }
}

fn time(health: &Health, now: DateTime<Utc>) -> Finding {
    let says = now.format("%Y-%m-%d %H:%M UTC");
    const SET: &str = "Set it: sudo timedatectl set-time \"YYYY-MM-DD HH:MM\", or connect it to the \
                       internet once.";
    if now.timestamp() < EARLIEST {
        return Finding::wrong(format!("The clock says {says}: it was never set. {SET}"));
    }
    match health.latest {
        Some(latest) if latest - now > CLOCKS_AGREE => Finding::wrong(format!(
            "The clock says {says}, but the newest entry came {}. {SET}",
            latest.format("%Y-%m-%d %H:%M UTC")
        )),
        _ => Finding::ok(format!("The clock says {says}.")),
    }
}

fn room(folder: &Folder) -> Finding {
    let disk = Disk::default();
    match fs4::available_space(folder.path()) {
        Ok(free) => {
            disk.saw(free);
            match disk.words() {
                Some(words) => Finding::wrong(words),
                None => Finding::ok(format!("{} MB are free on the disk.", free / 1_000_000)),
            }
        }
        Err(_) => Finding::look("The disk does not tell how much is free."),
    }
}

async fn copies(folder: &Folder, now: DateTime<Utc>) -> Finding {
    let path = folder.copies();
    let copies = match copies_in(&path) {
        Ok(copies) => copies,
        Err(error) if error.kind() == ErrorKind::NotFound => Vec::new(),
        Err(error) => return unreadable(&path, &error),
    };
    let another = format!("endpost backup --data {}", as_typed(folder.path()));
    let names = copies.iter().map(|one| one.name);
    let mut names = names.filter(|name| name.why != Why::Replaced).rev();
    // One of a later date than now was made while the clock was wrong, and says nothing of today.
    let Some(newest) = names.find(|name| name.made <= now) else {
        return Finding::look(format!("There is no copy yet. Type: {another}"));
    };
    let contents = match verify(&path.join(newest.to_string())).await {
        Ok(contents) => contents,
        Err(error) => return Finding::wrong(format!("{error:#}. Make another: {another}")),
    };
    let words = format!(
        "The newest copy, {newest}, of {}, is what it was when it was made.",
        day_and_year(newest.made.with_timezone(&contents.zone).date_naive())
    );
    match now - newest.made > OLD_COPY {
        true => Finding::look(format!("{words} It is old. Make another: {another}")),
        false => Finding::ok(words),
    }
}

fn unreadable(path: &Path, error: &io::Error) -> Finding {
    Finding::wrong(format!("{} can't be read ({error}).", path.display()))
}

fn second_place(place: Option<&Path>, house: Option<House>) -> Finding {
    let Some(path) = place else {
        return Finding::look(
            "No second place for copies is named, so that all lie on one disk. With a stick in: \
             endpost backup --into DIR, then endpost serve --second-place DIR",
        );
    };
    let Some(house) = house else {
        return Finding::look("Whose copies the second place holds can't be told.");
    };
    let shown = path.display();
    match Place::at(path).is_for(house.server_id) {
        Ok(()) => Finding::ok(format!("The second place for copies, {shown}, is there.")),
        Err(trouble @ (NoPlace::OfAnotherHouse | NoPlace::Failed(_))) => {
            Finding::wrong(format!("The second place for copies, {shown}: {trouble}."))
        }
        Err(trouble) => Finding::look(format!("The second place for copies, {shown}: {trouble}.")),
    }
}

fn beside(folder: &Folder) -> Option<Finding> {
    match lines_beside(&folder.database()) {
        Ok(None) => None,
        Ok(Some(log)) => Some(Finding::look(format!(
            "{} kept beside a damaged database still to come in. Put a good copy in its place, if \
             that is not done, and start endpost serve.",
            counted(log.lines.len(), "entry is", "entries are")
        ))),
        Err(error) => Some(unreadable(folder.path(), &error)),
    }
}
