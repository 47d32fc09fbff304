//! The command line: commands and options, each with a line of help.
//! Not here: what they do.

use std::net::SocketAddr;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

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

/// Where the data lies and where it is served.
#[derive(Clone, Debug, Args)]
pub struct At {
    /// The folder that holds the farm's data [default: "endpost" in your home folder]
    #[arg(long, value_name = "DIR", env = "ENDPOST_DATA")]
    pub data: Option<PathBuf>,
    /// Address and port to listen on; port 0 picks a free one
    #[arg(long, value_name = "ADDR:PORT", default_value = "127.0.0.1:8087")]
    pub listen: SocketAddr,
}

/// Where the demo's data lies and where it is served.
#[derive(Clone, Debug, Args)]
pub struct DemoAt {
    /// A folder to keep the demo's data in until its next start [default: one that is removed at
    /// the end]
    #[arg(long, value_name = "DIR")]
    pub data: Option<PathBuf>,
    /// Address and port to listen on; port 0 picks a free one
    #[arg(long, value_name = "ADDR:PORT", default_value = "127.0.0.1:8087")]
    pub listen: SocketAddr,
}
