//! A cancelled ticket in words.

use std::path::Path;

use super::placed::{goods, what};
use super::{count, left_behind, tickets};
use crate::book::{Cancelled, PlacedLine, line_of};
use crate::plan::Plan;
use crate::report;
use crate::report::either::either;
use crate::shop::{SheetPiece, Shop};

/// What putting a ticket back on the pile came to.
pub fn put_back_words(frame: &str, shop: &Shop, back: &Cancelled) -> String {
    let copies: Vec<(String, u32)> =
        back.copies.iter().map(|copy| (frame.to_owned(), *copy)).collect();
    let text = format!("On the pile again: {}.\n", tickets(shop, &copies));
    text + &left_behind(shop, back)
}

/// What cancelling a ticket came to.
pub fn cancelled_words((book, frame): (&Path, &str), shop: &Shop, cancelled: &Cancelled) -> String {
    let all = |copies: &[u32]| -> Vec<(String, u32)> {
        copies.iter().map(|copy| (frame.to_owned(), *copy)).collect()
    };
    let mut text = format!("Cancelled: {}.\n", tickets(shop, &all(&cancelled.copies)));
    if !cancelled.done.is_empty() {
        text += &format!("Chopped already: {}.\n", tickets(shop, &all(&cancelled.done)));
    }
    if !cancelled.made.is_empty() {
        text += &format!("Joined, and stays made: {}.\n", tickets(shop, &all(&cancelled.made)));
    }
    for line in &cancelled.lines {
        text += &format!(
            "Line {line} is on order, chopped, and was for it: ask the supplier; {}, first what nobody \
             waits for.\n",
            either(
                &format!(
                    "\"longpoint order {} --drop {line}\" gives it up, --drop {line}=1 one frame of it",
                    book.display()
                ),
                "GIVE UP under Orders gives it up, or some frames of it"
            )
        );
    }
    text += &left_behind(shop, cancelled);
    let pieces = cut_for_words((book, frame), shop, &cancelled.pieces);
    text + &pieces.map_or(String::new(), |words| words + "\n")
}

/// What of these lines is on order for nobody now that a ticket is cancelled: fewer sticks of
/// them are cut by the plan after it than by the one before.
pub fn idle_words(
    (book, shop): (&Path, &Shop),
    lines: &[PlacedLine],
    (before, after): (&Plan, &Plan),
) -> String {
    let idle = |line: &PlacedLine| {
        let used = |plan: &Plan| {
            let sticks = plan.order.coming.iter().filter_map(|stick| line_of(&stick.stick));
            sticks.filter(|own| *own == line.line).count()
        };
        used(before).saturating_sub(used(after))
    };
    lines.iter().map(|line| line_words(book, shop, (line, idle(line)))).collect()
}

/// That so many sticks of a line are on order for nobody now; nothing if none is.
fn line_words(book: &Path, shop: &Shop, (line, idle): (&PlacedLine, usize)) -> String {
    if idle == 0 {
        return String::new();
    }
    let number = line.line;
    let sticks = count(idle, "stick", "sticks");
    // Customers look over the counter.
    let what = either(&what(shop, line), &goods(shop, line));
    let from = report::words::from(shop, &line.supplier);
    let is_all = u32::try_from(idle).is_ok_and(|idle| idle >= line.to_come());
    let (some, gives) = match (is_all, line.form.as_str()) {
        (true, _) => (String::new(), "gives the line up"),
        (false, "length") => (format!("={idle}"), "gives up no more than that"),
        // Of boxes whoever reads it knows how many that are.
        (false, _) => ("=1".to_owned(), "gives up one of it"),
    };
    let drop = either(
        &format!("; \"longpoint order {} --drop {number}{some}\" {gives}", book.display()),
        "; GIVE UP under Orders gives the line up, or some of it",
    );
    format!(
        "On order for nobody now: {sticks} of {what}{from}. Ask whether they take back what is not \
         needed; else it is for the rack{drop}.\n"
    )
}

/// What was cut of boards and glass for a ticket that asks for it no more, and how what can be
/// used again is kept.
pub fn cut_for_words(
    (book, frame): (&Path, &str),
    shop: &Shop,
    pieces: &[SheetPiece],
) -> Option<String> {
    let style = shop.settings.style();
    let first = pieces.first()?;
    let each: Vec<String> = pieces
        .iter()
        .map(|of| {
            let alike = if of.cut > 1 { format!("{} x ", of.cut) } else { String::new() };
            let size = format!("{} x {}", style.show(of.width), style.show_unit(of.height));
            format!("{alike}{} of {}, {size}", of.what, of.material)
        })
        .collect();
    let keep = either(
        &format!(
            ": longpoint receive {} --material {} --size {:?} --remnant, as large as it is whole",
            book.display(),
            first.material,
            format!("{} x {}", style.show(first.width), style.show(first.height))
        ),
        " at the office, by the command",
    );
    Some(format!(
        "Cut for {frame} already, of boards and glass: {}. What no other copy takes and can be used \
         again is put back as a remnant{keep}; of a mat that has its window, no more than is left of it.",
        each.join("; ")
    ))
}
