//! `endpost backup`: makes a copy now, also beside a program that serves the same folder, and
//! brings it to a second place where one is named.
//! Not here: the copies of the night (`nightly`).

use std::path::Path;
use std::process::ExitCode;

use anyhow::Context;

use super::make;
use super::place::Place;
use crate::clock::Clock;
use crate::program::folder::Folder;
use crate::science::copies::Why;
use crate::web::words::counted;

/// Makes a copy and says where it lies.
pub async fn backup(
    into: Option<&Path>,
    even_on_same_disk: bool,
    data: Option<&Path>,
) -> anyhow::Result<ExitCode> {
    let folder = Folder::named(data)?;
    folder.existing_database()?;
    if let Some(into) = into {
        lies_apart(into, &folder, even_on_same_disk)?;
    }
    let clock = Clock::of_this_machine();
    let made = make(&folder, Why::ByHand, &clock).await?;
    println!("Copy      {}", made.path.display());
    println!("Entries   {}", made.contents.entries);
    println!("Bytes     {}", made.bytes);
    println!("SHA-256   {}", made.sha256);
    for photo in &made.spoiled {
        println!("Left out  the photo {photo}, which is not what its name says");
    }
    if let Some(into) = into {
        let place = Place::at(into);
        let house = made.contents.house.server_id;
        let now = clock.now().with_timezone(&made.contents.zone);
        let brought = place.mark(house);
        let there = brought.and_then(|()| place.bring_over(&folder.copies(), house, Some(now)));
        let there = there
            .map_err(|trouble| anyhow::anyhow!("{}: {trouble}", into.display()))
            .context("the copy is made, but could not be brought to the second place")?;
        anyhow::ensure!(
            there.copies.contains(&made.name),
            "the copy is made, but does not lie in {}",
            into.display()
        );
        println!(
            "Second    {}, read back; {} there",
            into.display(),
            counted(there.copies.len(), "copy lies", "copies lie")
        );
        for name in &there.spoiled {
            println!("Left out  {name}, which is not what it was when it was made");
        }
        println!(
            "          endpost serve --second-place {} brings each night's copy there",
            into.display()
        );
    }
    Ok(ExitCode::SUCCESS)
}

/// A mark is for another disk: a folder that was left behind where a stick is mounted would take
/// its copies from then on.
fn lies_apart(into: &Path, folder: &Folder, even_on_same_disk: bool) -> anyhow::Result<()> {
    let nearest = into.ancestors().find(|path| path.exists());
    let nearest = nearest.unwrap_or(Path::new(".")).canonicalize()?;
    anyhow::ensure!(
        !nearest.starts_with(folder.path().canonicalize()?),
        "{} lies in the farm's own folder; name one on another disk",
        into.display()
    );
    anyhow::ensure!(
        even_on_same_disk || !is_on_a_disk_of(&nearest, folder.path())?,
        "{} lies on this computer's own disk, and if that dies both are gone. Is the stick in? If \
         you mean it, add --even-on-same-disk",
        into.display()
    );
    Ok(())
}

/// Whether it lies where the data does, or where the system does: there is the folder in which a stick
/// that is not in would be mounted.
#[cfg(unix)]
fn is_on_a_disk_of(place: &Path, data: &Path) -> std::io::Result<bool> {
    use std::os::unix::fs::MetadataExt;
    let place = place.metadata()?.dev();
    let own = [data, Path::new("/"), Path::new("/run")];
    let own = own.into_iter().filter_map(|own| own.metadata().ok());
    Ok(own.into_iter().any(|own| own.dev() == place))
}

/// Another system does not tell it so simply; there the keeper is believed.
#[cfg(not(unix))]
fn is_on_a_disk_of(_: &Path, _: &Path) -> std::io::Result<bool> {
    Ok(false)
}
