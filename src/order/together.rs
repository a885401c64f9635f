//! Layers of two dates packed at once, where lots matter too.
//!
//! With the urgent layers first, what they leave of a stick is lost to the others. Where
//! all that is in time for them is of one lot, naming that lot says the same as naming the
//! date, so that lots and dates are one thing.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::packer::{Attempt, PackStick, Phase, attempt, by_date, is_before};
use super::wants::{WantedLayer, Wants};
use crate::planner::effort::Effort;
use crate::shop::Match;

/// Packs the layers, those that must come from one lot and can wait all from the lot that
/// is in time, or all from the one of most sticks that is late: what uses up least. That
/// says what nothing can use up less than where none of them can wait. `None` where more
/// than one lot is in time, or some of it is late.
pub(super) fn together<'a>(
    wants: &Wants<'a>,
    layers: &[WantedLayer],
    sticks: &[PackStick],
    late: &dyn Fn(usize) -> bool,
    from: Option<Date>,
    effort: Effort<'a>,
) -> Option<Attempt> {
    let mut lots: [BTreeMap<u32, usize>; 2] = Default::default();
    for stick in sticks {
        let is_late = stick.kind.is_some_and(late);
        *lots[usize::from(is_late)].entry(stick.placed.1.lot).or_default() += 1;
    }
    let [in_time, later] = lots;
    let (&only, _) = in_time.first_key_value().filter(|_| in_time.len() == 1)?;
    if later.contains_key(&only) {
        return None;
    }
    let pack = |lot: u32| {
        let (of, mut demands) = by_date(wants, layers, &mut sticks.to_vec(), late, from);
        for demand in &mut demands {
            let rest = matches!(demand.ask.match_, Match::Lot | Match::Halves).then_some(lot);
            demand.lot = demand.lot.map(|_| only).or(rest);
        }
        attempt(wants, wants.bench(), layers, sticks.to_vec(), effort, |packing| {
            packing.settle((of, demands), effort)
        })
    };
    let mut best = pack(only);
    let may_wait = layers.iter().any(|layer| wants.is_one_lot(layer) && !is_before(layer, from));
    if !may_wait {
        return Some(best);
    }
    (best.bound, best.impossible) = (None, false);
    if let Some((&lot, _)) = later.iter().max_by_key(|(lot, count)| (**count, **lot)) {
        let other = pack(lot);
        best.steps += other.steps;
        let used_up = |phases: &Vec<Phase>| phases.iter().map(|phase| phase.used_up).sum::<i64>();
        let both = best.phases.into_iter().chain(other.phases);
        best.phases = both.min_by_key(used_up);
    }
    Some(best)
}
