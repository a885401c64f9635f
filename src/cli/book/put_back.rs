//! `longpoint put-back`: a plan put back unused, or a ticket of it.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed};
use crate::book::words::put_back_words;

/// What `longpoint put-back` is told.
#[derive(Debug, clap::Args)]
pub struct PutBackArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// A ticket that goes back on the pile by itself; without one, the whole plan
    pub ticket: Option<String>,
    /// Only this copy of the ticket
    #[arg(long, value_name = "N", requires = "ticket")]
    pub copy: Option<u32>,
    /// Which plan, where several are at the bench
    #[arg(long, value_name = "N", conflicts_with = "ticket")]
    pub plan: Option<i64>,
    #[command(flatten)]
    signed: Signed,
}

/// Puts it back.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if something was cut already.
pub fn run(args: &PutBackArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    if let Some(ticket) = &args.ticket {
        let mut book = open_book(&args.book)?;
        let back = done(book.put_back_ticket(ticket, args.copy, &args.signed.stamp()?))?;
        return say(out, &put_back_words(ticket, &done(book.shop())?, &back));
    }
    let (job, sticks) = done(open_book(&args.book)?.put_back(args.plan, &args.signed.stamp()?))?;
    say(out, &format!("Plan {job} is back unused; free again: {}.", sticks.join(", ")))?;
    Ok(())
}
