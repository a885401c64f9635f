//! Who waits for others could be cut today, from sticks that are there as long as it
//! waits, and is cut in time all the same.

use std::collections::BTreeSet;

use jiff::civil::Date;

use super::able::AskedLayer;
use super::facts::Facts;
use super::{days, truth};
use crate::plan::{Part, WaitReason};
use crate::shop::Frame;

/// The mouldings that a copy is to be cut from, in order.
pub(super) fn mouldings(frame: &Frame, copy: u32) -> BTreeSet<&String> {
    let to_cut = frame.to_cut(copy).into_iter();
    to_cut.map(|layer| &frame.layers[layer - 1].moulding).collect()
}

/// Whether a copy may wait for others until a day.
pub(super) fn is_rightly(facts: &Facts, (frame, copy): (&Frame, u32), by: Date) -> bool {
    let (settings, wishes) = (&facts.shop.settings, &facts.plan.wishes);
    let (Some(patience), Some(due)) = (settings.days.patience, frame.due) else { return false };
    let open = |from: Date| {
        let days = std::iter::successors(Some(from), |day| day.tomorrow().ok()).skip(1);
        days.take(days::ALL).filter(|day| settings.days.open.is_open(*day))
    };
    let Some(tomorrow) = open(facts.plan.date).next() else { return false };
    let needed = days::needed_by(facts.shop, due);
    let is_patient = frame.came.is_none_or(|came| {
        let tired = open(came).nth(patience as usize - 1);
        tired.is_none_or(|tired| by <= tired)
    });
    let progress = &frame.progress;
    let mut begun = progress.cut.keys().chain(progress.supplied.keys());
    let is_plain = wishes.only.is_none() && !wishes.rack_only && !wishes.rushes(frame);
    is_plain
        && !begun.any(|(of, _)| *of == copy)
        && tomorrow <= by
        && by <= needed
        && is_patient
        && is_apart(facts, (frame, copy), by)
        && comes_if_ordered(facts, (frame, copy), tomorrow, needed)
        && has_hands(facts, tomorrow)
        && is_dear_today(facts, (frame, copy))
}

/// Whether, where what is left to later has a price, one of the mouldings that hang
/// together with its own would be used up by more today.
fn is_dear_today(facts: &Facts, (frame, copy): (&Frame, u32)) -> bool {
    let Some(later) = facts.shop.settings.days.later else { return true };
    let mut tied = mouldings(frame, copy);
    let pending = || facts.frames.values().flat_map(|of| of.pending().map(move |n| (*of, n)));
    loop {
        let before = tied.len();
        for own in pending().map(|(of, n)| mouldings(of, n)) {
            if !own.is_disjoint(&tied) {
                tied.extend(own);
            }
        }
        if tied.len() == before {
            break;
        }
    }
    tied.into_iter().any(|id| {
        let mut sums = (0, 0);
        let cut = facts.sticks().filter(|(part, of)| *part == Part::Coming && of.moulding == *id);
        for (_, stick) in cut {
            sums.0 += i128::from(stick.used_up().0);
            let rails = stick.rails.iter().map(|rail| i128::from(rail.long_point.nm()));
            sums.1 += rails.sum::<i128>();
        }
        let (amount, per) = facts.shop.moulding(id).rate();
        sums.0 * i128::from(per.nm()) * 1000 > sums.1 * i128::from(amount.0) * i128::from(later)
    })
}

