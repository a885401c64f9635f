//! `longpoint order`: places an order, lists what is open, gives it up.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::PathBuf;

use anyhow::Context;
use jiff::civil::{Date, Time};

use super::opened::{done, open_book, planned, say, while_others_write};
use super::signed::{BOOK, Signed};
use crate::book::words::{FramesByLine, given_up_words, listing, placed_words};
use crate::book::{Book, PART_ORDER, Pages, PlacedLine, Stamp, line_of};
use crate::cli::exit::WrongInput;
use crate::cli::{clock, effort, interrupt, lacking};
use crate::plan::{Plan, Wishes, pushed};
use crate::report::{folder, order_bills, order_deadline, order_mail, order_refused, workbook};
use crate::shop::{Shop, shown};

/// What `longpoint order` is told.
#[derive(Debug, clap::Args)]
pub struct OrderArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// List what has not come yet, and order nothing
    #[arg(long)]
    pub open: bool,
    /// Give up lines that are open, by their numbers; 3=2 gives up two of line 3
    #[arg(long, value_name = "LINE[=N]", num_args = 1.., value_parser = given_up)]
    pub drop: Vec<(i64, Option<u32>)>,
    /// Order only from those suppliers who cannot wait; the rest is left in the basket
    #[arg(long, conflicts_with_all = ["open", "drop", "print"])]
    pub due_today: bool,
    /// Order only from these suppliers; the rest is left in the basket
    #[arg(long, value_name = "SUPPLIER", num_args = 1.., conflicts_with_all = ["open", "drop", "print", "due_today"])]
    pub supplier: Vec<String>,
    /// Order also from those who refuse an order so small: they were asked, and take it
    #[arg(long, conflicts_with_all = ["open", "drop", "print"])]
    pub even_so: bool,
    /// A list of pieces of boards and glass whose sheets are ordered as well, as for sheets
    #[arg(long, value_name = "FILE", conflicts_with_all = ["open", "drop", "print", "due_today"])]
    pub pieces: Option<PathBuf>,
    /// The day of the order; without it, the day of the step
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date)]
    pub today: Option<Date>,
    /// Write the pages of an order that was placed once more, and order nothing
    #[arg(long, value_name = "ORDER", conflicts_with_all = ["open", "drop"])]
    pub print: Option<i64>,
    /// Also write order.csv, order.html, a letter to each supplier, and a text to each here
    #[arg(long, value_name = "OUT", conflicts_with_all = ["open", "drop"])]
    pub out: Option<PathBuf>,
    /// Also write order.csv as a workbook here
    #[arg(long, value_name = "FILE.xlsx", conflicts_with_all = ["open", "drop"])]
    pub xlsx: Option<PathBuf>,
    /// The time of day, for what a supplier takes until a cut-off; without it, that of
    /// the step, or with --today before all of them
    #[arg(long, value_name = "HH:MM", value_parser = clock::time)]
    pub time: Option<Time>,
    #[command(flatten)]
    search: effort::SearchOptions,
    #[command(flatten)]
    signed: Signed,
}

/// Plans, and writes down that what the plan asks for was ordered.
///
/// # Errors
/// [`WrongInput`](crate::cli::exit::WrongInput) if there is nothing to order beside what
/// is on order already.
pub fn run(args: &OrderArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let stamp = args.signed.stamp()?;
    if !args.drop.is_empty() {
        give_up(args, &mut book, &stamp, out)?;
    }
    if let Some(order) = args.print {
        return print(args, &book, order, out);
    }
    let shop = done(book.shop())?;
    let before = done(book.open_lines())?;
    if args.open || !args.drop.is_empty() {
        let today = args.signed.date(args.today)?;
        let frames = frames_of_lines(&book, &before, (today, args.search))?;
        return say(out, &listing(&shop, &before, (today, &frames)));
    }
    let OrderPlaced { lines: new, bills, basket, asked, notes } = place(args, &mut book, &stamp)?;
    if new.is_empty() {
        let is_asked = !asked.is_empty();
        say(
            out,
            if is_asked { "Nothing was ordered." } else { "Nothing has to be ordered today." },
        )?;
    } else {
        say(out, &(placed_words(&shop, &new) + &bills))?;
    }
    notes.iter().try_for_each(|note| say(out, note))?;
    if !asked.is_empty() {
        let asked = asked.join(", ");
        say(
            out,
            &format!("Not ordered from {asked}: once they say that they take it, add --even-so."),
        )?;
    }
    if !basket.is_empty() {
        say(out, "Left in the basket, to be worked out anew by the next plan:")?;
        basket.iter().try_for_each(|words| say(out, words))?;
    }
    if !before.is_empty() {
        say(out, "Already on order (counted in):")?;
        say(out, &placed_words(&shop, &before))?;
    }
    Ok(())
}

