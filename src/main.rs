//! The command line of Longpoint.

use std::io::{self, ErrorKind, Write};
use std::process::ExitCode;

use clap::Parser;
use longpoint::cli::Cli;

/// The exit code when the program itself fails.
const FAILED: u8 = 1;

fn main() -> ExitCode {
    let cli = Cli::parse();
    let mut out = io::BufWriter::new(io::stdout().lock());
    let result = cli.run(&mut out).and_then(|code| {
        out.flush()?;
        Ok(code)
    });
    result.unwrap_or_else(|error| {
        let broken_pipe = error
            .downcast_ref::<io::Error>()
            .is_some_and(|error| error.kind() == ErrorKind::BrokenPipe);
        if broken_pipe {
            return ExitCode::SUCCESS;
        }
        eprintln!("longpoint: {error:#}");
        ExitCode::from(FAILED)
    })
}