/// Nothing of its mouldings is cut today or ordered: whoever asks for one of them waits
/// for the same day, and would be cut from sticks of this morning's rack.
fn is_apart(facts: &Facts, (frame, copy): (&Frame, u32), by: Date) -> bool {
    let own = mouldings(frame, copy);
    let waits = |id: &str, copy: u32| {
        let mut waiting = facts.plan.waiting.iter();
        waiting.any(|waiting| {
            let same = matches!(waiting.reason, WaitReason::Patience { by: day, .. } if day == by);
            same && waiting.frame == id && waiting.copy == copy
        })
    };
    let is_held = |id: &str, copy: u32| {
        facts.plan.held.iter().any(|held| held.frame == id && held.copy == copy)
    };
    let mut others = facts.frames.values().flat_map(|of| of.pending().map(move |n| (*of, n)));
    let all_wait = others.all(|(of, n)| {
        mouldings(of, n).is_disjoint(&own) || waits(&of.id, n) || is_held(&of.id, n)
    });
    let mut cut = facts.sticks().filter(|(_, stick)| own.contains(&stick.moulding));
    let from_rack = cut.all(|(part, stick)| {
        part == Part::Coming && facts.shop.rack.iter().any(|own| own.id == stick.stick)
    });
    let lines = &facts.plan.order.chops;
    all_wait && from_rack && lines.iter().all(|chopped| chopped.frame != frame.id)
}

/// Whether, where suppliers are known, each of its mouldings would be there in time if it
/// were ordered on the next open day.
fn comes_if_ordered(
    facts: &Facts,
    (frame, copy): (&Frame, u32),
    tomorrow: Date,
    needed: Date,
) -> bool {
    let offers = &facts.shop.offers;
    let comes = |layer: usize| {
        let asked = &frame.layers[layer - 1];
        let moulding = facts.shop.moulding(&asked.moulding);
        let of_it = offers.iter().filter(|offer| offer.moulding == asked.moulding);
        let mut in_time = of_it.filter(|offer| {
            let supplier = &facts.shop.suppliers[&offer.supplier];
            truth::is_sold_on(supplier, offer, tomorrow)
                && days::arrival(supplier, tomorrow).is_some_and(|day| day <= needed)
        });
        let rails = &facts.rails[frame.id.as_str()][layer - 1];
        let mitre = truth::true_mitre(moulding, frame);
        let (shop, date) = (facts.shop, tomorrow);
        let asked = AskedLayer { shop, date, moulding, mitre, rails };
        let match_ = facts.match_in_force(&frame.id, layer);
        in_time.any(|offer| match offer.form {
            crate::shop::Form::Chop { .. } => true,
            _ => match_.is_some_and(|match_| asked.possible_new(match_)),
        })
    };
    offers.is_empty() || frame.to_cut(copy).into_iter().all(comes)
}

/// Whether all that is not cut today can be made from the next open day on, each by its
/// own, and everything from today on: counted day by day.
fn has_hands(facts: &Facts, tomorrow: Date) -> bool {
    let days = &facts.shop.settings.days;
    let Some(each) = days.frames_a_day else { return true };
    let today = facts.plan.today.iter().flat_map(|stick| &stick.rails);
    let today: BTreeSet<(&str, u32)> = today.map(|r| (r.frame.as_str(), r.copy)).collect();
    // What has nothing to be cut is made today, unless its rails are still to come.
    let is_made = |of: &Frame, copy: u32| {
        let is_whole = of.to_cut(copy).is_empty() && of.coming(copy).is_empty();
        is_whole || today.contains(&(of.id.as_str(), copy))
    };
    let is_held = |id: &str, copy: u32| {
        facts.plan.held.iter().any(|held| held.frame == id && held.copy == copy)
    };
    let pending = || facts.frames.values().flat_map(|of| of.pending().map(move |n| (*of, n)));
    let pending = || pending().filter(|(of, n)| !is_held(&of.id, *n));
    let suffice = |from: Date, is_later: bool| {
        let due: Vec<Date> = pending()
            .filter(|(of, n)| !is_later || !is_made(of, *n))
            .filter_map(|(of, _)| of.due)
            .collect();
        due.iter().all(|day| {
            let by_then = due.iter().filter(|other| *other <= day).count();
            let all = std::iter::successors(Some(from), |day| day.tomorrow().ok());
            let all = all.take(days::ALL).filter(|day| days.open.is_open(*day));
            // What is overdue is to be made on the first day.
            let made = all.enumerate().take_while(|(place, open)| *place == 0 || open <= day);
            by_then as u64 <= made.count() as u64 * u64::from(each)
        })
    };
    suffice(tomorrow, true) && suffice(facts.plan.date, false)
}
