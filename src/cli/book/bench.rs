//! `longpoint bench`: what is at the bench.

use std::io::Write;
use std::path::PathBuf;

use super::{BOOK, done, open_book, say, words};
use crate::book::{AtBench, BenchStick, Lay, State};
use crate::shop::Shop;

/// What `longpoint bench` is told.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The book
    #[arg(default_value = BOOK)]
    pub book: PathBuf,
}

/// Lists the plans at the bench, stick by stick.
///
/// # Errors
/// If the book cannot be read.
pub fn run(args: &Args, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
    let plans = done(book.bench())?;
    if plans.is_empty() {
        say(out, "Nothing is at the bench.")?;
        return Ok(());
    }
    let shop = done(book.shop())?;
    for plan in &plans {
        say(out, &plan_words(&shop, plan))?;
    }
    Ok(())
}

fn plan_words(shop: &Shop, plan: &AtBench) -> String {
    let rails = || plan.sticks.iter().flat_map(|stick| &stick.lay.rails);
    let open = rails().filter(|rail| rail.state == State::ToCut).count();
    let mut text = format!(
        "Plan {} of {}: {} from {}, {} to cut.\n",
        plan.job,
        plan.date,
        words::count(plan.copies.len(), "frame", "frames"),
        words::count(plan.sticks.len(), "stick", "sticks"),
        words::count(open, "rail", "rails"),
    );
    for stick in &plan.sticks {
        text += &stick_words(shop, stick);
    }
    for owed in &plan.owed {
        let of = (owed.frame.as_str(), owed.copy);
        text += &format!(
            "OWED {} in {} (longpoint replan)\n",
            words::side(shop, of, owed.layer, owed.side),
            owed.moulding
        );
    }
    text
}

/// One stick: done in a line, else each cut with its stop.
pub(super) fn stick_words(shop: &Shop, BenchStick { lay, on_flaw }: &BenchStick) -> String {
    let style = shop.settings.style();
    let mut text = format!("\n  {}  {}  {}", lay.stick, lay.moulding, style.show_unit(lay.length));
    if !lay.place.is_empty() {
        text += &format!("  at {}", lay.place);
    }
    if !lay.lot.is_empty() {
        text += &format!("  lot {}", lay.lot);
    }
    if lay.is_done() {
        return text + "  all cut\n";
    }
    text.push('\n');
    for rail in &lay.rails {
        let mark = match rail.state {
            State::ToCut if on_flaw.contains(&rail.number) => "ON A FLAW",
            State::ToCut => "to cut",
            State::Cut => "cut",
            State::Spoiled => "spoiled",
            State::Off => "not any more",
        };
        text += &format!(
            "   {:>2}. SET {:<8} {:<24} at {:<9} {mark}\n",
            rail.number,
            style.show(words::stop(shop, lay, rail)),
            words::rail(shop, rail),
            style.show(rail.from),
        );
    }
    text + &left(shop, lay)
}

fn left(shop: &Shop, lay: &Lay) -> String {
    let length = shop.settings.style().show_down_unit(lay.remains);
    match lay.label.as_str() {
        "" => format!("       scrap {length}\n"),
        label => format!("       keep {length}, label it {label}\n"),
    }
}
