//! `longpoint cut`: ticks off cuts as they happen.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::Signed;
use crate::book::TickedStick;
use crate::book::words;
use crate::cli::exit::WrongInput;
use crate::shop::Shop;

/// What `longpoint cut` is told.
#[derive(Debug, clap::Args)]
pub struct CutArgs {
    /// The book
    pub book: PathBuf,
    /// The sticks whose cuts are made
    #[arg(value_parser = super::signed::code)]
    pub sticks: Vec<String>,
    /// Only up to this cut of the stick, by its number on the sheet
    #[arg(long, value_name = "N")]
    pub to: Option<usize>,
    /// Everything that the plan still has to cut
    #[arg(long)]
    pub all: bool,
    /// Which plan, where several are at the bench
    #[arg(long, value_name = "N")]
    pub plan: Option<i64>,
    #[command(flatten)]
    signed: Signed,
}

/// Ticks the cuts off, all of them or, if one cannot be, none.
///
/// # Errors
/// [`WrongInput`] if a stick is not at the bench or its cuts are made.
pub fn run(args: &CutArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    let stamp = args.signed.stamp()?;
    let wrong = |words: &str| Err(WrongInput(words.to_owned()).into());
    let cuts = match (args.sticks.as_slice(), args.all) {
        ([], false) => return wrong("say which sticks, or --all"),
        ([_, _, ..], _) if args.to.is_some() => return wrong("--to is for one stick"),
        ([_, ..], true) => return wrong("say which sticks, or --all, not both"),
        ([], true) => book.cut_all(args.plan, &stamp),
        ([stick], false) => book.cut(stick, args.to, &stamp).map(|cut| vec![cut]),
        (sticks, false) => book.cut_sticks(sticks, &stamp),
    };
    for cut in done(cuts)? {
        say(out, &cut_words(&shop, &cut))?;
    }
    Ok(())
}

fn cut_words(shop: &Shop, cut: &TickedStick) -> String {
    let style = shop.settings.style();
    let rails: Vec<String> = cut.rails.iter().map(|rail| words::rail(shop, rail)).collect();
    let mut text = match rails.as_slice() {
        [] if cut.kept.is_empty() => format!("{}: the rest is scrap", cut.stick),
        [] => format!("{}: nothing more is cut", cut.stick),
        some => format!("{}: cut {}", cut.stick, some.join("; ")),
    };
    if cut.to_cut > 0 {
        text += &format!(". {} to go", cut.to_cut);
    }
    for (label, length) in &cut.kept {
        text += &format!(". Keep {}, label it {label}", style.show_down_unit(*length));
    }
    text + ".\n"
}
