//! `longpoint quote`: a price and a day, at the counter.

mod ask;
mod ticket;

use std::io::{self, Write};
use std::path::PathBuf;

use jiff::civil::{Date, DateTime, Time};

use super::book::{refresh, signed};
use super::exit::{NotInTime, WrongInput, plan_stands};
use super::{clock, effort, shop, threads};
use crate::book::Stamp;
use crate::quote::{Quote, Wish, quote};
use crate::report::folder::{may_hold_page, write_page};
use crate::report::{quote_html, quote_json, quote_table, quote_text};
use crate::shop::{Match, Shop, read_day};
use crate::verify::Fault;

/// What `longpoint quote` is told.
#[derive(Debug, clap::Args)]
pub struct QuoteArgs {
    /// The shop folder, or a book
    pub dir: PathBuf,
    /// The moulding, by code or name; of a stack "INNER + OUTER". Given again for
    /// each other: side by side
    #[arg(long, value_name = "NAME", required = true)]
    pub moulding: Vec<String>,
    /// The package's size, such as 16x20 or "16 1/4 x 20"; with --sides the size across
    #[arg(long, value_name = "WxH", required_unless_present = "job")]
    pub size: Option<String>,
    /// In place of a size, the ticket whose job it is: all of it in these mouldings
    #[arg(long, value_name = "TICKET", conflicts_with_all = ["size", "sides", "ticket"])]
    pub job: Option<String>,
    /// How many sides; 4 without it
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(3..=16))]
    pub sides: Option<u8>,
    /// For a floater: the gap between canvas and wall on each side
    #[arg(long, value_name = "LENGTH")]
    pub gap: Option<String>,
    /// How many alike
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=200))]
    pub copies: u32,
    /// How alike the rails must be: any, lot, halves, stick or wrap
    #[arg(long = "match", value_name = "WORD", value_parser = Match::read)]
    pub match_: Option<Match>,
    /// When it is wanted: Thursday, tomorrow, or a date; without it, the first day on which
    /// it can be ready
    #[arg(long, value_name = "DAY")]
    pub due: Option<String>,
    /// The day; without it, today by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date)]
    pub today: Option<Date>,
    /// The time of day, for what a supplier takes until a cut-off; without it, now by this
    /// computer's clock, or with --today before all of them
    #[arg(long, value_name = "HH:MM", value_parser = clock::time)]
    pub time: Option<Time>,
    /// Say how the price is made, and what each offer by itself would charge
    #[arg(long)]
    pub why: bool,
    /// Print it for other programs
    #[arg(long)]
    pub json: bool,
    /// Write a page for the customer
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write it into frames.csv, or the book, under this number, with the day as promised
    #[arg(long, value_name = "FRAME")]
    pub ticket: Option<String>,
    /// Take the day as kept, and write the ticket, also where it makes others late or rests
    /// on an order that its supplier refuses
    #[arg(long)]
    pub even_so: bool,
    /// What the ticket notes, such as the customer
    #[arg(long, value_name = "TEXT", requires = "ticket")]
    pub note: Option<String>,
    /// The folder whose frames.csv gets the ticket, where a book is asked; the book takes
    /// it over at once. Without it, the book alone gets it
    #[arg(long, value_name = "DIR", requires = "ticket")]
    pub into: Option<PathBuf>,
    /// Who writes the ticket; it stands in the book beside the step
    #[arg(long, value_name = "NAME", env = "LONGPOINT_BY", default_value = "", value_parser = signed::words)]
    pub by: String,
    /// When the ticket is written; without it, now by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DDTHH:MM", value_parser = signed::time, requires = "ticket")]
    pub at: Option<DateTime>,
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
/// is asked; [`NotInTime`] once it is said, where it cannot be ready when it is wanted,
/// makes others late, or is not made at all; another error if `out` cannot be written to.
pub fn run(args: &QuoteArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let shop = shop::open(&args.dir)?;
    let due = match &args.due {
        None => Ok(None),
        Some(text) => match text.parse() {
            Ok(day) => Ok(Some(day)),
            Err(_) => read_day(text, clock::day(args.today)?).map(Some),
        },
    };
    let due = due.map_err(|fault| format!("--due: {fault}"));
    let wishes = ask::wishes((args, due.clone()), &shop).map_err(WrongInput)?;
    let due = due.map_err(WrongInput)?;
    if let Some(Err(fault)) = args.out.as_deref().map(may_hold_page) {
        return Err(WrongInput(format!("--out: {fault}")).into());
    }
    let ticket = ticket::place(args, &shop)?;
    let (shop, today) = clock::morning(shop, args.today, args.time)?;
    let quotes = threads::pool(args.threads)?.install(|| all(&shop, &wishes, today, args));
    let quotes = plan_stands(quotes)?;
    let text = match &quotes[..] {
        _ if args.json => quote_json::quotes(&quotes, due, today, &shop),
        [one] => quote_text::quote(one, due, today, args.why, &shop),
        several => quote_table::side_by_side(several, due, today, &shop),
    };
    out.write_all(text.as_bytes())?;
    // What is done beside is not told where another program reads what is printed.
    let mut unsaid = io::sink();
    let out: &mut dyn Write = if args.json { &mut unsaid } else { out };
    if let Some(file) = &args.out {
        write_page(file, &quote_html::sheet(&quotes, due, today, &shop))?;
        writeln!(out, "Wrote the quote to {}.", file.display())?;
    }
    let is_yes = |quote: &Quote| match args.even_so {
        true => quote.can_be_promised(due),
        false => quote.suits_all(due),
    };
    if !quotes.iter().any(is_yes) {
        if let Some(id) = &args.ticket {
            let late = quotes.iter().find(|quote| quote.can_be_promised(due));
            let why = late.map_or("the day cannot be promised".to_owned(), |quote| {
                let late = quote.made_late(false).join(", ");
                let what = match late.is_empty() {
                    true => {
                        format!("{} would have to be asked first", quote.ask_first().join(", "))
                    }
                    false => format!("it makes {late} late"),
                };
                format!("{what} (--even-so writes it all the same)")
            });
            writeln!(out, "Ticket {id} is not written: {why}.")?;
        }
        return Err(NotInTime.into());
    }
    if let (Some(ticket), [quote]) = (ticket, &quotes[..]) {
        let at = args.at.map_or_else(|| stamped(args), Ok)?;
        let stamp = Stamp { at, by: args.by.clone(), why: String::new(), token: String::new() };
        writeln!(out, "{}", ticket.write(quote, &shop, (&args.dir, &stamp))?)?;
        if let Some(dir) = args.into.as_ref().filter(|_| args.dir.is_file()) {
            refresh::take_over(&args.dir, dir, &stamp, out)?;
        }
    }
    Ok(())
}

/// When a ticket is written; of a folder nobody asks, nor what time it is.
fn stamped(args: &QuoteArgs) -> anyhow::Result<DateTime> {
    if args.dir.is_file() { clock::now() } else { Ok(DateTime::ZERO) }
}

fn all(
    shop: &Shop,
    wishes: &[Wish],
    today: Date,
    args: &QuoteArgs,
) -> Result<Vec<Quote>, Vec<Fault>> {
    // Somebody waits.
    let limits = args.search.limits_or(effort::EffortLevel::Brisk);
    wishes.iter().map(|wish| quote(shop, wish, today, limits, args.why)).collect()
}
