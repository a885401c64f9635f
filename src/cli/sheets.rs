//! `longpoint sheets`: boards and glass, what stands there and what is cut from what.

use std::io::Write;
use std::path::{Path, PathBuf};

use jiff::civil::Date;

use super::book::opened::{done, open_book};
use super::book::signed::Signed;
use super::exit::WrongInput;
use super::{clock, interrupt, plan, shop};
use crate::report::{folder, sheets_html, sheets_text};
use crate::sheets::{SheetFault, WantedSize, label_after, most, plan_sheets};
use crate::shop::{SheetPiece, SheetStock, Shop, read_pieces};

/// What `longpoint sheets` is told.
#[derive(Debug, clap::Args)]
pub struct SheetsArgs {
    /// The shop folder, or a book
    pub dir: PathBuf,
    /// The pieces that are wanted: a CSV file with ticket, material, what, width, height, count
    /// and turn
    #[arg(long, value_name = "FILE")]
    pub pieces: Option<PathBuf>,
    /// Only this material
    #[arg(long, value_name = "M", value_parser = super::book::signed::code)]
    pub material: Option<String>,
    /// How many of this size a whole sheet holds, such as 8x10
    #[arg(long, value_name = "WxH", conflicts_with = "pieces")]
    pub most: Option<String>,
    /// Write down in the book that all of it is cut: what is used goes, remnants get labels
    #[arg(long, requires = "pieces")]
    pub cut: bool,
    /// Also write sheets.html here
    #[arg(long, value_name = "OUT", requires = "pieces")]
    pub out: Option<PathBuf>,
    /// The day; without it, today by this computer's clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = plan::date)]
    pub today: Option<Date>,
    #[command(flatten)]
    signed: Signed,
}

/// Lists what stands there, or plans the pieces and shows it.
///
/// # Errors
/// [`WrongInput`] with every fault in the folder or the list of pieces; another error if a
/// layout does not stand up to its check or cannot be written.
pub fn run(args: &SheetsArgs, out: &mut dyn Write) -> anyhow::Result<()> {
    let shop = shop::open(&args.dir)?;
    let own = |sheet: &&SheetStock| args.material.as_ref().is_none_or(|m| *m == sheet.material);
    let stock: Vec<SheetStock> = shop.sheets.iter().filter(own).cloned().collect();
    if let Some(material) = args.material.as_ref().filter(|_| stock.is_empty()) {
        return Err(WrongInput(format!(
            "--material: {material:?} is not in sheets.csv (write its sheets there)"
        ))
        .into());
    }
    let text = match (&args.pieces, &args.most) {
        (Some(file), _) => return planned(args, &shop, (&stock, file), out),
        (None, Some(size)) => most_of(size, &shop, &stock)?,
        (None, None) => sheets_text::stock(&stock, &shop),
    };
    out.write_all(text.as_bytes())?;
    Ok(())
}

fn planned(
    args: &SheetsArgs,
    shop: &Shop,
    (stock, file): (&[SheetStock], &Path),
    out: &mut dyn Write,
) -> anyhow::Result<()> {
    let pieces = pieces(file, shop, args.material.as_deref())?;
    let today = clock::day(args.today)?;
    let names = shop.sheets.iter().map(|sheet| sheet.label.as_str());
    let names = names.chain(shop.rack.iter().map(|stick| stick.id.as_str()));
    let plans = plan_sheets((stock, &shop.sheet_rules), &pieces, label_after(names));
    let plans = plans.or_else(|faults| wrong(&faults))?;
    if let Some(folder) = &args.out {
        let page = ("sheets.html".to_owned(), sheets_html::page(&plans, shop, today));
        interrupt::whole(|| folder::write(folder, &[page]))?;
    }
    out.write_all(sheets_text::plans(&plans, shop).as_bytes())?;
    Ok(())
}

/// The pieces of a file, each of a material of the shop.
fn pieces(file: &Path, shop: &Shop, material: Option<&str>) -> anyhow::Result<Vec<SheetPiece>> {
    let shown = file.display();
    let bytes = std::fs::read(file).map_err(|error| {
        WrongInput(format!("{shown}: cannot be read: {error} (name a CSV file of pieces)"))
    })?;
    let name = file.file_name().map(|name| name.to_string_lossy().into_owned());
    let read = read_pieces((&name.unwrap_or_default(), &bytes), &shop.settings, &shop.sheets);
    let mut pieces = read.map_err(|faults| {
        let count = faults.count();
        let plural = if count == 1 { "" } else { "s" };
        WrongInput(format!("{faults}\n{count} fault{plural} to mend in {shown}"))
    })?;
    pieces.retain(|piece| material.is_none_or(|material| material == piece.material));
    Ok(pieces)
}

/// How many of a size each size of whole sheet holds.
fn most_of(size: &str, shop: &Shop, stock: &[SheetStock]) -> anyhow::Result<String> {
    let read = shop.settings.read_size(size);
    let (width, height) = read.map_err(|fault| WrongInput(format!("--most: {fault}")))?;
    let wanted = WantedSize { width, height, turn: true, value: 1 };
    let mut text = String::new();
    for sheet in stock.iter().filter(|sheet| sheet.whole) {
        let rules = shop.sheet_rules.get(&sheet.material).copied().unwrap_or_default();
        match most((sheet.width, sheet.height), &[wanted], &rules) {
            Some(found) => {
                text += &sheets_text::most((sheet, &wanted, &found), &shop.settings.style());
            }
            None => {
                return Err(WrongInput(format!(
                    "--most: {size} is too small against {} to try every cut (ask for a larger \
                     size)",
                    sheet.label
                ))
                .into());
            }
        }
    }
    Ok(text)
}

/// What is said of a layout that does not stand.
fn wrong<T>(faults: &[SheetFault]) -> anyhow::Result<T> {
    anyhow::bail!(
        "the layout is wrong and is not shown; this is a mistake in Longpoint, please report it \
         with the shop folder and the pieces:\n{}",
        faults.join("\n")
    )
}
