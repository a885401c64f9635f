//! `longpoint count`: takes stock of one place.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book, say};
use super::signed::Signed;
use super::words;
use crate::book::{Book, Counted, Difference, Found, RackQuery};
use crate::cli::exit::WrongInput;
use crate::measure::{Length, Worth, parse_length};
use crate::morning::remake::worth;
use crate::shop::{Shop, Stick, shown};

/// What `longpoint count` is told.
#[derive(Debug, clap::Args)]
pub struct CountArgs {
    /// The book
    pub book: PathBuf,
    /// The place that is walked past; without one, the places that there are
    #[arg(value_parser = super::signed::words)]
    pub place: Option<String>,
    /// What was found there: a stick's label, and, where it was measured, its
    /// length: S-201 or S-202=96 1/2; of a pile of boards or glass, how many: G-1=5; without
    /// any, the list to walk with
    pub found: Vec<String>,
    /// Everything else that the book has there is gone: say what that is and what
    /// it is worth, and with --yes write it off
    #[arg(long)]
    pub others_gone: bool,
    /// Write off what --others-gone names
    #[arg(long, requires = "others_gone")]
    pub yes: bool,
    /// Only say what is different, and change nothing
    #[arg(long)]
    pub check: bool,
    #[command(flatten)]
    signed: Signed,
}

/// No pile is higher.
const MOST_SHEETS: u32 = 10_000;

/// Compares, corrects and reports.
///
/// # Errors
/// [`WrongInput`] if a stick was never in the book or a length is none.
pub fn run(args: &CountArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    let Some(place) = &args.place else { return places(&book, out) };
    if args.found.is_empty() && !args.others_gone {
        return list(&book, &shop, place, out);
    }
    let found = found(args, &shop, &book)?;
    let keep = !args.check && (!args.others_gone || args.yes);
    let counted = done(book.count(place, &found, (&args.signed.stamp()?, keep)))?;
    let words = count_words(&shop, &counted);
    let end = match keep {
        true => corrected(&counted),
        false => format!("Nothing was changed.{}", ask(args, &counted)),
    };
    say(out, &format!("{}: {words}{end}", named(place)))?;
    Ok(())
}

/// How to go on after a look.
fn ask(args: &CountArgs, counted: &Counted) -> &'static str {
    let is_gone = |difference: &Difference| {
        matches!(difference, Difference::Missing(_) | Difference::Sheets { is: 0, .. })
    };
    match !args.check && counted.differences.iter().any(is_gone) {
        true => " Say it again with --yes to write off what is not there.",
        false => "",
    }
}

/// What was changed in the book, in a line.
fn corrected(counted: &Counted) -> String {
    let of = |is: fn(&Difference) -> bool| counted.differences.iter().filter(|d| is(d)).count();
    let changes = [
        (of(|d| matches!(d, Difference::Length { .. })), "length changed", "lengths changed"),
        (of(|d| matches!(d, Difference::Sheets { .. })), "number changed", "numbers changed"),
        (of(|d| matches!(d, Difference::Elsewhere { .. })), "place changed", "places changed"),
        (
            of(|d| matches!(d, Difference::FoundAgain { .. })),
            "stick found again",
            "sticks found again",
        ),
        (of(|d| matches!(d, Difference::Missing(_))), "stick written off", "sticks written off"),
    ];
    let changes = changes.iter().filter(|(count, ..)| *count > 0);
    let changes: Vec<String> =
        changes.map(|(count, one, many)| words::count(*count, one, many)).collect();
    match changes.as_slice() {
        [] => "Nothing had to be changed.".to_owned(),
        some => format!("Book corrected: {}.", some.join(", ")),
    }
}

/// The places that there are, to walk past one after the other.
fn places(book: &Book, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    for on in done(book.rack(&RackQuery::default()))?.into_iter().filter(|on| on.job.is_none()) {
        *places.entry(on.stick.place).or_default() += 1;
    }
    let mut sheets = done(book.sheets())?;
    sheets.retain(|stock| stock.count > 0);
    let with = if sheets.is_empty() { "" } else { ", piles and remnants of boards and glass" };
    for stock in sheets {
        *places.entry(stock.place).or_default() += 1;
    }
    let head = "Places to walk past, and how many sticks and offcuts";
    say(out, &format!("{head}{with} the book has there:"))?;
    for (place, sticks) in places {
        say(out, &format!("  [ ] {:<20} {sticks}", named(&place)))?;
    }
    Ok(())
}

/// A place as it is typed: without a name, a pair of quotes.
fn named(place: &str) -> &str {
    if place.is_empty() { "\"\"" } else { place }
}

