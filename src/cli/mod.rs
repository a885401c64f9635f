//! The command line: one file a command.

mod check;
mod demo;
mod fits;
mod interrupt;
pub mod pack;
mod plan;
mod progress;
mod quote;
mod rails;
mod seconds;
mod shop;
mod threads;
mod why;
mod wishes;

use std::io::{self, ErrorKind, Write};
use std::process::ExitCode;

use clap::Parser;

/// Plans a framing shop's morning: pending frames into mitred rails, rails
/// into the sticks and offcuts on the rack, with a proof.
#[derive(Debug, Parser)]
#[command(name = "longpoint", version)]
pub enum Cli {
    /// Write an example shop folder, an invented shop on a Wednesday morning
    Demo(demo::Demo),
    /// Check a shop folder and name every fault in it
    Check(check::Check),
    /// List every rail of every frame
    Rails(rails::Rails),
    /// Plan the morning: what to cut from which stick, what to order, what waits
    Plan(plan::Plan),
    /// Say why a frame stands where it stands, and what would change it
    Why(why::Why),
    /// Say what the rack can make now besides today's plan
    Fits(fits::Fits),
    /// Quote a frame: its rails, its footage and its moulding's cost, today
    Quote(quote::Quote),
    /// Pack plain lengths into stock, as few or as cheap as can be
    Pack(pack::Pack),
}

/// The input is wrong and has to be mended; the words say where and how.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct WrongInput(pub String);

/// The program failed.
const FAILED: u8 = 1;

/// The input is wrong.
const WRONG_INPUT: u8 = 2;

/// Runs one command, writing its result to `out`, and gives the exit code:
/// 0 done, 1 the program failed, 2 the input is wrong. What went wrong is
/// written to standard error; a reader that goes away early is no error.
pub fn run(cli: &Cli, out: &mut dyn Write) -> ExitCode {
    let done = match cli {
        Cli::Demo(args) => demo::run(args, out),
        Cli::Check(args) => check::run(args, out),
        Cli::Rails(args) => rails::run(args, out),
        Cli::Plan(args) => plan::run(args, out),
        Cli::Why(args) => why::run(args, out),
        Cli::Fits(args) => fits::run(args, out),
        Cli::Quote(args) => quote::run(args, out),
        Cli::Pack(args) => pack::run(args, out),
    };
    match done.and_then(|()| Ok(out.flush()?)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) if is_broken_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            let wrong = error.is::<WrongInput>();
            let said = if wrong { format!("{error:#}") } else { format!("longpoint: {error:#}") };
            // If standard error is gone too there is nobody left to tell.
            let _ = writeln!(io::stderr(), "{said}");
            ExitCode::from(if wrong { WRONG_INPUT } else { FAILED })
        }
    }
}

fn is_broken_pipe(error: &anyhow::Error) -> bool {
    error.chain().any(|cause| {
        let direct = cause.downcast_ref::<io::Error>().map(io::Error::kind);
        let json = cause.downcast_ref::<serde_json::Error>();
        direct.or(json.and_then(serde_json::Error::io_error_kind)) == Some(ErrorKind::BrokenPipe)
    })
}
