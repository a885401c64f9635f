//! What a day came to, in words.

use super::{count, owed_on_pile, tickets};
use crate::book::Finished;
use crate::shop::Shop;

/// Which frames are chopped, what is back on the pile, and what went to the rack.
pub fn finish_words(shop: &Shop, finished: &Finished) -> String {
    let style = shop.settings.style();
    let chopped = match finished.chopped.as_slice() {
        [] => "no frame chopped".to_owned(),
        some => {
            format!("{} chopped ({})", count(some.len(), "frame", "frames"), tickets(shop, some))
        }
    };
    let mut text = format!("Plan {} is done: {chopped}.\n", finished.job);
    if !finished.back.is_empty() {
        text += &format!("Back to the pile: {}.\n", tickets(shop, &finished.back));
    }
    for owed in &finished.owed {
        text += &format!("{}\n", owed_on_pile(shop, owed));
    }
    if !finished.untouched.is_empty() {
        text += &format!("Back on the rack, untouched: {}.\n", finished.untouched.join(", "));
    }
    text += &match finished.racked.as_slice() {
        [] => "No offcut is worth keeping.\n".to_owned(),
        some => {
            let count = count(some.len(), "offcut", "offcuts");
            format!("{count} to {}:\n", some[0].place)
        }
    };
    for stick in &finished.racked {
        let lot = if stick.lot.is_empty() { String::new() } else { format!("  lot {}", stick.lot) };
        text += &format!(
            "  {:<6} {:<10} {:>10}{lot}\n",
            stick.id,
            stick.moulding,
            style.show_down_unit(stick.length)
        );
    }
    text
}
