//! The thin binary: hands the command line over to `program`.

use std::process::ExitCode;

fn main() -> ExitCode {
    endpost::program::main()
}
