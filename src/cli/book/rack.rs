//! `longpoint rack`: what is on the rack, how old it is and what it is worth.

use std::io::Write;
use std::path::PathBuf;

use jiff::ToSpan;
use jiff::civil::Date;

use super::opened::{done, open_book, say};
use super::signed::BOOK;
use crate::book::words;
use crate::book::{OnRack, RackQuery};
use crate::cli::clock;
use crate::cli::exit::WrongInput;
use crate::measure::{Worth, parse_length};
use crate::morning::remake::worth;
use crate::shop::{Shop, Stick};

/// What `longpoint rack` is told.
#[derive(Debug, clap::Args)]
pub struct RackArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// Only this moulding
    #[arg(long, value_name = "M", value_parser = super::signed::code)]
    pub moulding: Option<String>,
    /// Only this lot
    #[arg(long, value_name = "LOT")]
    pub lot: Option<String>,
    /// Only what lies here
    #[arg(long, value_name = "PLACE")]
    pub place: Option<String>,
    /// Only what is at least so long
    #[arg(long, value_name = "LENGTH")]
    pub at_least: Option<String>,
    /// Only what has not moved for so many months, as suggestions to clear
    #[arg(long, value_name = "MONTHS", value_parser = clap::value_parser!(u32).range(1..=600))]
    pub idle: Option<u32>,
    /// The day; without it, today by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date)]
    pub today: Option<Date>,
}

/// Lists the rack.
///
/// # Errors
/// [`WrongInput`] if a moulding or a length is none.
pub fn run(args: &RackArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    let today = clock::day(args.today)?;
    let wanted = wanted(args, &shop, today)?;
    let rack = done(book.rack(&wanted))?;
    say(out, &rack_words(&shop, &rack, today))?;
    if args.idle.is_some() && !rack.is_empty() {
        say(out, &super::clear::suggestions(&shop, &rack)?)?;
    }
    Ok(())
}

fn wanted(args: &RackArgs, shop: &Shop, today: Date) -> Result<RackQuery, WrongInput> {
    if let Some(moulding) = &args.moulding {
        shop.find_moulding(moulding).map_err(|u| WrongInput(format!("--moulding: {u}")))?;
    }
    let length = |text: &String| {
        parse_length(text, shop.settings.unit)
            .map_err(|fault| WrongInput(format!("--at-least: {text:?} {fault}")))
    };
    let before = |months: u32| today.checked_sub(i64::from(months).months()).ok();
    Ok(RackQuery {
        moulding: args.moulding.clone(),
        lot: args.lot.clone(),
        place: args.place.clone(),
        at_least: args.at_least.as_ref().map(length).transpose()?,
        since: args.idle.and_then(before),
    })
}

/// How wide the column of lots is.
const LOT: usize = 8;

fn rack_words(shop: &Shop, rack: &[OnRack], today: Date) -> String {
    let settings = &shop.settings;
    let row = |[stick, moulding, length, lot, place, worth, age]: [&str; 7]| {
        let row = format!(
            "{stick:<8} {moulding:<10} {length:>12}  {lot:<LOT$} {place:<12} {worth:>9} {age:>10}"
        );
        row.trim_end().to_owned() + "\n"
    };
    let mut text = String::new();
    if !rack.is_empty() {
        text += &row(["stick", "moulding", "length", "lot", "place", "worth", "since"]);
    }
    let mut total = Worth(0);
    for on in rack {
        let stick = &on.stick;
        let priced = shop.moulding(&stick.moulding).price.is_some();
        let worth = worth(shop, &stick.moulding, stick.length);
        total += if priced { worth } else { Worth(0) };
        let shown = if priced { settings.currency.show(worth.to_money()) } else { String::new() };
        let age = stick.since.map(|since| words::age(since, today)).unwrap_or_default();
        let length = settings.style().show_down_unit(stick.length);
        let job = on.job.map(|job| format!("at the bench for plan {job}"));
        let flawed = (!stick.flaws.is_empty()).then(|| words::flaws(shop, stick));
        let Stick { id, moulding, lot, place, .. } = stick;
        // A long lot has no room in its column.
        let (lot, long) = match lot.chars().count() > LOT {
            true => ("", Some(format!("lot {lot}"))),
            false => (lot.as_str(), None),
        };
        let also: Vec<String> = long.into_iter().chain(job).chain(flawed).collect();
        text += &row([id, moulding, &length, lot, place, &shown, &age]);
        if !also.is_empty() {
            text += &format!("{:9}{}\n", "", also.join("; "));
        }
    }
    text + &format!(
        "{}, worth {} {}\n",
        words::count(rack.len(), "stick or offcut", "sticks and offcuts"),
        settings.currency.show(total.to_money()),
        settings.currency.code()
    )
}
