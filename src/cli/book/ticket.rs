//! `longpoint ticket`: another size or day for a ticket.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, morning, open_book, say};
use super::signed::{Signed, code};
use crate::book::Book;
use crate::book::words::{price_words, promise_words, ticket_words};
use crate::cli::effort;
use crate::cli::exit::WrongInput;
use crate::quote::another_size;
use crate::shop::read_day;

/// What `longpoint ticket` is told.
#[derive(Debug, clap::Args)]
pub struct TicketArgs {
    /// The book
    pub book: PathBuf,
    /// The ticket
    #[arg(value_parser = code)]
    pub frame: String,
    /// Its size now, such as 16x20; of a polygon its size across the flats
    #[arg(long, value_name = "WxH", required_unless_present = "due")]
    pub size: Option<String>,
    /// The day on which it is wanted now: Thursday, tomorrow, or a date, year first
    #[arg(long, value_name = "DAY")]
    pub due: Option<String>,
    #[command(flatten)]
    search: effort::SearchOptions,
    #[command(flatten)]
    signed: Signed,
}

/// Changes it, and says what follows.
///
/// # Errors
/// [`WrongInput`] with everything that is wrong with what was said.
pub fn run(args: &TicketArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    let today = args.signed.date(None)?;
    let mut wrong = Vec::new();
    let frame = shop.find_frame(&args.frame).map_err(|unknown| WrongInput(unknown.to_string()))?;
    let size = args.size.as_ref().map(|text| another_size(text, frame, &shop));
    let size = size.transpose().unwrap_or_else(|fault| {
        wrong.push(format!("--size: {fault}"));
        None
    });
    let due = args.due.as_ref().map(|text| read_day(text, today));
    let due = due.transpose().unwrap_or_else(|fault| {
        wrong.push(format!("--due: {fault}"));
        None
    });
    if !wrong.is_empty() {
        return Err(WrongInput(wrong.join("\n")).into());
    }
    let stamp = args.signed.stamp()?;
    // Only a promise is worth the time of a plan without it and with it.
    let plan = |book: &Book| morning(book, &stamp, args.search);
    let before = frame.promised.then(|| plan(&book)).transpose()?;
    let changed = done(book.change_ticket(&args.frame, (size, due), &stamp))?;
    let now = done(book.shop())?;
    say(out, &ticket_words(&now, &args.frame, &changed))?;
    if size.is_some() {
        say(out, &price_words(&now, frame, today))?;
    }
    if let Some((earlier, before)) = before {
        let (now, after) = plan(&book)?;
        say(out, &promise_words((&earlier, &*before), (&now, &*after), frame))?;
    }
    Ok(())
}
