//! The demo: the invented vineyard "Tamarack Bend" on the morning of Fri 10 Sept 2027, with two
//! seasons behind it. Fresh at each start; its clock then runs on.
//! Not here: serving (`serve`), and the paths every entry takes (`web::form`, `store::ledger`).

mod folder;
mod helpers;
mod place;
mod script;
mod seasons;
mod september;
mod sprays;
mod walks;

use std::process::ExitCode;

use anyhow::Context;
use chrono::{DateTime, Utc};

use super::options::DemoAt;
use super::serve::{Server, asked_to_stop, open};
use crate::clock::Clock;
use crate::store::Store;
use crate::web::App;
use crate::web::known::Known;
use folder::DemoFolder;
use script::{Script, moment};

/// The moment at which the demo's clock starts.
pub fn start() -> anyhow::Result<DateTime<Utc>> {
    moment("2027-09-10 07:00")
}

/// `endpost demo`
pub async fn demo(at: &DemoAt) -> anyhow::Result<ExitCode> {
    let folder = DemoFolder::prepare(at.data.as_deref()).await?;
    let store = open(folder.folder(), &Clock::starting_at(start()?)).await?;
    fill(&store).await?;
    let server = Server::bind(store, Clock::starting_at(start()?), true, at.listen.clone()).await?;
    let stop = asked_to_stop();
    println!("Demo     made-up data; what you enter is gone at the next start");
    server.watch_disk(folder.folder());
    server
        .announce(folder.folder(), at.listen.draws_square())
        .await?;
    server.run_until(stop).await?;
    folder.close();
    println!("Stopped.");
    Ok(ExitCode::SUCCESS)
}

/// Types the demo's vineyard and its three seasons into an empty database.
pub async fn fill(store: &Store) -> anyhow::Result<()> {
    let mut script = Script::default();
    place::write(&mut script)?;
    seasons::write(&mut script)?;
    september::write(&mut script)?;
    sprays::write(&mut script)?;
    walks::write(&mut script)?;
    helpers::write(&mut script)?;
    let app = App::new(store.clone(), Clock::starting_at(start()?), true);
    for act in script.acts() {
        let known = Known::load(&app)
            .await
            .map_err(|error| anyhow::anyhow!("{error:?}"))
            .context("the demo's own vineyard can't be read")?;
        store.enter_all(act.understood(&known)?).await?;
    }
    Ok(())
}
