//! `longpoint put-back`: a plan put back unused.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed};

/// What `longpoint put-back` is told.
#[derive(Debug, clap::Args)]
pub struct PutBackArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// Which plan, where several are at the bench
    #[arg(long, value_name = "N")]
    pub plan: Option<i64>,
    #[command(flatten)]
    signed: Signed,
}

/// Puts it back.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if something was cut already.
pub fn run(args: &PutBackArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let (job, sticks) = done(open_book(&args.book)?.put_back(args.plan, &args.signed.stamp()?))?;
    say(out, &format!("Plan {job} is back unused; free again: {}.", sticks.join(", ")))?;
    Ok(())
}
