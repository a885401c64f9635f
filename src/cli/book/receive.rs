//! `longpoint receive`: takes what was delivered onto the rack.

use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::{BOOK, Signed, code};
use crate::book::words;
use crate::book::{Book, Delivery, SheetDelivery};
use crate::cli::exit::WrongInput;
use crate::measure::{Length, Money, parse_length};
use crate::sheet_order::SHEET;
use crate::shop::{Shop, read_flaws, shown};

/// What `longpoint receive` is told.
#[derive(Debug, clap::Args)]
pub struct ReceiveArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// The moulding's code; not needed with --line
    #[arg(long, value_name = "M", value_parser = super::signed::code)]
    pub moulding: Option<String>,
    /// The line of the order that this is of; alone, for a line of chopped rails
    #[arg(long, value_name = "N")]
    pub line: Option<i64>,
    /// The length that really came; once for each length
    #[arg(long, value_name = "LENGTH")]
    pub length: Vec<String>,
    /// How many of each length, or sheets: 1 if not said; of a line of sheets all of them
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=10_000))]
    pub count: Option<u32>,
    /// Boards or glass in place of moulding: of what they are
    #[arg(long, value_name = "M", value_parser = code, requires = "size",
          conflicts_with_all = ["moulding", "line", "length", "lot", "flaws", "from"])]
    pub material: Option<String>,
    /// The size of each board or sheet of glass, such as 36x48
    #[arg(long, value_name = "WxH", requires = "material")]
    pub size: Option<String>,
    /// They are remnants, each with a label of its own
    #[arg(long, requires = "material")]
    pub remnant: bool,
    /// The finishing lot
    #[arg(long, value_name = "LOT", default_value = "", value_parser = code)]
    pub lot: String,
    /// Where they are put
    #[arg(long, value_name = "PLACE", default_value = "", value_parser = super::signed::words)]
    pub place: String,
    /// The flaws of each stick: "14 1/2 .. 16; 90 .. 91"
    #[arg(long, value_name = "FLAWS")]
    pub flaws: Option<String>,
    /// From whom they were bought, without an order
    #[arg(long, value_name = "NAME", value_parser = super::signed::words, requires = "cost", conflicts_with = "line")]
    pub from: Option<String>,
    /// What they cost together
    #[arg(long, value_name = "PRICE", requires = "from")]
    pub cost: Option<String>,
    #[command(flatten)]
    signed: Signed,
}

/// Takes them in, each with a label of the book.
///
/// # Errors
/// [`WrongInput`] with everything that is wrong with what was said.
pub fn run(args: &ReceiveArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    let stamp = args.signed.stamp()?;
    if let Some(came) = of_sheets(args, &shop)? {
        let stocks = done(book.receive_sheets(&came, &stamp))?;
        return say(out, &words::sheets_came_words(&shop, &came, &stocks));
    }
    let came = match (args.line, args.length.as_slice()) {
        (Some(line), []) if is_of_sheets(&book, line)? => {
            let came = book.receive_sheet_line((line, args.count), &args.place, &stamp);
            let (came, stocks, open) = done(came)?;
            say(out, &words::sheets_came_words(&shop, &came, &stocks))?;
            return match open {
                0 => Ok(()),
                open => say(out, &format!("{open} of line {line} are still to come.")),
            };
        }
        (Some(line), []) => done(book.receive_chops(line, &stamp))?,
        _ => {
            let (delivery, cost) = delivery(args, &shop, &book)?;
            let paid = args.from.as_deref().zip(cost);
            match paid {
                Some(paid) => done(book.buy(&delivery, paid, &stamp))?,
                None => done(book.receive(&delivery, &stamp))?,
            }
        }
    };
    say(out, &words::came_words(&shop, &came))
}

/// Whether an open line is of sheets.
fn is_of_sheets(book: &Book, line: i64) -> anyhow::Result<bool> {
    let open = done(book.open_lines())?;
    Ok(open.iter().any(|of| of.line == line && of.form == SHEET))
}

/// What came of boards or glass, if that is what is received.
fn of_sheets(args: &ReceiveArgs, shop: &Shop) -> Result<Option<SheetDelivery>, WrongInput> {
    let Some((material, size)) = args.material.as_ref().zip(args.size.as_ref()) else {
        return Ok(None);
    };
    Ok(Some(SheetDelivery {
        material: material.clone(),
        size: super::sheets::size(size, shop)?,
        count: args.count.unwrap_or(1),
        remnant: args.remnant,
        place: args.place.clone(),
    }))
}

/// What came, and what it cost where that was said.
fn delivery(
    args: &ReceiveArgs,
    shop: &Shop,
    book: &Book,
) -> anyhow::Result<(Delivery, Option<Money>)> {
    let mut faults = Vec::new();
    let moulding = match (&args.moulding, args.line) {
        (Some(moulding), _) => moulding.clone(),
        (None, Some(line)) => done(book.moulding_of_line(line))?,
        (None, None) => {
            faults.push("say --moulding, or --line".to_owned());
            String::new()
        }
    };
    if args.length.is_empty() {
        faults.push("say --length, as it was measured".to_owned());
    }
    let mut lengths: Vec<Length> = Vec::new();
    for text in &args.length {
        match parse_length(text, shop.settings.unit) {
            Ok(length) => lengths.extend((0..args.count.unwrap_or(1)).map(|_| length)),
            Err(fault) => faults.push(format!("--length: {:?} {fault}", shown(text))),
        }
    }
    let flaws = args.flaws.as_ref().map(|text| read_flaws(text, &shop.settings)).transpose();
    let flaws = flaws.unwrap_or_else(|fault| {
        faults.push(format!("--flaws: {fault}"));
        None
    });
    let cost = args.cost.as_ref().and_then(|text| {
        let read = shop.settings.currency.parse(text);
        read.map_err(|fault| faults.push(format!("--cost: {:?} {fault}", shown(text)))).ok()
    });
    if !faults.is_empty() {
        return Err(WrongInput(faults.join("\n")).into());
    }
    let flaws = flaws.unwrap_or_default();
    let (lot, place, line) = (args.lot.clone(), args.place.clone(), args.line);
    Ok((Delivery { moulding, lengths, lot, place, flaws, line }, cost))
}
