//! Frames that wait for what is on order, cut from what is there first.
//!
//! Who is served by what is on order does not hang on when each stick comes. Where
//! somebody would be late by that, the same frames are packed anew, one day after the
//! other: as many as can be from what is there by then, in the order of their dates, and
//! the others with what comes next. That serves nobody worse who was in time, or it is
//! not taken.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::effort::Effort;
use super::lots::Placed;
use super::stage::{Batch, Stage};
use super::work::Work;
use crate::shop::Shop;

/// Sticks by moulding.
type Racks = BTreeMap<String, Vec<Placed>>;

/// More days than this are not looked at one by one: the last few are taken as one.
const MOST_DAYS: usize = 6;

/// Packs these frames day by day. None if all there is comes on one day, or some frame
/// that was served otherwise is not served so.
pub(crate) fn by_day(
    (shop, date): (&Shop, Date),
    (work, tasks): (&Work, &[usize]),
    racks: &BTreeMap<String, Vec<Placed>>,
    effort: Effort,
) -> Option<(Vec<Batch>, Racks)> {
    let day = |(place, _): &Placed| there(shop, date, *place);
    let all: BTreeSet<Date> = racks.values().flatten().map(day).collect();
    let mut days: Vec<Date> = all.into_iter().collect();
    let last = *days.last()?;
    if days.len() < 2 {
        return None;
    }
    days.truncate(MOST_DAYS - 1);
    days.push(last);
    days.dedup();
    let own = effort.with_purse(effort.purse() / u64::try_from(days.len()).ok()?);
    let mut left: BTreeMap<String, Vec<Placed>> =
        racks.keys().map(|id| (id.clone(), Vec::new())).collect();
    let (mut batches, mut open, mut before) = (Vec::new(), tasks.to_vec(), None);
    for by in days {
        for (id, sticks) in racks {
            let comes = |placed: &&Placed| day(placed) <= by && Some(day(placed)) > before;
            left.entry(id.clone()).or_default().extend(sticks.iter().filter(comes).cloned());
        }
        let stage = Stage::decide(shop, work, &open, left.clone(), own);
        left.extend(stage.untouched);
        batches.extend(stage.batches);
        open = stage.unserved.into_iter().map(|(task, _)| task).collect();
        before = Some(by);
    }
    open.is_empty().then_some((batches, left))
}

/// The day on which a stick is there: what has no day, or is overdue, comes last.
fn there(shop: &Shop, date: Date, place: Option<usize>) -> Date {
    let stick = place.map(|place| shop.stick(place));
    match stick.and_then(|stick| shop.coming_stick(&stick.id)) {
        None => date,
        Some(coming) if coming.at_bench => date,
        Some(coming) => coming.arrives.filter(|day| *day >= date).unwrap_or(Date::MAX),
    }
}
