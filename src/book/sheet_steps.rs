//! Boards and glass that come, are written off, or are otherwise than the book has them.

use super::error::{BookError, THIS_BOOK, wrong};
use super::field::Field;
use super::ledger::Book;
use super::sheet_rack::{self, SheetMove};
use super::stamp::Stamp;
use super::step::Step;
use super::{on_order, source_files, spelt};
use crate::measure::Length;
use crate::report::either::either;
use crate::sheet_order::SHEET;
use crate::shop::{SheetRules, SheetStock, nearest};

/// Boards or glass that came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetDelivery {
    /// Of what they are.
    pub material: String,
    /// The size of each.
    pub size: (Length, Length),
    /// How many.
    pub count: u32,
    /// Whether they are remnants, each with a label of its own.
    pub remnant: bool,
    /// Where they are put.
    pub place: String,
}

/// What was found to be otherwise; what is `None` is as the book has it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SheetCorrection {
    /// Its size.
    pub size: Option<(Length, Length)>,
    /// How many there are.
    pub count: Option<u32>,
    /// Where they stand.
    pub place: Option<String>,
}

impl Book {
    /// The boards and glass that are there, and the sizes that are bought.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn sheets(&self) -> Result<Vec<SheetStock>, BookError> {
        self.look(|db| Ok(sheet_rack::all(db)?.into_iter().map(|row| row.stock).collect()))
    }

    /// Whether a label is of a board or of glass.
    ///
    /// # Errors
    /// If the book cannot be read.
    pub fn is_sheet(&self, label: &str) -> Result<bool, BookError> {
        self.look(|db| Ok(sheet_rack::found(db, label)?.is_some()))
    }

    /// Takes sheets in: whole ones to the pile of their size, if it stands at that place, or
    /// wherever it stands if no place is said; else to a new one. Gives what they came to.
    ///
    /// # Errors
    /// If the material is not known.
    pub fn receive_sheets(
        &mut self,
        came: &SheetDelivery,
        stamp: &Stamp,
    ) -> Result<Vec<SheetStock>, BookError> {
        self.change("receive", stamp, |step| take_in(step, came))
    }

    /// Takes in so many sheets of a line of an order, or all that are still to come of it.
    /// Gives what they came to, and how many are still to come.
    ///
    /// # Errors
    /// If the line is not open or not of sheets, or not so many are to come.
    pub fn receive_sheet_line(
        &mut self,
        (line, count): (i64, Option<u32>),
        place: &str,
        stamp: &Stamp,
    ) -> Result<(SheetDelivery, Vec<SheetStock>, u32), BookError> {
        self.change("receive", stamp, |step| {
            let open = on_order::arriving(step, line)?;
            let lacks = open.to_come();
            let count = count.unwrap_or(lacks);
            if open.form != SHEET {
                return wrong(format!(
                    "line {line} is of {}, which is no board and no glass (say its {})",
                    open.moulding,
                    either("--length", "length")
                ));
            }
            if count == 0 || count > lacks {
                return wrong(format!(
                    "{count} came, and of line {line} {lacks} are still to come (receive {lacks} \
                     against the line, and what was sent beyond it {})",
                    either(
                        &format!("with --material {} --size", open.moulding),
                        "at the office, by the command"
                    )
                ));
            }
            let came = SheetDelivery {
                material: open.moulding.clone(),
                size: (open.length, open.piece),
                count,
                remnant: false,
                place: place.to_owned(),
            };
            let stocks = take_in(step, &came)?;
            step.set(Field::LineCame, line, i64::from(open.came + count))?;
            if count == lacks {
                step.set(Field::LineState, line, "in".to_owned())?;
            }
            Ok((came, stocks, lacks - count))
        })
    }

    /// Writes off remnants, one sheet of a pile for each time that it is named, or a size that
    /// is bought no more. All or none. Gives each as it was before.
    ///
    /// # Errors
    /// If one is not there, or is named more often than there are.
    pub fn scrap_sheets(
        &mut self,
        labels: &[String],
        stamp: &Stamp,
    ) -> Result<Vec<SheetStock>, BookError> {
        self.change("scrap", stamp, |step| {
            let mut gone = Vec::new();
            for label in labels {
                let row = sheet_rack::named(step.db(), label)?;
                let stock = &row.stock;
                let is_again = gone.iter().any(|before: &SheetStock| before.label == stock.label);
                if stock.count > 0 {
                    step.sheets_moved((row.id, stock), SheetMove::Scrap, -1, None)?;
                } else if is_again {
                    return wrong(format!(
                        "{} is named more often than there are (name it once for each sheet)",
                        stock.label
                    ));
                } else {
                    step.set(Field::SheetState, row.id, "gone".to_owned())?;
                }
                gone.push(row.stock);
            }
            Ok(gone)
        })
    }

    /// Corrects a pile or a remnant; what a pile has fewer is written off. Gives it as it was
    /// and as it is.
    ///
    /// # Errors
    /// If it is not there, or a remnant is said to be several.
    pub fn correct_sheet(
        &mut self,
        label: &str,
        correction: &SheetCorrection,
        stamp: &Stamp,
    ) -> Result<(SheetStock, SheetStock), BookError> {
        self.change("correct", stamp, |step| {
            let row = sheet_rack::named(step.db(), label)?;
            let was = row.stock;
            let mut is = was.clone();
            (is.width, is.height) = correction.size.unwrap_or((was.width, was.height));
            is.count = correction.count.unwrap_or(was.count);
            if !was.whole && is.count != 1 {
                return wrong(format!(
                    "{0} is a remnant, which is one (longpoint scrap {THIS_BOOK} {0} writes it off)",
                    was.label
                ));
            }
            if let Some(place) = &correction.place {
                is.place = spelt::place(step.db(), place)?;
                step.set(Field::SheetPlace, row.id, is.place.clone())?;
            }
            let there = SheetStock { count: was.count.min(is.count), ..was.clone() };
            let fewer = i64::from(was.count - there.count);
            step.sheets_moved((row.id, &was), SheetMove::Scrap, -fewer, None)?;
            counted(step, row.id, &there, &is)?;
            Ok((was, is))
        })
    }
}

