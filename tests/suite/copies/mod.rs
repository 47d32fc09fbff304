//! Copies of the farm's data: which are kept, that they are what they say, the second place, and
//! the way back. Not here: the pages around them (`web`).

mod beside;
pub mod beside_alive;
mod beside_let_in;
mod kept;
mod made;
mod nightly;
mod older;
mod pages;
mod place;
mod put_back;
mod shut_out;

use std::path::Path;

use endpost::clock::Clock;
use endpost::program::folder::Folder;

use crate::support::farm::{MORNING, moment};

fn clock() -> Clock {
    Clock::starting_at(moment(MORNING))
}

fn data_in(folder: &impl AsRef<Path>) -> Folder {
    let folder = Folder::named(Some(folder.as_ref())).expect("a folder");
    folder.make().expect("its parts");
    folder
}

/// The names of the files in a folder, but for folders.
fn names_in(folder: &Path) -> Vec<String> {
    let files = std::fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> = files
        .map(|file| file.expect("a file"))
        .filter(|file| file.path().is_file())
        .map(|file| file.file_name().to_string_lossy().into_owned())
        .filter(|name| name != "lock")
        .collect();
    names.sort();
    names
}
