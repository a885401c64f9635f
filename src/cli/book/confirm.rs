//! `longpoint confirm`: what a supplier says of an order, and by what number.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed, code};
use crate::book::Confirmation;
use crate::book::words::{far_off, listing};
use crate::cli::clock;

/// What `longpoint confirm` is told.
#[derive(Debug, clap::Args)]
pub struct ConfirmArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// The number of the order
    #[arg(long, value_name = "ORDER")]
    pub order: i64,
    /// Whose confirmation it is, where several have the order
    #[arg(long, value_name = "SUPPLIER", value_parser = code)]
    pub supplier: Option<String>,
    /// The day on which they say it comes
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date)]
    pub on: Option<Date>,
    /// Their own number for it
    #[arg(long, value_name = "TEXT", value_parser = super::signed::words)]
    pub reference: Option<String>,
    #[command(flatten)]
    signed: Signed,
}

/// Writes it down, and says how their lines stand.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if nothing of the order is to come from
/// them.
pub fn run(args: &ConfirmArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let said = Confirmation {
        order: args.order,
        supplier: args.supplier.clone(),
        on: args.on,
        reference: args.reference.clone(),
    };
    let lines = done(book.confirm(&said, &args.signed.stamp()?))?;
    let today = args.signed.date(None)?;
    let far = far_off(args.on, today).unwrap_or_default();
    say(out, &(listing(&done(book.shop())?, &lines, (today, &BTreeMap::new())) + &far))
}
