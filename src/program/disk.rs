//! Looks now and then how much is free on the disk of the data folder.
//! Not here: what is said about it (`web::disk`).

use std::io;
use std::path::PathBuf;
use std::time::Duration;

use tokio::time::interval;

use crate::web::Disk;

const AN_HOUR: Duration = Duration::from_secs(3600);

/// Looks at once, and from then on every hour as long as the program runs.
pub fn watch(disk: Disk, folder: PathBuf) {
    let free = move || fs4::available_space(&folder);
    look(&disk, &free);
    tokio::spawn(async move {
        let mut hours = interval(AN_HOUR);
        // The first comes at once, and that look was taken.
        hours.tick().await;
        loop {
            hours.tick().await;
            look(&disk, &free);
        }
    });
}

/// A disk that does not tell is no reason to stop; what was seen last stands.
fn look(disk: &Disk, free: &impl Fn() -> io::Result<u64>) {
    match free() {
        Ok(bytes) => disk.saw(bytes),
        Err(error) => tracing::warn!(error = ?error, "the disk does not tell how much is free"),
    }
}
