//! The command line of Longpoint.

use std::io::{BufWriter, stdout};
use std::process::ExitCode;

use clap::Parser;
use longpoint::cli::{self, Cli};

fn main() -> ExitCode {
    cli::run(&Cli::parse(), &mut BufWriter::new(stdout().lock()))
}
