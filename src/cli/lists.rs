//! `longpoint lists`: what was read of suppliers' price lists, and what changed in one.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::Context;

use super::book::opened::{done, open_book};
use super::exit::WrongInput;
use super::{check, shop};
use crate::measure::Worth;
use crate::shop::{Faults, ListedPrice, Shop, list_changes, listed_prices, odd_move};

/// What `longpoint lists` is told.
#[derive(Debug, clap::Args)]
pub struct ListsArgs {
    /// The shop folder, or a book
    pub dir: PathBuf,
    /// Whose list is compared, where there are several
    #[arg(long, value_name = "SUPPLIER", requires = "old")]
    pub supplier: Option<String>,
    /// Compare the list with this older one of the same supplier, with the same columns
    #[arg(long, value_name = "FILE")]
    pub old: Option<PathBuf>,
}

/// Prints what was read of each list, or what changed in one.
///
/// # Errors
/// [`WrongInput`] with every fault in the folder or the older list, or if it is not said
/// whose list is compared; another error if `out` cannot be written to.
pub fn run(args: &ListsArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let (shop, files) = if args.dir.is_file() {
        let book = open_book(&args.dir)?;
        (done(book.snapshot())?.shop, done(book.files())?)
    } else {
        shop::files(&args.dir)?
    };
    let text = match &args.old {
        None if shop.lists.is_empty() => "There are no price lists.\n".to_owned(),
        None => shop.lists.iter().flat_map(check::listed).map(|line| line + "\n").collect(),
        Some(old) => compared(&shop, &files, args.supplier.as_deref(), old)?,
    };
    out.write_all(text.as_bytes())?;
    Ok(())
}

fn compared(
    shop: &Shop,
    files: &BTreeMap<String, Vec<u8>>,
    supplier: Option<&str>,
    old: &Path,
) -> anyhow::Result<String> {
    let supplier = match (supplier, shop.lists.as_slice()) {
        (Some(supplier), _) => supplier.to_owned(),
        (None, [only]) => only.supplier.clone(),
        (None, lists) => {
            let of: Vec<&str> = lists.iter().map(|list| list.supplier.as_str()).collect();
            let of = if of.is_empty() { "none".to_owned() } else { of.join(", ") };
            let words = format!("say whose list it is with --supplier (there are lists of {of})");
            return Err(WrongInput(words).into());
        }
    };
    let name = old.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let bytes = std::fs::read(old)
        .map_err(|error| WrongInput(format!("{} cannot be read: {error}", old.display())))
        .context("the older list")?;
    let wrong = |faults: Faults| WrongInput(faults.to_string());
    let was = listed_prices(files, shop, &supplier, Some((&name, &bytes))).map_err(wrong)?;
    let is = listed_prices(files, shop, &supplier, None).map_err(wrong)?;
    let changes = list_changes(&was, &is);
    let mut text = format!("{supplier}'s list against {name}, for mouldings that the shop has:\n");
    let mut part = |title: &str, lines: Vec<String>| {
        if !lines.is_empty() {
            text += &format!("{title}:\n");
            text.extend(lines.iter().map(|line| format!("  {line}\n")));
        }
    };
    let show = |price: Worth| shop.settings.currency.show_price(price);
    let moved = |(of, was): &(ListedPrice, Worth)| {
        let is = of.price.unwrap_or_default();
        let share = share(*was, is);
        let more = if is > *was { "more" } else { "less" };
        let by_length = !of.terms.ends_with("stick") && !of.terms.ends_with("box");
        let odd = odd_move(*was, is, by_length);
        let odd = odd.map(|odd| format!(": {odd} (is that so?)")).unwrap_or_default();
        format!("{}: {}, was {}, {share} % {more}{odd}", words(of), show(is), show(*was))
    };
    let plain = |of: &ListedPrice| match of.price {
        Some(price) => format!("{}: {}", words(of), show(price)),
        None => format!("{}: no price that can be read", words(of)),
    };
    part("Dearer", changes.dearer.iter().map(moved).collect());
    part("Cheaper", changes.cheaper.iter().map(moved).collect());
    part("Gone", changes.gone.iter().map(plain).collect());
    part("New", changes.new.iter().map(plain).collect());
    part("With a price in one of the two only", changes.unread.iter().map(plain).collect());
    text += &format!("As before: {}.\n", changes.as_before);
    Ok(text)
}

/// `BLK-20 (BB-2020), length, 108, ft`.
fn words(of: &ListedPrice) -> String {
    let code = if of.code == of.moulding { String::new() } else { format!(" ({})", of.code) };
    let terms = if of.terms.is_empty() { String::new() } else { format!(", {}", of.terms) };
    format!("{}{code}{terms}", of.moulding)
}

/// By how much one price is more or less than it was, in percent to a tenth.
fn share(was: Worth, is: Worth) -> String {
    let (apart, was) = (i128::from((is.0 - was.0).abs()), i128::from(was.0.max(1)));
    let tenths = (2 * apart * 1000 + was) / (2 * was);
    format!("{}.{}", tenths / 10, tenths % 10)
}
