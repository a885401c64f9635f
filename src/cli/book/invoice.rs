//! `longpoint invoice`: a supplier's bill held against the order and what came of it.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use super::opened::{done, open_book};
use super::signed::{BOOK, Signed, code};
use crate::book::{BillSums, Invoice, pages};
use crate::cli::exit::WrongInput;
use crate::measure::Money;
use crate::shop::{Shop, shown};

/// What `longpoint invoice` is told.
#[derive(Debug, clap::Args)]
pub struct InvoiceArgs {
    /// The book
    #[arg(env = "LONGPOINT_BOOK", default_value = BOOK)]
    pub book: PathBuf,
    /// The number of the order
    #[arg(long, value_name = "ORDER")]
    pub order: i64,
    /// Whose invoice it is, where several have the order
    #[arg(long, value_name = "SUPPLIER", value_parser = code)]
    pub supplier: Option<String>,
    /// What the goods come to; not needed where --line says it of some
    #[arg(long, value_name = "PRICE")]
    pub goods: Option<String>,
    /// What it says of a line, as 3=33.30
    #[arg(long, value_name = "LINE=PRICE", num_args = 1..)]
    pub line: Vec<String>,
    /// Carriage
    #[arg(long, value_name = "PRICE")]
    pub carriage: Option<String>,
    /// What else is charged, such as for a small order or a long parcel
    #[arg(long, value_name = "PRICE")]
    pub other: Option<String>,
    /// The invoice's own number
    #[arg(long, value_name = "TEXT", default_value = "", value_parser = super::signed::words)]
    pub number: String,
    /// It gives back what it says
    #[arg(long)]
    pub credit: bool,
    /// It is another than the one with the same sums that stands in the book without a number
    #[arg(long)]
    pub another: bool,
    #[command(flatten)]
    signed: Signed,
}

/// Writes it down and shows what is different; without a price it only shows.
///
/// # Errors
/// [`WrongInput`] with everything that is wrong with what was said.
pub fn run(args: &InvoiceArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let mut book = open_book(&args.book)?;
    let shop = done(book.shop())?;
    let says = [&args.goods, &args.carriage, &args.other].iter().any(|sum| sum.is_some());
    let reckoning = if says || !args.line.is_empty() {
        let invoice = invoice(args, &shop)?;
        done(book.invoice(&invoice, &args.signed.stamp()?))?
    } else {
        done(book.reckoning(args.order, args.supplier.as_deref()))?
    };
    out.write_all(pages::reckoning_text(&reckoning, &shop).as_bytes())?;
    Ok(())
}

fn invoice(args: &InvoiceArgs, shop: &Shop) -> anyhow::Result<Invoice> {
    let mut faults = Vec::new();
    let mut sum = |of: &str, text: &Option<String>| {
        let read = text.as_ref().map(|text| price(of, text, shop)).transpose();
        read.unwrap_or_else(|fault| {
            faults.push(fault);
            None
        })
    };
    let goods = sum("--goods", &args.goods);
    let carriage = sum("--carriage", &args.carriage).unwrap_or_default();
    let other = sum("--other", &args.other).unwrap_or_default();
    let mut lines: BTreeMap<i64, Money> = BTreeMap::new();
    for text in &args.line {
        match line_and_price(text, shop) {
            Ok((line, _)) if lines.contains_key(&line) => {
                faults.push(format!("--line: line {line} is named twice (say it once)"));
            }
            Ok((line, goods)) => drop(lines.insert(line, goods)),
            Err(fault) => faults.push(fault),
        }
    }
    if !faults.is_empty() {
        return Err(WrongInput(faults.join("\n")).into());
    }
    let goods = goods.unwrap_or_else(|| lines.values().copied().sum());
    Ok(Invoice {
        order: args.order,
        supplier: args.supplier.clone(),
        number: args.number.clone(),
        sums: BillSums { goods, carriage, other },
        lines,
        is_credit: args.credit,
        is_another: args.another,
    })
}

fn price(of: &str, text: &str, shop: &Shop) -> Result<Money, String> {
    let read = shop.settings.currency.parse(text);
    read.map_err(|fault| format!("{of}: {:?} {fault}", shown(text)))
}

/// `3=33.30`.
fn line_and_price(text: &str, shop: &Shop) -> Result<(i64, Money), String> {
    let of =
        text.split_once('=').and_then(|(line, price)| Some((line.trim().parse().ok()?, price)));
    let Some((line, goods)) = of else {
        return Err(format!("--line: {:?} is no line and its price (write 3=33.30)", shown(text)));
    };
    Ok((line, price("--line", goods, shop)?))
}
