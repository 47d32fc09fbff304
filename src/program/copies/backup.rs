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

/// Makes a copy and says where it lies.
pub async fn backup(into: Option<&Path>, data: Option<&Path>) -> anyhow::Result<ExitCode> {
    let folder = Folder::named(data)?;
    folder.existing_database()?;
    let made = make(&folder, Why::ByHand, &Clock::of_this_machine()).await?;
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
        let brought = place.mark(house);
        let there = brought.and_then(|()| place.bring_over(&folder.copies(), house));
        let there = there
            .map_err(|trouble| anyhow::anyhow!("{}: {trouble}", into.display()))
            .context("the copy is made, but could not be brought to the second place")?;
        println!(
            "Second    {}, read back; {} copies lie there",
            into.display(),
            there.copies
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
