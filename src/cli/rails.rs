//! `longpoint rails`: every rail of every frame, to cut by or for machines.

use std::io::Write;
use std::path::PathBuf;

use super::shop;
use crate::report::{rails_json, rails_text};

/// What `longpoint rails` is told.
#[derive(Debug, clap::Args)]
pub struct RailsArgs {
    /// The shop folder
    pub dir: PathBuf,
    /// Write JSON: one entry a rail of every copy, lengths in millimetres
    #[arg(long)]
    pub json: bool,
}

/// Prints the rails.
///
/// # Errors
/// [`WrongInput`](super::exit::WrongInput) with every fault in the folder; another
/// error if `out` cannot be written to.
pub fn run(args: &RailsArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let shop = shop::open(&args.dir)?;
    let text = if args.json { rails_json::rails(&shop) } else { rails_text::rails(&shop) };
    out.write_all(text.as_bytes())?;
    Ok(())
}
