//! What came of the rest of a day planned again, in words.

use super::{side, tickets};
use crate::book::Replanned;
use crate::report::either::either;
use crate::report::spares;
use crate::shop::Shop;

/// What stays, what is cut anew, and who goes without.
pub fn replan_words(shop: &Shop, replanned: &Replanned) -> String {
    let draft = &replanned.draft;
    let mut text = String::new();
    for again in &draft.mouldings {
        let kept: Vec<&str> = again.kept.iter().map(String::as_str).collect();
        let new: Vec<&str> = again.sticks.iter().map(|stick| stick.stick.as_str()).collect();
        text += &format!("{}: what is cut stays.", again.moulding);
        if !kept.is_empty() {
            text += &format!(" As they were: {}.", kept.join(", "));
        }
        let proven = if again.proven { " (proven least material)" } else { "" };
        if !new.is_empty() {
            text += &format!(" With new cuts: {}{proven}", new.join(", "));
        } else {
            text += &format!(" No stick has new cuts{proven}");
        }
        if shop.moulding(&again.moulding).price.is_some() {
            let currency = &shop.settings.currency;
            let used = currency.show(again.used_up.to_money());
            // Whoever cuts is not told what things are worth.
            text += &either(&format!(", used up {used} {} from here on", currency.code()), "");
        }
        text += ".\n";
        if !again.fewest {
            text += "Not every choice of sticks was tried: fewer changes might do.\n";
        }
    }
    for of in replanned.spares.iter() {
        text += &format!("Nothing is cut for it: {}.\n", spares::words(of, shop));
    }
    for (stick, rail) in &draft.set_aside {
        text += &format!(
            "Set aside {} (cut from {stick}): its frame is cut anew, so that it matches.\n",
            super::rail(shop, rail)
        );
    }
    let dropped: Vec<(String, u32)> = draft.dropped.iter().cloned().collect();
    if !dropped.is_empty() {
        let goes = if dropped.len() == 1 { "goes" } else { "go" };
        text += &format!(
            "There is not enough for all: {} {goes} back to the pile.\n",
            tickets(shop, &dropped)
        );
    }
    for owed in &draft.short {
        let of = (owed.frame.as_str(), owed.copy);
        text += &format!(
            "There is no stick for {} in {}: receive moulding and replan, or finish the day; it \
             is owed then, planned and ordered for like any frame.\n",
            side(shop, of, owed.layer, owed.side),
            owed.moulding
        );
    }
    text
}
