//! `longpoint audit`: proves that the book adds up.

use std::io::Write;
use std::path::PathBuf;

use super::{BOOK, done, open_book, say};
use crate::cli::WrongInput;
use crate::shop::write::exact;

/// What `longpoint audit` is told.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
}

/// Adds up every stick and says what it comes to.
///
/// # Errors
/// [`WrongInput`] with everything that does not add up, or if the file is
/// damaged.
pub fn run(args: &Args, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
    let audit = done(book.audit())?;
    let settings = done(book.shop())?.settings;
    if !audit.balances() {
        let mend = "(the book is not as this program wrote it; go back to your last backup)";
        return Err(WrongInput(format!("{}\n{mend}", audit.faults.join("\n"))).into());
    }
    say(out, &format!("The book adds up: {} sticks, {} steps.", audit.sticks, audit.steps))?;
    let length = |length: crate::measure::Length| {
        let sign = if length.nm() < 0 { "-" } else { "" };
        let size = if length.nm() < 0 { -length } else { length };
        let shown = exact(size, &settings);
        match shown.ends_with("mm") {
            true => format!("{sign}{shown}"),
            false => format!("{sign}{shown} {}", settings.unit.symbol()),
        }
    };
    for (what, of) in [
        ("came in", audit.came),
        ("rails", audit.rails),
        ("spoiled", audit.spoiled),
        ("joints", audit.joints),
        ("trims", audit.trims),
        ("scrap", audit.scrap),
        ("on the rack and at the bench", audit.on_rack),
    ] {
        say(out, &format!("  {what:<30} {:>24}", length(of)))?;
    }
    Ok(())
}
