//! `longpoint sheets`: boards and glass, what stands there and what is cut from what.

use std::io::Write;
use std::path::{Path, PathBuf};

use jiff::civil::Date;

use super::book::opened::{done, open_book, while_others_write};
use super::book::signed::Signed;
use super::exit::{WrongInput, jobs_stand};
use super::{clock, interrupt, shop};
use crate::report::text::paged;
use crate::report::{folder, sheets_csv, sheets_html, sheets_json, sheets_text};
use crate::sheet_order::{left_out, of_jobs, stock_and_sold};
use crate::sheets::{SheetFault, SheetPlan, WantedSize, label_after, most, plan_sheets};
use crate::shop::{SheetPiece, SheetStock, Shop, nearest, read_pieces};
use crate::ticket::{disagreements, job_sheets, with_drop_outs};

/// No list is longer.
const MOST_PIECES: u64 = 5000;

/// What `longpoint sheets` is told.
#[derive(Debug, clap::Args)]
pub struct SheetsArgs {
    /// The shop folder, or a book
    pub dir: PathBuf,
    /// The pieces that are wanted: a CSV file with ticket, material, what, width, height, count
    /// and turn
    #[arg(long, value_name = "FILE")]
    pub pieces: Option<PathBuf>,
    /// In place of a list, the boards and glazing of all jobs on the pile
    #[arg(long, conflicts_with_all = ["pieces", "size", "most"])]
    pub jobs: bool,
    /// Only this material
    #[arg(long, value_name = "M", value_parser = super::book::signed::code)]
    pub material: Option<String>,
    /// In place of a list, one piece of this size, such as 16x20: the tightest remnant for it,
    /// and which way to cut that
    #[arg(long, value_name = "WxH", requires = "material", conflicts_with = "pieces")]
    pub size: Option<String>,
    /// The ticket that the piece is for
    #[arg(long, value_name = "TICKET", requires = "size",
          value_parser = super::book::signed::code)]
    pub ticket: Option<String>,
    /// How many of this size a whole sheet holds, such as 8x10
    #[arg(long, value_name = "WxH", conflicts_with_all = ["pieces", "size"])]
    pub most: Option<String>,
    /// Write down in the book that all of it is cut: what is used goes, remnants get labels
    #[arg(long)]
    pub cut: bool,
    /// What falls out of the windows of mats is kept as well, as far as it is worth keeping,
    /// and gets its label
    #[arg(long, requires = "cut")]
    pub drop_outs: bool,
    /// Print it for other programs
    #[arg(long, conflicts_with = "most")]
    pub json: bool,
    /// Also write sheets.html and sheet-cuts.csv here
    #[arg(long, value_name = "OUT")]
    pub out: Option<PathBuf>,
    /// The day on the page; without it, that of the step
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = clock::date)]
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
    let stock = stock_of(args, &shop);
    let is_made = |material: &&String| shop.is_made_to_size(material);
    if let Some(material) = args.material.as_ref().filter(|of| stock.is_empty() && !is_made(of)) {
        let known = shop.sheets.iter().map(|sheet| sheet.material.as_str());
        let mend = match nearest(material, known) {
            Some(near) => format!("did you mean {near}?"),
            None => "write its sheets there".to_owned(),
        };
        let words = format!("--material: {material:?} is not in sheets.csv ({mend})");
        return Err(WrongInput(words).into());
    }
    let pieces = if args.jobs {
        Some(jobs_stand(of_jobs(&shop, args.signed.date(args.today)?))?)
    } else {
        wanted(args, &shop)?
    };
    if let Some(mut pieces) = pieces {
        pieces.retain(|piece| is_asked(args, &piece.material));
        if args.pieces.is_some() {
            say(args, out, &disagreed(&pieces, &shop)?)?;
        }
        let left_out = left_out(&shop, &mut pieces, &stock);
        say(args, out, &left_out.map_or_else(String::new, |words| paged(&words)))?;
        return planned(args, &shop, (&stock, pieces), out);
    }
    if args.cut || args.out.is_some() {
        let words = "say what is to be cut: --pieces FILE, --jobs, or --material M --size WxH";
        return Err(WrongInput(words.to_owned()).into());
    }
    let text = match &args.most {
        Some(size) => most_of(args, size, (&shop, &stock))?,
        None => {
            let stock: Vec<SheetStock> = shop
                .sheets
                .iter()
                .filter(|sheet| is_asked(args, &sheet.material))
                .cloned()
                .collect();
            match args.json {
                true => sheets_json::stock(&stock, &shop),
                false => sheets_text::stock(&stock, &shop),
            }
        }
    };
    out.write_all(text.as_bytes())?;
    Ok(())
}

