//! Boards and glass in the words of the commands that take sticks as well.

use super::opened::done;
use crate::book::Book;
use crate::book::words::{count, shown_sheet};
use crate::cli::exit::WrongInput;
use crate::measure::Length;
use crate::shop::{SheetStock, Shop};

/// The size of a board or of glass.
///
/// # Errors
/// If it is none.
pub(super) fn size(text: &str, shop: &Shop) -> Result<(Length, Length), WrongInput> {
    shop.settings.read_size(text).map_err(|fault| WrongInput(format!("--size: {fault}")))
}

/// Whether these labels are all of boards and glass.
///
/// # Errors
/// If some are and some are not.
pub(super) fn are_sheets(book: &Book, labels: &[String]) -> anyhow::Result<bool> {
    let mut sheets = 0;
    for label in labels {
        sheets += usize::from(done(book.is_sheet(label))?);
    }
    if sheets > 0 && sheets < labels.len() {
        let words = "some of these are boards or glass and some are not (name them apart)";
        return Err(WrongInput(words.to_owned()).into());
    }
    Ok(sheets > 0)
}

/// What was otherwise.
pub(super) fn corrected_words(shop: &Shop, was: &SheetStock, is: &SheetStock) -> String {
    let of = |stock: &SheetStock| match stock.whole {
        true => format!("{}, {} there", shown_sheet(shop, stock), stock.count),
        false => shown_sheet(shop, stock),
    };
    match was == is {
        true => format!("{}: as the book has it.", is.label),
        false => {
            let gone = was.count.saturating_sub(is.count) as usize;
            let gone = match gone {
                0 => String::new(),
                gone => format!(" Written off: {}.", count(gone, "whole sheet", "whole sheets")),
            };
            format!("{}.\nIn the book before: {}.{gone}", of(is), of(was))
        }
    }
}

/// What was written off.
pub(super) fn scrapped_words(shop: &Shop, gone: &[SheetStock]) -> String {
    let line = |stock: &SheetStock| match stock.count {
        0 => format!("{}; a size that is bought no more.\n", shown_sheet(shop, stock)),
        before if stock.whole => format!(
            "{}; one written off, {} there now.\n",
            shown_sheet(shop, stock),
            count(before as usize - 1, "whole sheet", "whole sheets")
        ),
        _ => format!("{}; written off.\n", shown_sheet(shop, stock)),
    };
    gone.iter().map(line).collect()
}

/// What broke.
pub(super) fn broken_words(
    shop: &Shop,
    (ticket, what): (&str, &str),
    (material, (width, height)): (&str, (Length, Length)),
) -> String {
    let style = shop.settings.style();
    format!(
        "{ticket} {what}: {} x {} of {material} is spoiled; it is cut again as long as the list of \
         pieces has it.",
        style.show(width),
        style.show_unit(height)
    )
}
