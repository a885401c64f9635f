//! `longpoint order`: places an order, lists what is open, gives it up.

use std::io::Write;
use std::path::PathBuf;

use jiff::civil::Date;

use super::{BOOK, Signed, done, on_snapshot, open_book, say};
use crate::book::OpenLine;
use crate::cli::{effort, interrupt, plan};
use crate::plan::Wishes;
use crate::report::{csv, folder, order_html};
use crate::shop::Shop;

/// What `longpoint order` is told.
#[derive(Debug, clap::Args)]
pub struct Args {
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
    /// Also write order.csv and order.html, a page for each supplier, here
    #[arg(long, value_name = "OUT", conflicts_with_all = ["open", "drop"])]
    pub out: Option<PathBuf>,
    #[command(flatten)]
    search: effort::Search,
    #[command(flatten)]
    signed: Signed,
}

/// Plans, and writes down that what the plan asks for was ordered.
///
/// # Errors
/// [`WrongInput`](crate::cli::WrongInput) if there is nothing to order beside what
/// is on order already.
pub fn run(args: &Args, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let stamp = args.signed.stamp()?;
    if !args.drop.is_empty() {
        done(book.drop_lines(&args.drop, &stamp))?;
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
    let usual = |_: &crate::book::Snapshot| Ok(Wishes::default());
    let date = args.signed.date(args.today)?;
    let (new, files) =
        on_snapshot(&mut book, &usual, (date, args.search), |book, snapshot, plan| {
            let files = [
                ("order.csv", csv::order(&plan, &snapshot.shop)),
                ("order.html", order_html::orders(&plan, &snapshot.shop)),
            ];
            Ok((book.order(snapshot, &plan, &stamp)?, files))
        })?;
    if let Some(dir) = &args.out {
        interrupt::whole(|| folder::write(dir, &files))?;
    }
    say(out, &line_words(&shop, &new))?;
    if !before.is_empty() {
        say(out, "Already on order (counted in):")?;
        say(out, &line_words(&shop, &before))?;
    }
    Ok(())
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