fn planned(
    args: &SheetsArgs,
    shop: &Shop,
    (stock, mut pieces): (&[SheetStock], Vec<SheetPiece>),
    out: &mut dyn Write,
) -> anyhow::Result<()> {
    if args.dir.is_file() {
        // Nothing more falls out of what is cut.
        done(open_book(&args.dir)?.mark_cut(&mut pieces))?;
    }
    let offered = drop_outs(args, shop, &mut pieces)?;
    let plans = match (args.dir.is_file(), args.cut) {
        (true, true) => cut(args, pieces, out)?,
        (true, false) => {
            say(args, out, &cut_already(&pieces))?;
            // What is kept has its label once it is cut.
            let plans = plan_sheets((stock, &shop.sheet_rules), &pieces, |_| String::new());
            plans.or_else(|faults| wrong(&faults))?
        }
        (false, true) => {
            return Err(WrongInput(format!(
                "--cut: {0} is a folder, which keeps no count (begin a book with \"longpoint open \
                 shop.book --from {0}\")",
                args.dir.display()
            ))
            .into());
        }
        (false, false) => {
            let names = shop.sheets.iter().map(|sheet| sheet.label.as_str());
            let names = names.chain(shop.rack.iter().map(|stick| stick.id.as_str()));
            let plans = plan_sheets((stock, &shop.sheet_rules), &pieces, label_after(names));
            plans.or_else(|faults| wrong(&faults))?
        }
    };
    let text = match args.json {
        true => sheets_json::plans(&plans, shop),
        false => sheets_text::plans(&plans, shop),
    };
    out.write_all(text.as_bytes())?;
    if args.cut {
        say(args, out, &sheets_text::written_down(&plans, &shop.settings.style()))?;
    }
    say(args, out, &offered)?;
    if let Some(folder) = &args.out {
        let today = args.signed.date(args.today)?;
        let page = ("sheets.html".to_owned(), sheets_html::page(&plans, None, shop, today));
        let cuts = ("sheet-cuts.csv".to_owned(), sheets_csv::cuts(&plans, shop));
        interrupt::whole(|| folder::write(folder, &[page, cuts]))?;
    }
    Ok(())
}

/// What is left out and why: beside the answer where that is for other programs.
fn say(args: &SheetsArgs, out: &mut dyn Write, words: &str) -> anyhow::Result<()> {
    match args.json {
        true => eprint!("{words}"),
        false => out.write_all(words.as_bytes())?,
    }
    Ok(())
}

/// Plans on a look at the book and writes down that it is cut, if the book is still the same.
/// What would be cut from sheets that are still to be bought stays wanted.
fn cut(
    args: &SheetsArgs,
    pieces: Vec<SheetPiece>,
    out: &mut dyn Write,
) -> anyhow::Result<Vec<SheetPlan>> {
    let stamp = args.signed.stamp()?;
    let mut book = open_book(&args.dir)?;
    while_others_write(&mut book, |book| {
        let snapshot = done(book.snapshot())?;
        let shop = &snapshot.shop;
        let stock = stock_of(args, shop);
        let mut pieces = pieces.clone();
        done(book.mark_cut(&mut pieces))?;
        let plans = plan_sheets((&stock, &shop.sheet_rules), &pieces, |_| String::new());
        let plans = plans.or_else(|faults| wrong(&faults))?;
        let cut = book.cut_sheets((&snapshot, &plans), &stamp);
        if cut.is_ok() {
            say(args, out, &cut_already(&pieces))?;
        }
        Ok(cut)
    })
}

/// What falls out of the windows of these pieces: kept where that is asked for, else said, as
/// far as it is worth keeping.
fn drop_outs(args: &SheetsArgs, shop: &Shop, pieces: &mut [SheetPiece]) -> anyhow::Result<String> {
    let pile = shop.frames.iter().map(|frame| (frame, frame.copies));
    // No size depends on the day.
    let jobs = jobs_stand(job_sheets(shop, pile, Date::ZERO))?;
    with_drop_outs((shop, &jobs), pieces);
    if args.drop_outs {
        return Ok(String::new());
    }
    let style = shop.settings.style();
    let mut offered = Vec::new();
    for piece in pieces.iter_mut() {
        let Some((width, height)) = piece.drop_out.take() else { continue };
        let rules = shop.sheet_rules.get(&piece.material).copied().unwrap_or_default();
        if args.dir.is_file() && rules.keeps(width, height) && piece.cut < piece.count {
            let size = format!("{} x {}", style.show(width), style.show_unit(height));
            let alike = match piece.count - piece.cut {
                1 => String::new(),
                more => format!("{more} x "),
            };
            offered.push(format!("{} {} {alike}{size}", piece.ticket, piece.what));
        }
    }
    let how = if args.cut { "and was not kept" } else { "and is kept with --cut --drop-outs" };
    Ok(match offered.is_empty() {
        true => String::new(),
        false => paged(&format!(
            "What falls out of these windows is large enough to keep, {how}: {}.",
            offered.join("; ")
        )),
    })
}

/// What of a list is cut already, in a line.
fn cut_already(pieces: &[SheetPiece]) -> String {
    let words = |piece: &SheetPiece| {
        let what = format!("{} {}", piece.ticket, piece.what);
        match piece.count {
            1 => what.trim_end().to_owned(),
            all => format!("{} ({} of {all})", what.trim_end(), piece.cut),
        }
    };
    let cut: Vec<String> = pieces.iter().filter(|piece| piece.cut > 0).map(words).collect();
    match cut.is_empty() {
        true => String::new(),
        false => paged(&format!("Cut already, and left out: {}.", cut.join(", "))) + "\n",
    }
}

