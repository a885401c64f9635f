//! The command line: one file a command.

mod check;
mod demo;

use std::io::Write;
use std::process::ExitCode;

/// Plans a picture-framing shop's morning.
#[derive(Debug, clap::Parser)]
#[command(version)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, clap::Subcommand)]
enum Command {
    Check(check::Args),
    Demo(demo::Args),
}

/// The exit code for input that is wrong.
const WRONG_INPUT: u8 = 2;

impl Cli {
    /// Does what was asked, writing to `out`.
    ///
    /// # Errors
    /// If the program fails; input that is wrong is an exit code.
    pub fn run(self, out: &mut dyn Write) -> anyhow::Result<ExitCode> {
        match self.command {
            Command::Check(args) => check::run(args, out),
            Command::Demo(args) => demo::run(args, out),
        }
    }
}
