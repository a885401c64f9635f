//! `longpoint flaw`: a flaw was found on a stick.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::Signed;
use crate::cli::exit::WrongInput;
use crate::shop::{read_flaws, shown};

/// What `longpoint flaw` is told.
#[derive(Debug, clap::Args)]
pub struct FlawArgs {
    /// The book
    pub book: PathBuf,
    /// The stick
    #[arg(value_parser = super::signed::code)]
    pub stick: String,
    /// Where it is, from the end that is the marked one now: "14 1/2 .. 16"
    pub flaws: String,
    #[command(flatten)]
    signed: Signed,
}

/// Writes it down.
///
/// # Errors
/// [`WrongInput`] if there is no such stick or the flaw is not on it.
pub fn run(args: &FlawArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    let found = read_flaws(&args.flaws, &shop.settings)
        .map_err(|problem| WrongInput(format!("{:?} {problem}", shown(&args.flaws))))?;
    let all = done(book.flaw(&args.stick, &found, &args.signed.stamp()?))?;
    let style = shop.settings.style();
    let zone =
        |flaw: &crate::shop::Flaw| format!("{} to {}", style.show(flaw.from), style.show(flaw.to));
    let zones: Vec<String> = all.iter().map(zone).collect();
    say(out, &format!("{}: flaws {} from its marked end.", args.stick, zones.join(", ")))?;
    let hit = done(book.bench())?.into_iter().flat_map(|plan| plan.sticks);
    for stick in hit.filter(|stick| !stick.on_flaw.is_empty()) {
        say(
            out,
            &format!(
                "{}: what is to be cut lies on a flaw. Plan the rest again with \"longpoint replan {}\".",
                stick.lay.stick,
                args.book.display()
            ),
        )?;
    }
    Ok(())
}