fn list(book: &Book, shop: &Shop, place: &str, out: &mut dyn Write) -> anyhow::Result<()> {
    let wanted = RackQuery { place: Some(place.to_owned()), ..RackQuery::default() };
    let mut there = done(book.rack(&wanted))?;
    there.retain(|on| on.job.is_none());
    let mut sheets = done(book.sheets())?;
    sheets.retain(|stock| stock.count > 0 && stock.place == place);
    say(out, &format!("{}: {} in the book", named(place), there.len() + sheets.len()))?;
    for on in &there {
        let length = shop.settings.style().show_unit(on.stick.length);
        say(out, &format!("  [ ] {:<8} {:<10} {length}", on.stick.id, on.stick.moulding))?;
    }
    let style = shop.settings.style();
    for stock in &sheets {
        let size = format!("{} x {}", style.show(stock.width), style.show_unit(stock.height));
        let number = if stock.whole { format!("  {}", stock.count) } else { String::new() };
        say(out, &format!("  [ ] {:<8} {:<10} {size}{number}", stock.label, stock.material))?;
    }
    Ok(())
}

fn found(args: &CountArgs, shop: &Shop, book: &Book) -> anyhow::Result<Found> {
    let mut faults = Vec::new();
    let mut found = Found { others_gone: args.others_gone, ..Found::default() };
    for text in &args.found {
        let (name, said) = match text.rsplit_once('=') {
            None => (text.as_str(), None),
            Some((name, said)) => (name, Some(said)),
        };
        let is_again = if done(book.is_sheet(name))? {
            match said.map(|said| said.trim().parse::<u32>()).transpose() {
                Ok(number) if number.is_none_or(|number| number <= MOST_SHEETS) => {
                    found.sheets.insert(name.to_owned(), number).is_some()
                }
                _ => {
                    faults.push(format!(
                        "{}: is a board or glass (write how many there are, as {}=5)",
                        shown(text),
                        shown(name)
                    ));
                    continue;
                }
            }
        } else {
            match said.map(|said| measured(text, name, said, shop)).transpose() {
                Ok(length) => found.sticks.insert(name.to_owned(), length).is_some(),
                Err(fault) => {
                    faults.push(fault);
                    continue;
                }
            }
        };
        if is_again {
            faults.push(format!("{}: stands there twice (name it once)", shown(name)));
        }
    }
    if faults.is_empty() { Ok(found) } else { Err(WrongInput(faults.join("\n")).into()) }
}

/// How long a stick was found to be.
fn measured(text: &str, name: &str, said: &str, shop: &Shop) -> Result<Length, String> {
    match parse_length(said, shop.settings.unit) {
        Ok(length) if length.is_positive() => Ok(length),
        Ok(_) => Err(format!("{}: a stick is longer than nothing (leave it out)", shown(text))),
        Err(fault) => Err(format!("{}: {:?} {fault}", shown(name), shown(said))),
    }
}

fn count_words(shop: &Shop, counted: &Counted) -> String {
    let show = |length: Length| shop.settings.style().show_unit(length);
    let (as_written, different) = (counted.as_written, counted.differences.len());
    let mut text = format!("{as_written} as in the book, {different} different.\n");
    for difference in &counted.differences {
        text += &match difference {
            Difference::Missing(stick) => {
                format!("  {}: gone, {} in the book\n", stick.id, show(stick.length))
            }
            Difference::Length { stick, was, is } => {
                format!("  {stick}: {}, {} in the book\n", show(*is), show(*was))
            }
            Difference::Elsewhere { stick, was } if was.is_empty() => {
                format!("  {stick}: here, nowhere in the book\n")
            }
            Difference::Elsewhere { stick, was } => {
                format!("  {stick}: here, at {was} in the book\n")
            }
            Difference::Sheets { sheet, was, is } => {
                format!("  {sheet}: {is}, {was} in the book\n")
            }
            Difference::FoundAgain { stick, length } => {
                format!("  {stick}: here, {}, nothing left in the book\n", show(*length))
            }
        };
    }
    let gone = counted.differences.iter().filter_map(|difference| match difference {
        Difference::Missing(stick) => Some(stick),
        _ => None,
    });
    text += &worth_words(shop, &gone.collect::<Vec<_>>());
    let sticks = counted.not_named.iter().map(|stick| stick.id.as_str());
    let names: Vec<&str> =
        sticks.chain(counted.sheets_not_named.iter().map(String::as_str)).collect();
    if !names.is_empty() {
        text += &format!("Not named, and left as they are: {}.\n", names.join(", "));
    }
    text
}

/// What is written off, and what that is worth.
fn worth_words(shop: &Shop, gone: &[&Stick]) -> String {
    if gone.is_empty() {
        return String::new();
    }
    let priced = gone.iter().filter(|stick| shop.moulding(&stick.moulding).price.is_some());
    let worths = priced.map(|stick| worth(shop, &stick.moulding, stick.length).0);
    let settings = &shop.settings;
    format!(
        "To write off: {}, {}, worth {} {}.\n",
        words::count(gone.len(), "stick", "sticks"),
        settings.style().show_unit(gone.iter().map(|stick| stick.length).sum()),
        settings.currency.show(Worth(worths.sum()).to_money()),
        settings.currency.code()
    )
}