/// Gives up lines, and says whom that makes wait.
fn give_up(
    args: &OrderArgs,
    book: &mut Book,
    stamp: &Stamp,
    out: &mut dyn Write,
) -> anyhow::Result<()> {
    let today = args.signed.date(args.today)?;
    let plan = |book: &Book| {
        let snapshot = done(book.snapshot())?;
        let plan = planned(&snapshot, today, &Wishes::default(), args.search)?;
        anyhow::Ok((snapshot.shop, plan))
    };
    let (earlier, before) = plan(book)?;
    done(book.drop_lines(&args.drop, stamp))?;
    let (shop, after) = plan(book)?;
    let words = |(line, count): &(i64, Option<u32>)| {
        count.map_or(line.to_string(), |count| format!("{count} of line {line}"))
    };
    let lines = args.drop.iter().map(words).collect::<Vec<_>>().join(", ");
    say(out, &format!("Given up: {lines}."))?;
    say(out, &given_up_words(&shop, &pushed((&earlier, &*before), (&shop, &*after), "")))?;
    say(out, "Still open:")
}

/// What was ordered, and what is said of each supplier whose order can wait.
#[derive(Default)]
struct OrderPlaced {
    lines: Vec<PlacedLine>,
    /// What is charged for it.
    bills: String,
    basket: Vec<String>,
    /// Who is asked first, since they refuse it, and is not ordered from until then.
    asked: Vec<String>,
    /// What is to be said of boards and glass.
    notes: Vec<String>,
}

/// Plans and places the order. Its pages are on the disk before it stands in the book.
fn place(args: &OrderArgs, book: &mut Book, stamp: &Stamp) -> anyhow::Result<OrderPlaced> {
    let date = args.signed.date(args.today)?;
    let time = args.time.or_else(|| {
        let is_now = args.today.is_none() || args.signed.at.is_some();
        is_now.then(|| stamp.at.time())
    });
    while_others_write(book, |book| {
        let mut snapshot = done(book.snapshot())?;
        snapshot.shop = clock::at(snapshot.shop, date, time);
        let plan = planned(&snapshot, date, &Wishes::default(), args.search)?;
        // Who cannot wait is known of moulding alone.
        let (plan, notes) = if args.due_today {
            (plan, Vec::new())
        } else {
            let of = (&snapshot.shop, args.pieces.as_deref());
            let coming = done(book.sheets_coming())?;
            lacking::ordered(&plan, of, &coming, |wanted| done(book.mark_cut(wanted)))?
        };
        let mut suppliers = suppliers(args, &plan, &snapshot.shop)?;
        let wanted = plan.order.bills.iter();
        let wanted =
            wanted.filter(|bill| suppliers.as_ref().is_none_or(|all| all.contains(&bill.supplier)));
        let refused: Vec<(String, String)> = wanted
            .filter_map(|bill| Some((bill.supplier.clone(), order_refused(bill, &snapshot.shop)?)))
            .collect();
        // Of those who were asked, and take it, there is nothing to be said.
        let refused = if args.even_so { Vec::new() } else { refused };
        let words = refused.iter().map(|(supplier, words)| format!("{supplier}: {words}"));
        let notes: Vec<String> = words.chain(notes).collect();
        let asked: Vec<String> = refused.iter().map(|(supplier, _)| supplier.clone()).collect();
        if !asked.is_empty() {
            let all = || plan.order.lines.iter().map(|line| line.supplier.clone()).collect();
            suppliers.get_or_insert_with(all).retain(|supplier| !asked.contains(supplier));
        }
        let is_left =
            |supplier: &String| suppliers.as_ref().is_some_and(|all| !all.contains(supplier));
        let left = plan.order.deadlines.iter().filter(|of| is_left(&of.supplier));
        let words = |of| order_deadline(of, &plan, &snapshot.shop);
        let basket: Vec<String> =
            left.map(|of| format!("{}: {}", of.supplier, words(of))).collect();
        let is_left = !basket.is_empty() || !asked.is_empty();
        if suppliers.as_ref().is_some_and(BTreeSet::is_empty) && is_left {
            return Ok(Ok(OrderPlaced { basket, asked, notes, ..OrderPlaced::default() }));
        }
        // What is bought from nobody in particular has no word in the basket, and stays there too.
        let is_part = |all: &BTreeSet<String>| {
            plan.order.lines.iter().any(|line| !all.contains(&line.supplier))
        };
        let part = suppliers.filter(is_part).map(|all| plan.ordered_from(&all));
        let (what, ordered) = match &part {
            Some(part) => (PART_ORDER, part),
            None => ("order", &*plan),
        };
        interrupt::whole(|| {
            let pages = done(book.pages(ordered, &snapshot.shop))?;
            let idle = order_mail::idle(ordered, &snapshot.shop);
            let ready = ready(args, &pages, (&idle, date))?;
            let lines = match book.order_as(&snapshot, (what, ordered, &pages), stamp) {
                Ok(lines) => lines,
                Err(refused) => return Ok(Err(refused)),
            };
            if let Some(first) = lines.first() {
                let unwritten = || {
                    format!(
                        "order {0} stands in the book, but not its pages on the disk (longpoint order \
                         {1} --print {0} --out DIR --xlsx FILE writes them)",
                        first.order,
                        args.book.display()
                    )
                };
                let put = ready.into_iter().try_for_each(folder::Ready::put);
                put.with_context(unwritten)?;
            }
            let bills = order_bills(ordered, &snapshot.shop);
            Ok(Ok(OrderPlaced { lines, bills, basket, asked, notes }))
        })
    })
}

