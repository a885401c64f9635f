//! `longpoint order`: places an order, lists what is open, gives it up.

use std::io::Write;
use std::path::PathBuf;

use anyhow::Context;
use jiff::civil::Date;

use super::opened::{done, open_book, planned, say, while_others_write};
use super::signed::{BOOK, Signed};
use crate::book::{Book, OpenLine, Stamp};
use crate::cli::{effort, interrupt, plan};
use crate::plan::Wishes;
use crate::report::{folder, order_mail};
use crate::shop::Shop;

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
    /// The day of the order; without it, the day of the step
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = plan::date)]
    pub today: Option<Date>,
    /// Write the pages of an order that was placed once more, and order nothing
    #[arg(long, value_name = "ORDER", requires = "out", conflicts_with_all = ["open", "drop"])]
    pub print: Option<i64>,
    /// Also write order.csv, order.html, a letter to each supplier, and a text to each here
    #[arg(long, value_name = "OUT", conflicts_with_all = ["open", "drop"])]
    pub out: Option<PathBuf>,
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
    let new = place(args, &mut book, &stamp)?;
    say(out, &line_words(&shop, &new))?;
    if !before.is_empty() {
        say(out, "Already on order (counted in):")?;
        say(out, &line_words(&shop, &before))?;
    }
    Ok(())
}

/// Plans and places the order. Its pages are on the disk before it stands in the book.
fn place(args: &OrderArgs, book: &mut Book, stamp: &Stamp) -> anyhow::Result<Vec<OpenLine>> {
    let date = args.signed.date(args.today)?;
    while_others_write(book, |book| {
        let snapshot = done(book.snapshot())?;
        let plan = planned(&snapshot, date, &Wishes::default(), args.search)?;
        interrupt::whole(|| {
            let pages = done(book.pages(&plan, &snapshot.shop))?;
            let idle = order_mail::idle(&plan, &snapshot.shop);
            let ready = args.out.as_ref().map(|dir| folder::ready(dir, &pages, &idle));
            let ready = ready.transpose()?;
            let new = match book.order_as(&snapshot, (&plan, &pages), stamp) {
                Ok(new) => new,
                refused => return Ok(refused),
            };
            if let (Some(ready), Some(first)) = (ready, new.first()) {
                ready.put().with_context(|| {
                    format!(
                        "order {0} stands in the book, but not its pages on the disk (longpoint order \
                         {1} --print {0} --out DIR writes them)",
                        first.order,
                        args.book.display()
                    )
                })?;
            }
            Ok(Ok(new))
        })
    })
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