/// The pieces that are to be cut, of a list or the one that is asked for; `None` if nothing
/// is.
fn wanted(args: &SheetsArgs, shop: &Shop) -> anyhow::Result<Option<Vec<SheetPiece>>> {
    if let Some(file) = &args.pieces {
        return pieces(file, shop).map(Some);
    }
    let Some((size, material)) = args.size.as_ref().zip(args.material.as_ref()) else {
        return Ok(None);
    };
    let read = shop.settings.read_size(size);
    let (width, height) = read.map_err(|fault| WrongInput(format!("--size: {fault}")))?;
    if args.cut && args.ticket.is_none() {
        let words = "--ticket: say for which ticket it is cut (the same is not cut twice)";
        return Err(WrongInput(words.to_owned()).into());
    }
    let ticket = args.ticket.clone().unwrap_or_else(|| "piece".to_owned());
    let turn = shop.may_turn(material);
    let (material, what) = (material.clone(), String::new());
    let (count, cut, drop_out) = (1, 0, None);
    let piece = SheetPiece { ticket, material, what, width, height, count, cut, turn, drop_out };
    Ok(Some(vec![piece]))
}

/// Whether it is asked about a material.
fn is_asked(args: &SheetsArgs, material: &str) -> bool {
    args.material.as_ref().is_none_or(|asked| asked == material)
}

/// What stands there of what is asked about, or can be bought of it.
fn stock_of(args: &SheetsArgs, shop: &Shop) -> Vec<SheetStock> {
    let mut stock = stock_and_sold(shop);
    stock.retain(|sheet| is_asked(args, &sheet.material));
    stock
}

/// What a list and the jobs of its tickets disagree on.
fn disagreed(pieces: &[SheetPiece], shop: &Shop) -> anyhow::Result<String> {
    let pile = shop.frames.iter().map(|frame| (frame, frame.copies));
    // No size depends on the day.
    let jobs = jobs_stand(job_sheets(shop, pile, Date::ZERO))?;
    let lines = disagreements((shop, &jobs), pieces, &shop.settings.style());
    let said = lines.iter().map(|line| paged(&format!("! {line}.")));
    Ok(said.collect())
}

/// The pieces of a file, each of a material of the shop.
pub(super) fn pieces(file: &Path, shop: &Shop) -> anyhow::Result<Vec<SheetPiece>> {
    let shown = file.display();
    let bytes = std::fs::read(file).map_err(|error| {
        WrongInput(format!("{shown}: cannot be read: {error} (name a CSV file of pieces)"))
    })?;
    let name = file.file_name().map(|name| name.to_string_lossy().into_owned());
    let read = read_pieces((&name.unwrap_or_default(), &bytes), shop);
    let pieces = read.map_err(|faults| {
        let count = faults.count();
        let plural = if count == 1 { "" } else { "s" };
        WrongInput(format!("{faults}\n{count} fault{plural} to mend in {shown}"))
    })?;
    let all: u64 = pieces.iter().map(|piece| u64::from(piece.count)).sum();
    if all > MOST_PIECES {
        let words = format!("{shown}: {all} pieces, more than {MOST_PIECES} (cut fewer at a time)");
        return Err(WrongInput(words).into());
    }
    Ok(pieces)
}

/// How many of a size each size of whole sheet holds.
fn most_of(
    args: &SheetsArgs,
    size: &str,
    (shop, stock): (&Shop, &[SheetStock]),
) -> anyhow::Result<String> {
    let read = shop.settings.read_size(size);
    let (width, height) = read.map_err(|fault| WrongInput(format!("--most: {fault}")))?;
    let mut text = String::new();
    for material in shop.materials.keys().filter(|id| is_asked(args, id)) {
        if shop.is_made_to_size(material) {
            text += &paged(&format!("{material} is toughened glass: nothing is cut out of it."));
        }
    }
    for sheet in stock.iter().filter(|of| of.whole && !shop.is_made_to_size(&of.material)) {
        let turn = shop.may_turn(&sheet.material);
        let wanted = WantedSize { width, height, turn, value: 1 };
        let rules = shop.sheet_rules.get(&sheet.material).copied().unwrap_or_default();
        let held = |rules| most((sheet.width, sheet.height), &[wanted], &rules);
        match (held(rules), held(rules.unbroken())) {
            (Some(found), Some(bound)) => {
                let counts = (found.pieces.len(), bound.pieces.len());
                text += &sheets_text::most((sheet, &wanted), counts, &shop.settings.style());
            }
            _ => {
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
pub(super) fn wrong<T>(faults: &[SheetFault]) -> anyhow::Result<T> {
    anyhow::bail!(
        "the layout is wrong and is not shown; this is a mistake in Longpoint, please report it \
         with the shop folder and the pieces:\n{}",
        faults.join("\n")
    )
}
