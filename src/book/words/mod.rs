//! What the book is told and tells in words: the same for every command and on every page.

mod came;
mod cancel;
mod changed;
mod count;
mod doubt;
mod finish;
mod given_up;
mod placed;
mod rack;
mod recut;
mod refresh;
mod replan;
mod sheets;
mod spoiled;
mod stick;

pub use came::came_words;
pub use cancel::{cancelled_words, cut_for_words, idle_words, put_back_words};
pub use changed::{price_words, promise_words};
pub use count::{count_corrected, count_words};
pub use doubt::{far_off, is_far, too_far, too_long};
pub use finish::finish_words;
pub use given_up::given_up_words;
pub use placed::{
    FramesByLine, goods, head, is_overdue, listing, ordered_words, placed_words, stands, what,
};
pub use rack::{age, flaws};
pub use recut::recut_lines;
pub use refresh::{refresh_lines, ticket_words};
pub use replan::replan_words;
pub use sheets::{sheets_came_words, shown_sheet};
pub use spoiled::spoiled_words;
pub use stick::{corrected_words, measured_words, scrapped_words, sheet_note};

use std::path::Path;

use crate::book::{Assembly, BenchRail, Cancelled, Given, OwedRail, StickLayout, Taken};
use crate::measure::Length;
use crate::rails::Side;
use crate::report::either::either;
use crate::report::name;
use crate::shop::Shop;

/// `4101`, or `4113 (2/6)` where there are several.
pub fn ticket(shop: &Shop, frame: &str, copy: u32) -> String {
    name::ticket(frame, copy, shop.frame(frame).map_or(1, |frame| frame.copies))
}

/// That a frame copy is joined, and when its glue has set where that is known; or that it
/// is fitted.
pub fn made_words(
    shop: &Shop,
    (frame, copy): (&str, u32),
    made: Assembly,
    more: Option<String>,
) -> String {
    let more = more.map_or(String::new(), |more| format!(" {more}"));
    format!("{} is {}.{more}", ticket(shop, frame, copy), made.word())
}

/// Frame copies as a list.
pub fn tickets(shop: &Shop, copies: &[(String, u32)]) -> String {
    let all: Vec<String> = copies.iter().map(|(frame, copy)| ticket(shop, frame, *copy)).collect();
    all.join(", ")
}

/// `4101 top`, with the layer where there are several.
pub fn rail(shop: &Shop, rail: &BenchRail) -> String {
    side(shop, (&rail.frame, rail.copy), rail.layer, rail.side)
}

/// A side of a frame copy as it is spoken of.
pub fn side(shop: &Shop, (frame, copy): (&str, u32), layer: usize, side: Side) -> String {
    let layers = shop.frame(frame).map_or(1, |frame| frame.layers.len());
    let layer = if layers > 1 { format!(", layer {layer}") } else { String::new() };
    format!("{} {}{layer}", ticket(shop, frame, copy), name::side(side))
}

/// A rail that is owed of a frame whose day is over.
pub fn owed_on_pile(shop: &Shop, owed: &OwedRail) -> String {
    let rail = side(shop, (&owed.frame, owed.copy), owed.layer, owed.side);
    format!("OWED {rail} in {}: it is on the pile, and the next plan has it.", owed.moulding)
}

/// A rail of a ticket that was cancelled, as it lies there.
pub fn spare(book: &Path, shop: &Shop, lay: &StickLayout, spare: &BenchRail) -> String {
    format!(
        "SPARE {} (the next plan that can use it takes it; longpoint scrap {} {} writes it off).",
        spare_is(shop, lay, spare),
        book.display(),
        spare.spare_label()
    )
}

/// What a spare rail is and was.
pub fn spare_is(shop: &Shop, lay: &StickLayout, spare: &BenchRail) -> String {
    let long = shop.settings.style().show_unit(spare.to - spare.from);
    let lot = if lay.lot.is_empty() { String::new() } else { format!(", lot {}", lay.lot) };
    let (moulding, stick, label) = (&lay.moulding, &lay.stick, spare.spare_label());
    let rail = rail(shop, spare);
    format!("{label}: {long} of {moulding}{lot}, cut from {stick} for {rail}")
}

/// What is done with the rest of a stick from which nothing more is cut: how much, and under
/// which label, if it is kept.
pub fn rest(shop: &Shop, left: Length, label: &str) -> String {
    let style = shop.settings.style();
    match label {
        "" => format!("SCRAP {}", style.show_unit(left)),
        label => format!("KEEP {}, write {label} on it", style.show_down_unit(left)),
    }
}

/// A spare rail that is there in place of one to be cut.
pub fn given(shop: &Shop, given: &Given) -> String {
    let (from, rail) = (&given.stick, rail(shop, &given.rail));
    format!("Spare rail {}, cut from {from}, is {rail}.", given.label)
}

/// What is left of copies that are not cut as they were: spare rails, and sticks that
/// others share.
pub fn left_behind(shop: &Shop, gone: &Cancelled) -> String {
    let style = shop.settings.style();
    let mut text = String::new();
    for (stick, spare) in &gone.spare {
        let long = style.show_unit(spare.to - spare.from);
        let (label, rail) = (spare.spare_label(), rail(shop, spare));
        text += &format!(
            "Spare now: {rail}, cut from {stick}, {long}. Write {label} on it{}.\n",
            either(" (longpoint bench lists spare rails)", "")
        );
    }
    for closed in &gone.closed {
        let left = style.show_unit(closed.left.length);
        let after = match closed.left.keep {
            true => format!("keep {left}, label it {}", closed.left.label),
            false => format!("scrap {left}"),
        };
        text += &format!(
            "On {} the other cuts stay, with their stops, and move up; then {after}.\n",
            closed.stick
        );
    }
    for (stick, length, label) in &gone.rests {
        let (rest, press) =
            (rest(shop, *length, label), if label.is_empty() { "SCRAP" } else { "KEPT" });
        let how = either(
            &format!("longpoint cut ... {stick} ticks that off"),
            &format!("at the Bench, {press}"),
        );
        text += &format!("Nothing more is cut from {stick}: {rest} ({how}).\n");
    }
    if !gone.freed.is_empty() {
        let each = gone.freed.iter().map(|(stick, place)| match place.as_str() {
            "" => stick.clone(),
            place => format!("{stick} ({place})"),
        });
        let each = each.collect::<Vec<_>>().join(", ");
        let are = if gone.freed.len() == 1 { "is" } else { "are" };
        text += &format!("{each} {are} whole again: back to the rack.\n");
    }
    if !gone.closed.is_empty() {
        let print = either("longpoint bench --out prints", "Print has");
        text += &format!("A sheet that is printed shows what was: {print} it as it is now.\n");
    }
    if !gone.replaced.is_empty() {
        let sticks = gone.replaced.join(", ");
        let again = either("longpoint replan", "at the Bench, PLAN THE REST AGAIN");
        text += &format!("What others have on {sticks} is laid out anew: {again}.\n");
    }
    text
}

/// That a plan is at the bench.
pub fn taken_words(taken: &Taken) -> String {
    format!("Plan {} is at the bench; its sticks are taken.", taken.job)
}

/// `1 stick`, `2 sticks`.
pub fn count(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}
