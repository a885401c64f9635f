//! `longpoint finish`: the end of the day at the bench.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed};
use super::words;
use crate::book::Finished;
use crate::shop::Shop;

/// What `longpoint finish` is told.
#[derive(Debug, clap::Args)]
pub struct FinishArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// Where the offcuts are put
    #[arg(long, value_name = "PLACE", default_value = "offcuts", value_parser = super::signed::words)]
    pub place: String,
    /// Send what is still to be cut back to the pile
    #[arg(long)]
    pub rest_back: bool,
    /// Which plan, where several are at the bench
    #[arg(long, value_name = "N")]
    pub plan: Option<i64>,
    #[command(flatten)]
    signed: Signed,
}

/// Finishes the day.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) with all that is still to be cut.
pub fn run(args: &FinishArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let how = (args.place.as_str(), args.rest_back);
    let finished = done(book.finish(args.plan, how, &args.signed.stamp()?))?;
    let shop = done(book.shop())?;
    say(out, &finish_words(&shop, &finished))?;
    Ok(())
}

fn finish_words(shop: &Shop, finished: &Finished) -> String {
    let style = shop.settings.style();
    let chopped = match finished.chopped.as_slice() {
        [] => "no frame chopped".to_owned(),
        some => format!(
            "{} chopped ({})",
            words::count(some.len(), "frame", "frames"),
            words::tickets(shop, some)
        ),
    };
    let mut text = format!("Plan {} is done: {chopped}.\n", finished.job);
    if !finished.back.is_empty() {
        text += &format!("Back to the pile: {}.\n", words::tickets(shop, &finished.back));
    }
    for owed in &finished.owed {
        text += &format!("{}\n", words::owed_on_pile(shop, owed));
    }
    if !finished.untouched.is_empty() {
        text += &format!("Back on the rack, untouched: {}.\n", finished.untouched.join(", "));
    }
    text += &match finished.racked.as_slice() {
        [] => "No offcut is worth keeping.\n".to_owned(),
        some => {
            let count = words::count(some.len(), "offcut", "offcuts");
            format!("{count} to {}:\n", some[0].place)
        }
    };
    for stick in &finished.racked {
        let lot = if stick.lot.is_empty() { String::new() } else { format!("  lot {}", stick.lot) };
        text += &format!(
            "  {:<6} {:<10} {:>10}{lot}\n",
            stick.id,
            stick.moulding,
            style.show_down_unit(stick.length)
        );
    }
    text
}
