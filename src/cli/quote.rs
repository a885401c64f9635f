//! `longpoint quote`: what one frame costs in moulding, today, at the counter.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::{Date, Time};

use super::exit::WrongInput;
use super::plan::{self, date};
use super::{clock, effort, shop, threads};
use crate::measure::{Length, parse_length};
use crate::quote::{Wish, quote};
use crate::report::quote_text;
use crate::shop::{Kind, Match, Shop, shown};

/// What `longpoint quote` is told.
#[derive(Debug, clap::Args)]
pub struct QuoteArgs {
    /// The shop folder
    pub dir: PathBuf,
    /// The moulding's code
    #[arg(long, value_name = "CODE")]
    pub moulding: String,
    /// The package's size, such as 16x20 or "16 1/4 x 20"
    #[arg(long, value_name = "WxH")]
    pub size: String,
    /// How many alike
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub copies: u32,
    /// How alike the rails must be: any, lot, halves, stick or wrap
    #[arg(long = "match", value_name = "WORD", value_parser = match_)]
    pub match_: Option<Match>,
    /// When it is wanted
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = date)]
    pub due: Option<Date>,
    /// The day; without it, today by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = date)]
    pub today: Option<Date>,
    /// The time of day, for what a supplier takes until a cut-off; without it, now by this
    /// computer's clock, or with --today before all of them
    #[arg(long, value_name = "HH:MM", value_parser = clock::time)]
    pub time: Option<Time>,
    #[command(flatten)]
    pub search: effort::SearchOptions,
    /// Plan with N threads; without it, as many as this computer has cores
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = threads::parse)]
    pub threads: Option<usize>,
}

/// Prints the quote.
///
/// # Errors
/// [`WrongInput`](super::exit::WrongInput) with every fault in the folder or in what
/// is asked; another error if `out` cannot be written to.
pub fn run(args: &QuoteArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let shop = shop::open(&args.dir)?;
    let wish = wish(args, &shop).map_err(WrongInput)?;
    let (shop, today) = clock::morning(shop, args.today, args.time)?;
    let search = args.search;
    let quote =
        threads::pool(args.threads)?.install(|| quote(&shop, &wish, today, search.limits()));
    let quote = quote.or_else(|faults| plan::wrong(&faults))?;
    out.write_all(quote_text::quote(&quote, &wish, &shop).as_bytes())?;
    Ok(())
}

/// What is asked, or everything that is wrong with it.
fn wish(args: &QuoteArgs, shop: &Shop) -> Result<Wish, String> {
    let mut wrong = Vec::new();
    match shop.find_moulding(&args.moulding) {
        Err(unknown) => wrong.push(format!("--moulding: {unknown}")),
        Ok(moulding) if moulding.kind == Kind::Floater => wrong.push(format!(
            "--moulding: \"{}\" is a floater, whose gap a quote does not know (write it into frames.csv and plan)",
            args.moulding
        )),
        Ok(_) => {}
    }
    let size = size(&args.size, shop);
    if let Err(fault) = &size {
        wrong.push(fault.clone());
    }
    match (size, wrong.is_empty()) {
        (Ok((width, height)), true) => Ok(Wish {
            moulding: args.moulding.clone(),
            width,
            height,
            copies: args.copies,
            match_: args.match_,
            due: args.due,
        }),
        _ => Err(wrong.join("\n")),
    }
}

/// `16x20`, `16 1/4 x 20`, `300 mm x 400 mm`.
fn size(text: &str, shop: &Shop) -> Result<(Length, Length), String> {
    const MEND: &str = "(write width x height, as 16x20 or \"16 1/4 x 20\")";
    let parts: Vec<&str> = text.split(['x', 'X', '\u{d7}']).collect();
    let [width, height] = parts[..] else {
        return Err(format!("--size: \"{}\" is not two lengths {MEND}", shown(text)));
    };
    let length = |part: &str| match parse_length(part, shop.settings.unit) {
        Ok(length) if length.is_positive() => Ok(length),
        Ok(_) => Err(format!("--size: \"{}\" is not more than zero {MEND}", shown(part.trim()))),
        Err(fault) => Err(format!("--size: \"{}\" {fault}", shown(part.trim()))),
    };
    Ok((length(width)?, length(height)?))
}

fn match_(read: &str) -> Result<Match, String> {
    let all = [Match::Any, Match::Lot, Match::Halves, Match::Stick, Match::Wrap];
    let known = all.into_iter().find(|match_| match_.word() == read.to_lowercase());
    known.ok_or_else(|| "write any, lot, halves, stick or wrap".to_owned())
}
