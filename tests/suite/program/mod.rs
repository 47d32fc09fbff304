//! The running thing from outside: the demo, import, export, check and the command line.
//! Not here: pages and sums.

mod check;
mod demo;
mod demo_folder;
mod doctor;
mod export;
mod import;
mod import_blocks;
mod import_refusals;
mod options;

use std::path::Path;
use std::process::{Command, Output};

use endpost::clock::Clock;
use endpost::store::Store;

/// Runs the built program to its end.
fn run(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_endpost"))
        .args(words)
        .env_remove("ENDPOST_DATA")
        .output()
        .expect("the built program")
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn complained(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn clock() -> Clock {
    Clock::starting_at(endpost::program::demo::start().expect("the demo's morning"))
}

/// A database with the demo's vineyard in it.
async fn demo_in(folder: &Path) -> Store {
    let store = Store::open(&folder.join("endpost.db"), clock().now())
        .await
        .expect("a new store");
    endpost::program::demo::fill(&store)
        .await
        .expect("the demo's script");
    store
}
