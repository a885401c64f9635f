//! `longpoint order`: places an order, lists what is open, gives it up.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::PathBuf;

use anyhow::Context;
use jiff::civil::{Date, Time};

use super::opened::{done, open_book, planned, say, while_others_write};
use super::signed::{BOOK, Signed};
use crate::book::{Book, OpenLine, PART_ORDER, Stamp, order_pages};
use crate::cli::exit::WrongInput;
use crate::cli::{clock, effort, interrupt, plan};
use crate::plan::{Plan, Wishes};
use crate::report::{folder, order_deadline};
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
    /// Give up lines that are open, by their numbers
    #[arg(long, value_name = "LINE", num_args = 1..)]
    pub drop: Vec<i64>,
    /// Order only from those suppliers who cannot wait; the rest is left in the basket
    #[arg(long, conflicts_with_all = ["open", "drop", "print"])]
    pub due_today: bool,
    /// Order only from these suppliers; the rest is left in the basket
    #[arg(long, value_name = "SUPPLIER", num_args = 1.., conflicts_with_all = ["open", "drop", "print", "due_today"])]
    pub supplier: Vec<String>,
    /// The day of the order; without it, the day of the step
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = plan::date)]
    pub today: Option<Date>,
    /// Write the pages of an order that was placed once more, and order nothing
    #[arg(long, value_name = "ORDER", requires = "out", conflicts_with_all = ["open", "drop"])]
    pub print: Option<i64>,
    /// Also write order.csv and order.html, a page for each supplier, here
    #[arg(long, value_name = "OUT", conflicts_with_all = ["open", "drop"])]
    pub out: Option<PathBuf>,
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
        done(book.drop_lines(&args.drop, &stamp))?;
    }
    if let (Some(order), Some(dir)) = (args.print, &args.out) {
        let pages = done(book.order_pages(order))?;
        interrupt::whole(|| folder::write(dir, &pages))?;
        return say(out, &format!("Wrote the pages of order {order} to {}.", dir.display()));
    }
    let shop = done(book.shop())?;
    let before = done(book.open_lines())?;
    if !args.drop.is_empty() {
        let lines: Vec<String> = args.drop.iter().map(ToString::to_string).collect();
        let lines = lines.join(", ");
        say(out, &format!("Given up: {lines}. Still open:"))?;
    }
    if args.open || !args.drop.is_empty() {
        say(out, &line_words(&shop, &before))?;
        return Ok(());
    }
    let OrderPlaced { lines: new, basket } = place(args, &mut book, &stamp)?;
    if new.is_empty() {
        say(out, "Nothing has to be ordered today.")?;
    } else {
        say(out, &line_words(&shop, &new))?;
    }
    if !basket.is_empty() {
        say(out, "Left in the basket, to be worked out anew by the next plan:")?;
        basket.iter().try_for_each(|words| say(out, words))?;
    }
    if !before.is_empty() {
        say(out, "Already on order (counted in):")?;
        say(out, &line_words(&shop, &before))?;
    }
    Ok(())
}

/// What was ordered, and what is said of each supplier whose order can wait.
struct OrderPlaced {
    lines: Vec<OpenLine>,
    basket: Vec<String>,
}

/// Plans and places the order. Its pages are on the disk before it stands in the book.
fn place(args: &OrderArgs, book: &mut Book, stamp: &Stamp) -> anyhow::Result<OrderPlaced> {
    let date = args.signed.date(args.today)?;
    let time = args.time.or_else(|| args.today.is_none().then(|| stamp.at.time()));
    while_others_write(book, |book| {
        let mut snapshot = done(book.snapshot())?;
        snapshot.shop = clock::at(snapshot.shop, date, time);
        let plan = planned(&snapshot, date, &Wishes::default(), args.search)?;
        let suppliers = suppliers(args, &plan, &snapshot.shop)?;
        let is_left =
            |supplier: &String| suppliers.as_ref().is_some_and(|all| !all.contains(supplier));
        let left = plan.order.deadlines.iter().filter(|of| is_left(&of.supplier));
        let words = |of| order_deadline(of, &plan, &snapshot.shop);
        let basket: Vec<String> =
            left.map(|of| format!("{}: {}", of.supplier, words(of))).collect();
        if suppliers.as_ref().is_some_and(BTreeSet::is_empty) && !basket.is_empty() {
            return Ok(Ok(OrderPlaced { lines: Vec::new(), basket }));
        }
        let part = suppliers.filter(|_| !basket.is_empty()).map(|all| plan.ordered_from(&all));
        let (what, ordered) = match &part {
            Some(part) => (PART_ORDER, part),
            None => ("order", &*plan),
        };
        interrupt::whole(|| {
            let pages = order_pages(ordered, &snapshot.shop);
            let ready = args.out.as_ref().map(|dir| folder::ready(dir, &pages)).transpose()?;
            let lines = match book.order_as(&snapshot, (what, ordered, &pages), stamp) {
                Ok(lines) => lines,
                Err(refused) => return Ok(Err(refused)),
            };
            if let (Some(ready), Some(first)) = (ready, lines.first()) {
                ready.put().with_context(|| {
                    format!(
                        "order {0} stands in the book, but not its pages on the disk (longpoint order \
                         {1} --print {0} --out DIR writes them)",
                        first.order,
                        args.book.display()
                    )
                })?;
            }
            Ok(Ok(OrderPlaced { lines, basket }))
        })
    })
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

fn line_words(shop: &Shop, lines: &[OpenLine]) -> String {
    let settings = &shop.settings;
    let mut text = String::new();
    let mut head = None;
    for line in lines {
        let of = (line.order, &line.supplier);
        if head != Some(of) {
            let from = match shop.suppliers.get(&line.supplier) {
                Some(supplier) => format!(" from {} ({})", supplier.name, supplier.id),
                None if line.supplier.is_empty() => ", from whoever sells it".to_owned(),
                None => format!(" from {}", line.supplier),
            };
            let arrives = line.arrives.as_ref().map(|day| format!(", arrives {day}"));
            text += &format!(
                "Order {} of {}{from}{}:\n",
                line.order,
                line.date,
                arrives.unwrap_or_default()
            );
            head = Some(of);
        }
        let cost = line
            .cost
            .map(|cost| format!(", {} {}", settings.currency.show(cost), settings.currency.code()));
        let came = if line.came > 0 { format!(", {} came", line.came) } else { String::new() };
        text += &format!(
            "  line {}: {} x {} by the {}, {}{}{came}\n",
            line.line,
            line.count,
            line.moulding,
            line.form,
            settings.style().show_unit(line.length),
            cost.unwrap_or_default(),
        );
    }
    if text.is_empty() { "Nothing is on order.\n".to_owned() } else { text }
}
