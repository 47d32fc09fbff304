//! The running thing: options, start-up, the demo, import, export, check, copies, and the sums on
//! the command line. Not here: pages and formulas.

pub mod announce;
pub mod beside;
pub mod check;
mod computer;
mod connections;
pub mod copies;
pub mod demo;
mod disk;
pub mod doctor;
pub mod export;
pub mod figure;
pub mod folder;
pub mod import;
pub mod options;
mod passphrase;
pub mod serve;

use std::process::ExitCode;

use clap::Parser;

use options::{Command, Options};

/// Reads the command line and does what it says.
pub fn main() -> ExitCode {
    let command = Options::parse().command;
    if let Command::Figure { kind, example } = command {
        return figure::command::run(kind.as_deref(), example);
    }
    match run(command) {
        Ok(code) => code,
        Err(error) => {
            eprintln!("endpost: {error:#}");
            ExitCode::from(1)
        }
    }
}

/// Faults go to standard error; ENDPOST_LOG asks for more, such as "endpost=debug".
fn start_log() {
    let wanted = std::env::var("ENDPOST_LOG").unwrap_or_else(|_| "warn".to_owned());
    tracing_subscriber::fmt()
        .with_env_filter(tracing_subscriber::EnvFilter::new(wanted))
        .with_writer(std::io::stderr)
        .init();
}

fn run(command: Command) -> anyhow::Result<ExitCode> {
    start_log();
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()?;
    runtime.block_on(async {
        match command {
            Command::Serve(at) => serve::serve(&at).await,
            Command::Demo(at) => demo::demo(&at).await,
            Command::Import {
                file,
                data,
                choices,
            } => import::import(&file, data.named(), &choices).await,
            Command::Export { into, data } => export::export(&into, data.named()).await,
            Command::Passphrase(data) => passphrase::passphrase(data.named()).await,
            Command::Backup {
                into,
                even_on_same_disk,
                data,
            } => copies::backup::backup(into.as_deref(), even_on_same_disk, data.named()).await,
            Command::Doctor {
                data,
                second_place,
                listen,
            } => {
                let asked = doctor::Asked {
                    data,
                    second_place,
                    listen,
                };
                doctor::doctor(&asked).await
            }
            Command::Restore { from, data } => copies::restore::restore(&from, data.named()).await,
            Command::Check(data) => check::check(data.named()).await,
            Command::Figure { .. } => Ok(ExitCode::SUCCESS),
        }
    })
}