/// The pages and the workbook that are asked for, each beside where it goes.
fn ready(
    args: &OrderArgs,
    pages: &Pages,
    (idle, date): (&[String], Date),
) -> anyhow::Result<Vec<folder::Ready>> {
    let mut ready = Vec::new();
    if let Some(dir) = &args.out {
        ready.push(folder::ready(dir, pages, idle)?);
    }
    if let Some(file) = &args.xlsx {
        ready.push(folder::ready_workbook(file, &as_workbook(pages, date)?)?);
    }
    Ok(ready)
}

/// The pages of an order that was placed, once more.
fn print(args: &OrderArgs, book: &Book, order: i64, out: &mut dyn Write) -> anyhow::Result<()> {
    let places = args.out.iter().chain(&args.xlsx);
    let places: Vec<String> = places.map(|place| place.display().to_string()).collect();
    if places.is_empty() {
        let words = "--print: say where to, with --out DIR, --xlsx FILE or both";
        return Err(WrongInput(words.to_owned()).into());
    }
    let pages = done(book.order_pages(order))?;
    let date = args.signed.date(args.today)?;
    interrupt::whole(|| {
        let ready = ready(args, &pages, (&[], date))?;
        anyhow::Ok(ready.into_iter().try_for_each(folder::Ready::put)?)
    })?;
    say(out, &format!("Wrote the pages of order {order} to {}.", places.join(" and ")))
}

/// The table among an order's pages as a workbook.
fn as_workbook(pages: &Pages, date: Date) -> anyhow::Result<Vec<u8>> {
    let table = pages.iter().find(|(name, _)| name == "order.csv");
    Ok(workbook::workbook("order", table.map_or("", |(_, table)| table), date)?)
}

/// What is given up: a line, or so many of it.
fn given_up(read: &str) -> Result<(i64, Option<u32>), String> {
    let (line, count) = read.split_once('=').map_or((read, None), |(line, n)| (line, Some(n)));
    let line = line.trim().parse().ok();
    let count = count.map(|count| count.trim().parse::<u32>());
    line.zip(count.transpose().ok())
        .ok_or_else(|| "write the number of the line, or 3=2 for two of line 3".to_owned())
}

/// Which frames wait for each line: those that it is chopped for, and those that a plan
/// of today cuts from its sticks.
pub(super) fn frames_of_lines(
    book: &Book,
    lines: &[PlacedLine],
    (today, search): (Date, effort::SearchOptions),
) -> anyhow::Result<FramesByLine> {
    let mut frames = done(book.chopped_for_lines())?;
    if lines.iter().any(|line| !matches!(line.form.as_str(), "chop" | "sheet")) {
        let plan = planned(&done(book.snapshot())?, today, &Wishes::default(), search)?;
        for stick in &plan.order.coming {
            let Some(line) = line_of(&stick.stick) else { continue };
            let all = frames.entry(line).or_default();
            all.extend(stick.rails.iter().map(|rail| (rail.frame.clone(), rail.copy)));
        }
    }
    Ok(frames)
}

/// The suppliers that are ordered from; all, if none was named or can wait.
fn suppliers(
    args: &OrderArgs,
    plan: &Plan,
    shop: &Shop,
) -> anyhow::Result<Option<BTreeSet<String>>> {
    if args.due_today {
        let due = plan.order.deadlines.iter().filter(|of| of.last == Some(plan.date));
        return Ok(Some(due.map(|of| of.supplier.clone()).collect()));
    }
    let mut wrong = Vec::new();
    for id in &args.supplier {
        if !shop.suppliers.contains_key(id) {
            let known = shop.suppliers.keys().cloned().collect::<Vec<_>>().join(", ");
            let known = if known.is_empty() { "none".to_owned() } else { known };
            let id = shown(id);
            wrong.push(format!("--supplier: \"{id}\" is not in suppliers.csv (known are {known})"));
        } else if plan.order.bills.iter().all(|bill| bill.supplier != *id) {
            wrong.push(format!("--supplier: nothing is to be ordered from {id}"));
        }
    }
    if !wrong.is_empty() {
        return Err(WrongInput(wrong.join("\n")).into());
    }
    Ok((!args.supplier.is_empty()).then(|| args.supplier.iter().cloned().collect()))
}
