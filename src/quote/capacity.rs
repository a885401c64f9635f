//! Whether there is a pair of hands for it: frames a day, and the days that are left.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use crate::plan::Plan;
use crate::shop::{Frame, Shop, ShopDays};

/// Days that are tried at the most until each frame has its turn in time.
const MOST_DAYS: u32 = 60;

/// The first day from `from` on by which a frame has its turn, where its moulding is there on a
/// day, and nobody else's turn that was in time comes too late for its sake; after many that
/// are none, the last that was tried. `None` beyond the calendar.
pub(super) fn in_turn(
    plan: &Plan,
    (shop, pile): (&Shop, &[Frame]),
    (frame, material): (&Frame, Date),
    from: Date,
) -> Option<Date> {
    let days = &shop.settings.days;
    if days.frames_a_day.is_none() {
        return Some(from);
    }
    let late = |frames: &[Frame]| -> BTreeSet<(String, u32)> {
        let due: BTreeMap<&str, Option<Date>> =
            frames.iter().map(|frame| (frame.id.as_str(), frame.due)).collect();
        let turns = plan.turns(shop, frames, Some((&frame.id, material))).into_iter();
        let late = turns.filter(|((id, _), turn)| due[id].is_some_and(|due| *turn > due));
        late.map(|((id, copy), _)| (id.to_owned(), copy)).collect()
    };
    let mut frames: Vec<Frame> = pile.iter().filter(|of| of.id != frame.id).cloned().collect();
    let before = late(&frames);
    frames.push(Frame { promised: true, ..frame.clone() });
    let mut day = from;
    for _ in 0..MOST_DAYS {
        frames.last_mut()?.due = Some(day);
        if late(&frames).is_subset(&before) {
            break;
        }
        day = days.open.next(day.tomorrow().ok()?)?;
    }
    Some(day)
}

/// The first day on which so many frames can be made whose moulding comes on a day: before it no
/// hands are of use to them. `None` beyond the calendar.
pub(super) fn hands_from(days: &ShopDays, copies: u32, material: Date) -> Option<Date> {
    let first = days.open.next(material)?;
    let each = days.frames_a_day.map_or(copies, |each| each.max(1));
    days.open.after(first, copies.div_ceil(each.max(1)).saturating_sub(1))
}

/// The first day from `from` on by which so many frames more can be made beside those
/// of the pile, each by its own day; `None` beyond the calendar. What is overdue is to be
/// made today; what is not dated is made when there is time.
///
/// With as many hands every day, frames can all be made in time just if, for every day,
/// those that are due by then are no more than can be made until then (the earliest due
/// first; Jackson 1955, from memory). So it is enough to count.
pub fn free_day(
    days: &ShopDays,
    frames: &[Frame],
    copies: u32,
    (today, from): (Date, Date),
) -> Option<Date> {
    let day = days.open.next(from)?;
    let Some(each) = days.frames_a_day.map(u64::from) else { return Some(day) };
    let mut due: Vec<(Date, u64)> = frames
        .iter()
        .filter_map(|frame| Some((frame.due?.max(today), u64::from(frame.left()))))
        .collect();
    due.sort_unstable();
    // For each of these days, how many frames are due by then.
    let mut by_then = 0;
    for (_, count) in &mut due {
        by_then += *count;
        *count = by_then;
    }
    let due_by = |day: Date| {
        let upto = due.partition_point(|(by, _)| *by <= day);
        upto.checked_sub(1).map_or(0, |last| due[last].1)
    };
    let new = u64::from(copies);
    let first = days.open.next(today)?;
    let (mut open, mut made) = (first, 0);
    let mut overrun = None;
    for &(by, count) in &due {
        while open <= by {
            (open, made) = (days.open.next(open.tomorrow().ok()?)?, made + each);
        }
        if count + new > made {
            overrun = Some(by);
        }
    }
    // After the last day that would be overrun no day is, so no more than two are tried.
    let mut day = match overrun.filter(|overrun| *overrun >= day) {
        Some(overrun) => days.open.next(overrun.tomorrow().ok()?)?,
        None => day,
    };
    loop {
        let before = (due_by(day) + new).div_ceil(each) - 1;
        let needed = days.open.after(first, u32::try_from(before).ok()?)?;
        if needed <= day {
            return Some(day);
        }
        day = needed;
    }
}
