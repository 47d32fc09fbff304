//! `endpost passphrase`: sets the keeper's passphrase from the terminal, for one that was forgotten
//! and for a computer without a screen.
//! Not here: the rules of a passphrase and its hash (`web::access`).

use std::io::{BufRead, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;

use anyhow::Context;

use super::folder::Folder;
use super::serve::open;
use crate::clock::Clock;
use crate::web::access::hashing::{fits, hash};

/// `endpost passphrase`
pub async fn passphrase(data: Option<&Path>) -> anyhow::Result<ExitCode> {
    let folder = Folder::named(data)?;
    folder.existing_database()?;
    let _lock = folder.lock()?;
    let new = typed()?;
    fits(&new).map_err(anyhow::Error::msg)?;
    let clock = Clock::of_this_machine();
    let store = open(&folder, &clock).await?;
    let hash = hash(&new)
        .ok()
        .context("the passphrase could not be hashed; the lines above say why")?;
    store.set_passphrase(hash, clock.now()).await?;
    store.close().await;
    println!("The passphrase is set. Start Endpost and type it on this computer.");
    Ok(ExitCode::SUCCESS)
}

fn typed() -> anyhow::Result<String> {
    let mut input = std::io::stdin().lock();
    if std::io::stdin().is_terminal() {
        print!("New passphrase (it shows as you type): ");
        std::io::stdout().flush()?;
    }
    let mut line = String::new();
    input
        .read_line(&mut line)
        .context("nothing could be read")?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}
