//! On which day each frame's turn comes where the shop makes so many in a day.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::shop::Shop;

/// The day on which each copy on the pile that has a date is made: those that are due first
/// come first, of one day those that were promised. What is overdue is due today. None where
/// the shop has not said how many frames it makes.
///
/// With as many hands every day no other order keeps more of the days where all can be kept
/// (the earliest due first; Jackson 1955, from memory).
pub(super) fn turns(shop: &Shop, today: Date) -> BTreeMap<(&str, u32), Date> {
    let days = &shop.settings.days;
    let mut turns = BTreeMap::new();
    let Some(each) = days.frames_a_day else { return turns };
    let mut dated = Vec::new();
    for (place, frame) in shop.frames.iter().enumerate() {
        let Some(due) = frame.due else { continue };
        let copies = frame.pending().map(|copy| (due.max(today), !frame.promised, place, copy));
        dated.extend(copies);
    }
    dated.sort_unstable();
    let mut day = days.open.next(today);
    for made in dated.chunks(each.max(1) as usize) {
        let Some(open) = day else { break };
        let frames = made.iter().map(|(.., place, copy)| (&shop.frames[*place].id, *copy));
        turns.extend(frames.map(|(id, copy)| ((id.as_str(), copy), open)));
        day = open.tomorrow().ok().and_then(|next| days.open.next(next));
    }
    turns
}
