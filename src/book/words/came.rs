//! What a delivery came to, in words.

use super::doubt::{taken_back, too_long};
use super::tickets;
use crate::book::Came;
use crate::report::either::either;
use crate::shop::Shop;

/// The sticks with their labels, and the frames that need no bench any more.
pub fn came_words(shop: &Shop, came: &Came) -> String {
    let style = shop.settings.style();
    let mut text = String::new();
    for stick in &came.sticks {
        let (id, moulding) = (&stick.id, &stick.moulding);
        text += &format!("{id}: {moulding}, {}", style.show_unit(stick.length));
        for (what, of) in [("lot", &stick.lot), ("at", &stick.place)] {
            if !of.is_empty() {
                text += &format!(", {what} {of}");
            }
        }
        text.push('\n');
    }
    if let Some((least, line)) = came.ordered {
        let short = came.sticks.iter().filter(|stick| stick.length < least);
        let short: Vec<&str> = short.map(|stick| stick.id.as_str()).collect();
        if !short.is_empty() {
            let (is, least) = (if short.len() == 1 { "is" } else { "are" }, style.show_unit(least));
            text += &format!(
                "{} {is} shorter than the {least} of line {line}: see that the invoice bills no more \
                 than came.\n",
                short.join(", ")
            );
        }
    }
    let ordered = came.ordered.map(|(least, _)| least);
    for stick in &came.sticks {
        let doubt = too_long(shop, &stick.moulding, (stick.length, ordered));
        if let Some(doubt) = doubt {
            text += &taken_back(&format!("{}: {doubt}", stick.id));
        }
    }
    if let Some(first) = came.sticks.first().filter(|_| came.as_one_lot) {
        let of = match came.ordered {
            Some(_) => "comes of that order",
            None => "is bought there",
        };
        text += &format!(
            "Taken as one lot, {}, with what else {of} on this day (where they are not, say \
             so{}).\n",
            first.lot,
            either(": \"longpoint correct STICK --lot LOT\"", " of the stick, under Rack")
        );
    }
    for stick in came.sticks.iter().filter(|stick| stick.length < shop.settings.keep) {
        text += &format!(
            "{} is shorter than any offcut that is kept here (is that its unit? {} takes it \
             back).\n",
            stick.id,
            either("\"longpoint undo\"", "UNDO")
        );
    }
    if !came.sticks.is_empty() {
        let print = either(" (longpoint labels prints them)", "");
        text += &format!("Label each on its marked end{print}.\n");
    }
    let frames = [&came.bought, &came.in_part, &came.cancelled];
    if came.sticks.is_empty() && frames.iter().all(|frames| frames.is_empty()) {
        text += "None of its frames is on the pile any more.\n";
    }
    if !came.cancelled.is_empty() {
        text += &format!(
            "Came chopped for nobody, since it is cancelled: {}. Ask whether they take it back.\n",
            tickets(shop, &came.cancelled)
        );
    }
    if came.open > 0 {
        text += &format!("{} of the line still to come.\n", came.open);
    }
    if !came.bought.is_empty() {
        text += &format!("Came chopped, nothing left to cut: {}.\n", tickets(shop, &came.bought));
    }
    if !came.in_part.is_empty() {
        text += &format!(
            "Came chopped in part, the other layers are still to be cut here: {}.\n",
            tickets(shop, &came.in_part)
        );
    }
    text
}