/// Takes sheets in.
fn take_in(step: &Step, came: &SheetDelivery) -> Result<Vec<SheetStock>, BookError> {
    let known = sheet_rack::all(step.db())?;
    let rules = rules_of(step, came, &known)?;
    let place = spelt::place(step.db(), &came.place)?;
    if !came.remnant {
        let is_pile = |stock: &SheetStock| {
            stock.whole
                && stock.material == came.material
                && is_alike(stock, came.size, &rules)
                && (place.is_empty() || stock.place == place)
        };
        if let Some(pile) = known.into_iter().find(|row| is_pile(&row.stock)) {
            let count = i64::from(came.count);
            step.sheets_moved((pile.id, &pile.stock), SheetMove::Received, count, None)?;
            let count = pile.stock.count + came.count;
            return Ok(vec![SheetStock { count, ..pile.stock }]);
        }
    }
    let (rows, each) = if came.remnant { (came.count, 1) } else { (1, came.count) };
    let mut stocks = Vec::new();
    for _ in 0..rows {
        let stock = SheetStock {
            label: step.label()?,
            material: came.material.clone(),
            width: came.size.0,
            height: came.size.1,
            whole: !came.remnant,
            count: each,
            place: place.clone(),
            note: String::new(),
        };
        let id = step.sheet(&stock, None)?;
        step.sheets_moved((id, &stock), SheetMove::Received, i64::from(each), None)?;
        stocks.push(stock);
    }
    Ok(stocks)
}

/// Writes down that a pile or remnant has another size or number.
pub(super) fn counted(
    step: &Step,
    id: i64,
    was: &SheetStock,
    is: &SheetStock,
) -> Result<(), BookError> {
    let (before, now) = (i64::from(was.count), i64::from(is.count));
    if (was.width, was.height) == (is.width, is.height) {
        return step.sheets_moved((id, is), SheetMove::Counted, now - before, None);
    }
    step.sheets_moved((id, was), SheetMove::Counted, -before, None)?;
    step.sheets_moved((id, is), SheetMove::Counted, now, None)?;
    step.set(Field::SheetWidth, id, is.width.nm())?;
    step.set(Field::SheetHeight, id, is.height.nm())
}

/// Whether a sheet of this size stands on that pile: turned it is the same, unless there is a
/// grain.
fn is_alike(stock: &SheetStock, (width, height): (Length, Length), rules: &SheetRules) -> bool {
    let size = (stock.width, stock.height);
    size == (width, height) || (!rules.grain && size == (height, width))
}

/// How the material is cut, if the shop or its stock has it, so that a slip makes no new one.
fn rules_of(
    step: &Step,
    came: &SheetDelivery,
    stock: &[sheet_rack::SheetRow],
) -> Result<SheetRules, BookError> {
    let shop = source_files::typed(step.db())?;
    let stocked = stock.iter().map(|row| row.stock.material.as_str());
    let sold = shop.materials.values().filter(|material| material.kind.is_sheet());
    let sold = sold.map(|material| material.id.as_str());
    let ruled = shop.sheet_rules.keys().map(String::as_str);
    let mut known: Vec<&str> = stocked.chain(ruled).chain(sold).collect();
    known.sort_unstable();
    known.dedup();
    if known.contains(&came.material.as_str()) {
        return Ok(shop.sheet_rules.get(&came.material).copied().unwrap_or_default());
    }
    // Few letters are another, or more are missing at the end.
    let typed = spelt::plain(&came.material);
    let begins: Vec<&str> = known
        .iter()
        .filter(|code| !typed.is_empty() && spelt::plain(code).starts_with(&typed))
        .copied()
        .collect();
    let near = nearest(&came.material, known.into_iter());
    let mend = match (begins.is_empty(), near) {
        (false, _) => format!("did you mean {}?", begins.join(" or ")),
        (true, Some(near)) => format!("did you mean {near}?"),
        (true, None) => format!(
            "write [sheet.\"{}\"] with cut into shop.toml, then longpoint refresh {THIS_BOOK}",
            came.material
        ),
    };
    wrong(format!("no board and no glass is called {:?} ({mend})", came.material))
}
