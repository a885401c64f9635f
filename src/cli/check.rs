//! `longpoint check`: reads a shop folder and says everything that is wrong with it.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::PathBuf;

use super::book::opened::{done, open_book};
use super::shop;
use crate::measure::Unit;
use crate::shop::{Form, Offer, PriceList, Shop, doubts, written_otherwise};

/// What `longpoint check` is told.
#[derive(Debug, clap::Args)]
pub struct CheckArgs {
    /// The folder that holds shop.toml, mouldings.csv, frames.csv and rack.csv
    pub dir: PathBuf,
}

/// Prints what was read.
///
/// # Errors
/// [`WrongInput`](super::exit::WrongInput) with every fault in the folder; another
/// error if `out` cannot be written to.
pub fn run(args: &CheckArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    if args.dir.is_file() {
        let book = open_book(&args.dir)?;
        return said(out, &done(book.snapshot())?.shop, &done(book.files())?);
    }
    let (shop, files) = shop::files(&args.dir)?;
    said(out, &shop, &files)
}

/// What was read, and how its files were written where that is not with commas.
fn said(out: &mut dyn Write, shop: &Shop, files: &BTreeMap<String, Vec<u8>>) -> anyhow::Result<()> {
    write!(out, "{}", summary(shop))?;
    for (name, how) in written_otherwise(files) {
        writeln!(out, "{name} is read as it is written: {how}.")?;
    }
    Ok(())
}

/// What was read, a line a file.
fn summary(shop: &Shop) -> String {
    let settings = &shop.settings;
    let mut lines = vec![format!(
        "{}: lengths in {}, bench mark {}, prices in {}",
        settings.name,
        match settings.unit {
            Unit::Inch => "inches",
            Unit::Millimetre => "millimetres",
        },
        settings.style().show_unit(settings.mark),
        settings.currency.code(),
    )];
    let mut line = |count: usize, what: &str, detail: String| {
        lines.push(format!("{count:>6} {}{detail}", plural(count, what)));
    };
    line(shop.cutters.len(), "cutter", String::new());
    line(shop.mouldings.len(), "moulding", without_price(shop));
    line(shop.frames.len(), "frame", frames_detail(shop));
    line(shop.rack.len(), "stick", rack_detail(shop));
    if !shop.sheets.is_empty() {
        let remnants = shop.sheets.iter().filter(|sheet| !sheet.whole).count();
        let detail = format!(" of boards and glass, {remnants} of them remnants");
        line(shop.sheets.len(), "label", detail);
    }
    line(shop.suppliers.len(), "supplier", String::new());
    line(shop.offers.len(), "offer", offers_detail(shop));
    lines.extend(shop.lists.iter().flat_map(listed));
    lines.extend(shop.offers.iter().filter(|offer| offer.is_dearer_for_more()).map(dearer));
    lines.extend(unknown_materials(shop));
    lines.extend(doubts(shop).iter().map(|doubt| format!("Look at {doubt}")));
    lines.join("\n") + "\n"
}

/// The materials that are cut somehow and are not there: a name may be a slip.
fn unknown_materials(shop: &Shop) -> Vec<String> {
    let is_there = |name: &String| shop.sheets.iter().any(|sheet| sheet.material == *name);
    let cut = shop.sheet_rules.iter().filter(|(_, rules)| !rules.made_to_size);
    let missing = cut.map(|(name, _)| name).filter(|name| !is_there(name));
    let words = |name| format!("Look at shop.toml, sheet.{name}: no sheet of it stands there.");
    missing.map(words).collect()
}

fn without_price(shop: &Shop) -> String {
    let count = shop.mouldings.values().filter(|moulding| moulding.price.is_none()).count();
    if count == 0 { String::new() } else { format!(", {count} without a price") }
}

fn frames_detail(shop: &Shop) -> String {
    let copies: u64 = shop.frames.iter().map(|frame| u64::from(frame.left())).sum();
    let stacks = shop.frames.iter().filter(|frame| frame.layers.len() > 1).count();
    let undated = shop.frames.iter().filter(|frame| frame.due.is_none()).count();
    let due = shop.frames.iter().filter_map(|frame| frame.due);
    let span = due.clone().min().zip(due.max());
    let span = span.map_or(String::new(), |(first, last)| format!(", due {first} to {last}"));
    format!(", {stacks} of them stacks, {copies} with all copies{span}, {undated} undated")
}

fn rack_detail(shop: &Shop) -> String {
    let flawed = shop.rack.iter().filter(|stick| !stick.flaws.is_empty()).count();
    format!(", {flawed} with flaws")
}

fn offers_detail(shop: &Shop) -> String {
    let count = |kind: fn(&Form) -> bool| shop.offers.iter().filter(|o| kind(&o.form)).count();
    format!(
        ": {} by length, {} by the box, {} by the chop",
        count(|form| matches!(form, Form::Length)),
        count(|form| matches!(form, Form::Box { .. })),
        count(|form| matches!(form, Form::Chop { .. })),
    )
}

/// An offer to ask the supplier about. It is taken as it stands.
fn dearer(offer: &Offer) -> String {
    format!(
        "Look at {}: a larger order of {} from {} costs more for each.",
        offer.place(),
        offer.moulding,
        offer.supplier
    )
}

/// What came of a price list.
pub(super) fn listed(list: &PriceList) -> Vec<String> {
    let rows = |count: u64| match count {
        1 => "1 row".to_owned(),
        more => format!("{} rows", thousands(more)),
    };
    let mut lines = vec![format!(
        "{}'s list: {} in {}, {} of mouldings in mouldings.csv",
        list.supplier,
        rows(list.rows),
        list.file,
        rows(list.used)
    )];
    for (count, of) in [
        (list.aside, "of mouldings that are not in mouldings.csv"),
        (list.nameless, "without a code"),
    ] {
        let are = if count == 1 { "is" } else { "are" };
        if count > 0 {
            lines.push(format!("{}'s list: {} {of} {are} kept aside", list.supplier, rows(count)));
        }
    }
    lines
}

/// A count with a comma after its thousands.
fn thousands(count: u64) -> String {
    let digits = count.to_string();
    let groups = digits.as_bytes().rchunks(3).rev();
    let groups: Vec<String> = groups.map(|g| String::from_utf8_lossy(g).into_owned()).collect();
    groups.join(",")
}

fn plural(count: usize, what: &str) -> String {
    if count == 1 { what.to_owned() } else { format!("{what}s") }
}
