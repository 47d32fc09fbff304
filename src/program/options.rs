//! The command line: commands and options, each with a line of help.
//! Not here: what they do.

use std::io::IsTerminal;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};

use clap::{Args, Parser, Subcommand};

use super::import::columns;
use crate::web::reach::Name;

/// Records, forecasts and printable sheets for the keeper of a small vineyard.
#[derive(Debug, Parser)]
#[command(name = "endpost", version, about, arg_required_else_help = true)]
pub struct Options {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Starts the farm's own Endpost and prints the address to open
    Serve(At),
    /// Starts with the made-up vineyard "Tamarack Bend", fresh each time
    ///
    /// Two seasons lie behind it and a September runs; its clock starts at Fri 10 Sept 2027 07:00.
    Demo(DemoAt),
    /// Brings in earlier seasons' readings from a CSV file
    #[command(after_long_help = columns::help())]
    Import {
        /// The file
        #[arg(value_name = "FILE.csv")]
        file: PathBuf,
        #[command(flatten)]
        data: Data,
        #[command(flatten)]
        choices: ImportChoices,
    },
    /// Writes every table as a CSV file into an empty folder, with a data dictionary
    ///
    /// UTF-8 with a header line each. Identifiers are UUIDs, moments RFC 3339 in UTC, yes and no
    /// 1 and 0. A text that begins like a formula gets an apostrophe before it.
    Export {
        /// The folder to write into; it is made if it is not there
        #[arg(value_name = "DIR")]
        into: PathBuf,
        #[command(flatten)]
        data: Data,
    },
    /// Makes a copy of the farm's data now, also while it is being served
    Backup {
        /// A folder on another disk, such as a stick, that the copies are brought to as well
        #[arg(long, value_name = "DIR")]
        into: Option<PathBuf>,
        /// Takes a folder on the farm's own disk for the second place, such as one that is brought
        /// elsewhere by other means
        #[arg(long, requires = "into")]
        even_on_same_disk: bool,
        #[command(flatten)]
        data: Data,
    },
    /// Puts a copy in the place of the farm's data; what lay there is kept
    ///
    /// Stop the server first. Phones offer again what they sent since the copy was made.
    Restore {
        /// The copy, or a folder of copies, of which the good one that holds most is taken
        #[arg(value_name = "FILE")]
        from: PathBuf,
        #[command(flatten)]
        data: Data,
    },
    /// Looks at folder, database, clock, disk, copies, port and network; says what is wrong
    ///
    /// It changes nothing. Exit 0 only when nothing is WRONG.
    Doctor {
        #[command(flatten)]
        data: Data,
        /// The second place for copies, as for serve
        #[arg(long, value_name = "DIR", env = "ENDPOST_SECOND_PLACE")]
        second_place: Option<PathBuf>,
        #[command(flatten)]
        listen: Listen,
    },
    /// Replays all entries and compares the tables with what they make; exit 0 when identical
    Check(Data),
    /// Sets the keeper's passphrase, read from standard input: for one that was forgotten
    ///
    /// Endpost must be stopped. Phones that were let in stay in.
    Passphrase(Data),
    /// Does one of Endpost's sums: JSON on standard input, JSON on standard output
    ///
    /// Without a kind it lists them, each with a line.
    Figure {
        /// Which sum
        kind: Option<String>,
        /// Prints an input that works
        #[arg(long)]
        example: bool,
    },
}

/// What an import may do.
#[derive(Clone, Debug, Default, Args)]
pub struct ImportChoices {
    /// Imports the samples whose lines are good, and reports the others
    #[arg(long)]
    pub only_good: bool,
    /// Makes the blocks that are not here yet
    #[arg(long)]
    pub make_blocks: bool,
    /// Takes values that are unusual but can be, without asking
    #[arg(long)]
    pub confirm_unusual: bool,
    /// Takes a name in the file for a block, such as "North hill=A"; may be given several times
    #[arg(long, value_name = "NAME=BLOCK", value_parser = name_and_block)]
    pub block_for: Vec<(String, String)>,
}

fn name_and_block(text: &str) -> Result<(String, String), String> {
    match text
        .split_once('=')
        .map(|(name, block)| (name.trim(), block.trim()))
    {
        Some((name, block)) if !name.is_empty() && !block.is_empty() => {
            Ok((name.to_owned(), block.to_owned()))
        }
        _ => Err("write the name in the file, =, and the block: \"North hill=A\"".to_owned()),
    }
}

/// Where the data lies.
#[derive(Clone, Debug, Args)]
pub struct Data {
    /// The folder that holds the farm's data [default: "endpost" in your home folder]
    #[arg(long, value_name = "DIR", env = "ENDPOST_DATA")]
    data: Option<PathBuf>,
}

impl Data {
    pub fn named(&self) -> Option<&Path> {
        self.data.as_deref()
    }
}

/// Where it is served.
#[derive(Clone, Debug, Args)]
pub struct Listen {
    /// Address and port to listen on; port 0 picks a free one
    #[arg(
        id = "listen",
        long,
        value_name = "ADDR:PORT",
        default_value = "127.0.0.1:8087"
    )]
    pub at: SocketAddr,
    /// Another name this computer may be asked for by; may be given several times
    ///
    /// A name or address that the router or somebody else gave it. Phones are told the first.
    #[arg(long, value_name = "NAME")]
    pub known_as: Vec<Name>,
    /// Lets everybody on the network in to read and write, as long as no passphrase is set
    #[arg(long)]
    pub open_to_all: bool,
    /// Draws the address as a square for the camera even where it prints to no terminal
    #[arg(long)]
    pub qr: bool,
}

impl Listen {
    /// A square is for somebody who looks at the screen.
    pub fn draws_square(&self) -> bool {
        self.qr || std::io::stdout().is_terminal()
    }
}

impl From<SocketAddr> for Listen {
    fn from(at: SocketAddr) -> Self {
        Self {
            at,
            known_as: Vec::new(),
            open_to_all: false,
            qr: false,
        }
    }
}

/// Where the data lies and where it is served.
#[derive(Clone, Debug, Args)]
pub struct At {
    /// The folder that holds the farm's data [default: "endpost" in your home folder]
    #[arg(long, value_name = "DIR", env = "ENDPOST_DATA")]
    pub data: Option<PathBuf>,
    /// A folder on another disk, such as a stick, that each night's copy is brought to as well
    ///
    /// `endpost backup --into DIR` marks it the first time.
    #[arg(long, value_name = "DIR", env = "ENDPOST_SECOND_PLACE")]
    pub second_place: Option<PathBuf>,
    #[command(flatten)]
    pub listen: Listen,
}

/// Where the demo's data lies and where it is served.
#[derive(Clone, Debug, Args)]
pub struct DemoAt {
    /// A folder to keep the demo's data in until its next start [default: one that is removed at
    /// the end]
    #[arg(long, value_name = "DIR")]
    pub data: Option<PathBuf>,
    #[command(flatten)]
    pub listen: Listen,
}
