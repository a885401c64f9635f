//! Boards and glass that were cut for tickets which ask for others now.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::cut_for_words;
use crate::book::{Book, BookError};
use crate::measure::Length;
use crate::report::either::either;
use crate::shop::{SheetPiece, Shop, piece_word};
use crate::ticket::{JobPiece, PieceSize, job_sheets};

/// What was cut for tickets as the shop had them before, and what becomes of it as it has them
/// now: it is wanted no more, or its window is another.
///
/// # Errors
/// If the book cannot be read, or a job does not stand up to its check.
pub fn recut_lines(book: &Book, was: &Shop, now: &Shop) -> Result<Vec<String>, BookError> {
    let (before, after) = (pieces(was)?, pieces(now)?);
    let style = now.settings.style();
    let size = |of: (Length, Length)| format!("{} x {}", style.show(of.0), style.show_unit(of.1));
    let mut lines = Vec::new();
    for (ticket, asked) in &before {
        let wanted = after.get(ticket);
        if wanted == Some(asked) {
            continue;
        }
        let mut unwanted = Vec::new();
        for cut in book.cut_pieces(ticket)? {
            let asked = asked.iter().find(|piece| is_cut(piece, &cut));
            let wanted = wanted.and_then(|all| all.iter().find(|piece| is_cut(piece, &cut)));
            match (asked.map(|piece| piece.opening), wanted.map(|piece| piece.opening)) {
                (Some(_), None) => unwanted.push(cut),
                (Some(Some(old)), Some(Some(new))) if old != new => lines.push(format!(
                    "{ticket}: its {} of {}, {}, is cut already with the old opening, {}, and {} is \
                     wanted now ({}).",
                    cut.what,
                    cut.material,
                    size((cut.width, cut.height)),
                    size(old),
                    size(new),
                    either(
                        &format!(
                            "longpoint spoil {} --frame {ticket} --piece {:?} has it cut anew",
                            book.path().display(),
                            cut.what
                        ),
                        "the office has it cut anew, by the command"
                    )
                )),
                _ => {}
            }
        }
        lines.extend(cut_for_words((book.path(), ticket), now, &unwanted));
    }
    Ok(lines)
}

/// What the jobs of a shop ask for, by their tickets.
fn pieces(shop: &Shop) -> Result<BTreeMap<String, Vec<JobPiece>>, BookError> {
    let all = shop.frames.iter().map(|frame| (frame, frame.copies));
    // No size depends on the day.
    let sheets = job_sheets(shop, all, Date::ZERO);
    let sheets = sheets.map_err(|faults| BookError::Damaged(faults.join("; ")))?;
    Ok(sheets.into_iter().map(|sheet| (sheet.frame.id, sheet.pieces)).collect())
}

fn is_cut(piece: &JobPiece, cut: &SheetPiece) -> bool {
    piece.material.as_ref() == Some(&cut.material)
        && piece_word(&piece.what.words()) == cut.what
        && piece.size == PieceSize::Sheet(cut.width, cut.height)
}
