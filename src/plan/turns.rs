//! On which day each frame's turn comes where the shop makes so many in a day.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use jiff::civil::Date;

use super::Plan;
use crate::shop::{Frame, Shop, ShopDays};

/// When each copy of a frame is made, by ticket number and number of the copy.
pub(crate) type Turns<'a> = BTreeMap<(&'a str, u32), Date>;

/// What is made first: the earliest date, of one day what was promised, then as the pile has
/// it. What is overdue is due today.
type MadeFirst = (Date, bool, usize, u32);

impl Plan {
    /// The day on which each copy of these frames that has a date is made: none before its
    /// moulding is there, and of those whose moulding is there the most urgent first. Nothing
    /// where the shop has not said how many frames it makes, nor for what this plan holds or
    /// knows nothing to come for. The moulding of one frame may be there on another day than
    /// this plan has it.
    ///
    /// With as many hands every day no other order keeps more of the days where all can be
    /// kept (of what is there the earliest due first, all taking as long; Horn 1974, from
    /// memory).
    pub(crate) fn turns<'a>(
        &self,
        shop: &Shop,
        frames: &'a [Frame],
        other: Option<(&str, Date)>,
    ) -> Turns<'a> {
        let days = &shop.settings.days;
        let Some(each) = days.frames_a_day else { return Turns::new() };
        let from = self.made_from(shop);
        let is_there = |(urgency, frame): (MadeFirst, &'a Frame)| {
            let other = other.filter(|(id, _)| *id == frame.id).map(|(_, day)| Some(day));
            let planned = || from.get(&(frame.id.as_str(), urgency.3)).copied();
            let day = other.or_else(planned).unwrap_or(Some(self.date))?;
            Some((day.max(self.date), urgency))
        };
        let mut dated: Vec<(Date, MadeFirst)> =
            dated(frames, self.date).filter_map(is_there).collect();
        dated.sort_unstable_by_key(|one| Reverse(*one));
        let (mut turns, mut ready) = (Turns::new(), BinaryHeap::new());
        let mut day = days.open.next(self.date);
        while let Some(open) = day {
            while dated.last().is_some_and(|(from, _)| *from <= open) {
                ready.extend(dated.pop().map(|(_, urgency)| Reverse(urgency)));
            }
            for _ in 0..each.max(1) {
                let Some(Reverse((_, _, place, copy))) = ready.pop() else { break };
                turns.insert((frames[place].id.as_str(), copy), open);
            }
            let next = match (ready.is_empty(), dated.last()) {
                (true, None) => break,
                (true, Some((from, _))) => Some(*from),
                (false, _) => open.tomorrow().ok(),
            };
            day = next.and_then(|next| days.open.next(next));
        }
        turns
    }

    /// From when on each copy that waits can be made; none where it never can.
    fn made_from(&self, shop: &Shop) -> BTreeMap<(&str, u32), Option<Date>> {
        let held = self.held.iter().map(|of| ((of.frame.as_str(), of.copy), None));
        let waiting = self.waiting.iter();
        let waiting: BTreeMap<(&str, u32), _> =
            waiting.map(|of| ((of.frame.as_str(), of.copy), of)).collect();
        let awaited = self
            .order
            .awaited
            .iter()
            .map(|of| ((of.frame.as_str(), of.copy), Some(of.arrives.unwrap_or(self.date))));
        let mut from: BTreeMap<_, _> = awaited.chain(held).collect();
        for (copy, waiting) in waiting {
            from.entry(copy).or_insert_with(|| self.comes(shop, waiting));
        }
        from
    }
}

/// The last day on which each copy on the pile that has a date can be made, so that all that
/// are due later can be too: those with the latest dates take the last of the days. Nothing
/// where the shop has not said how many frames it makes.
pub(crate) fn last_turns(shop: &Shop, today: Date) -> Turns<'_> {
    let ShopDays { open, frames_a_day, .. } = &shop.settings.days;
    let mut turns = Turns::new();
    let Some(each) = frames_a_day.map(|each| each.max(1)) else { return turns };
    let mut dated: Vec<(MadeFirst, &Frame)> = dated(&shop.frames, today).collect();
    dated.sort_unstable_by_key(|(urgency, _)| Reverse(*urgency));
    let (mut day, mut made) = (Date::MAX, 0);
    for ((due, .., copy), frame) in dated {
        let from = if made < each { Some(day) } else { day.yesterday().ok() };
        let Some(last) = from.and_then(|from| open.last(from.min(due))) else { break };
        made = if last == day { made + 1 } else { 1 };
        day = last;
        turns.insert((frame.id.as_str(), copy), day);
    }
    turns
}

/// Every copy that is yet to be made and has a date.
fn dated<'a>(frames: &'a [Frame], today: Date) -> impl Iterator<Item = (MadeFirst, &'a Frame)> {
    let dated = |(place, frame): (usize, &'a Frame)| Some((place, frame, frame.due?));
    let dated = frames.iter().enumerate().filter_map(dated);
    dated.flat_map(move |(place, frame, due)| {
        frame.pending().map(move |copy| ((due.max(today), !frame.promised, place, copy), frame))
    })
}
