//! Who of the customers that wait is cut on a day: as in the planner
//! (`planner/patience.rs`), told a second time.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::LotSpan;
use super::customers::Customer;
use super::practice::Practice;
use super::simulate::{Course, Habits, YearFault};
use crate::plan::CutStick;
use crate::shop::{Frame, Shop};

/// Who of the customers that wait is cut on a day, the number of its course and its date,
/// by a shop that lets frames wait for one another so many open days at the most. The rack
/// is the shop's, beside new sticks as many as wanted; each packing may take so many steps
/// of `work`.
///
/// # Errors
/// As [`simulated_years`](super::simulated_years).
pub fn cut_today<'a>(
    shop: &Shop,
    patience: u32,
    waiting: &[&'a Customer],
    today: (usize, Date),
    work: u64,
) -> Result<Vec<&'a Customer>, YearFault> {
    let (practice, lots) = (Practice::Waiting, LotSpan::Year);
    let habits = Habits { practice, patience, lots, rule: None };
    chosen(&Course::new(shop, habits), habits, waiting, today, work)
}

/// Those that a practice cuts today: where they wait for one another, those of the
/// mouldings of which a frame must be cut, and those that use up no more today than is
/// expected later. Each packing may take so many steps of `work`.
///
/// # Errors
/// As [`simulate`](super::simulate::simulate).
pub(super) fn chosen<'a>(
    course: &Course,
    habits: Habits,
    waiting: &[&'a Customer],
    (today, date): (usize, Date),
    work: u64,
) -> Result<Vec<&'a Customer>, YearFault> {
    if !matches!(habits.practice, Practice::HandWaiting | Practice::Waiting) {
        return Ok(waiting.to_vec());
    }
    let patience = habits.patience as usize;
    let must = |one: &&&Customer| one.last <= today || one.came + patience <= today;
    let due = waiting.iter().filter(must);
    let begun = due.flat_map(|customer| mouldings(&customer.frame)).collect();
    let begun = tied_to(begun, waiting);
    let (mut cut, left): (Vec<&Customer>, Vec<&Customer>) =
        waiting.iter().partition(|one| mouldings(&one.frame).any(|id| begun.contains(id)));
    let later = course.shop.settings.days.later;
    let later = later.filter(|_| habits.practice == Practice::Waiting && !left.is_empty());
    if let Some(later) = later {
        let shop = course.opened(&left, (date, habits.lots));
        let today = habits.practice.cut(&shop, course.shop.rack.len(), date, work);
        let today = today.map_err(YearFault::Cuts)?;
        let dear = tied_to(dear(&shop, &today, later), &left);
        let is_cheap = |one: &&Customer| !mouldings(&one.frame).any(|id| dear.contains(id));
        cut.extend(left.into_iter().filter(is_cheap));
    }
    Ok(cut)
}

/// The mouldings of a frame.
fn mouldings(frame: &Frame) -> impl Iterator<Item = &str> {
    frame.layers.iter().map(|layer| layer.moulding.as_str())
}

/// Mouldings with those that customers want together with one of them, and so on.
fn tied_to<'a>(mut all: BTreeSet<&'a str>, waiting: &[&'a Customer]) -> BTreeSet<&'a str> {
    loop {
        let before = all.len();
        for customer in waiting {
            if mouldings(&customer.frame).any(|id| all.contains(id)) {
                all.extend(mouldings(&customer.frame));
            }
        }
        if all.len() == before {
            return all;
        }
    }
}

/// The mouldings of which these sticks use up more than their rails are expected to later.
fn dear<'a>(shop: &'a Shop, sticks: &[CutStick], later: u32) -> BTreeSet<&'a str> {
    let mut sums: BTreeMap<&str, (i128, i128)> = BTreeMap::new();
    for stick in sticks {
        let sum = sums.entry(&stick.moulding).or_default();
        let rails = stick.rails.iter().map(|rail| i128::from(rail.long_point.nm()));
        sum.0 += i128::from(stick.used_up().0);
        sum.1 += rails.sum::<i128>();
    }
    let is_dear = |(id, (used_up, rails)): (&str, (i128, i128))| {
        let moulding = shop.moulding(id);
        let (amount, per) = moulding.rate();
        let expected = rails * i128::from(amount.0) * i128::from(later);
        (used_up * i128::from(per.nm()) * 1000 > expected).then_some(moulding.id.as_str())
    };
    sums.into_iter().filter_map(is_dear).collect()
}
