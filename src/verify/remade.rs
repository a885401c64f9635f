//! The rest of a morning, planned again, checked like any plan.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::facts::Facts;
use super::{Fault, Verified, alike, left, sticks};
use crate::plan::{CutStick, Owed, Plan, Warning};
use crate::rails::Side;
use crate::shop::{Match, Shop};

/// Checks that these sticks give exactly what is owed, each as it may, and that
/// what must be like rails that are cut already is from the same lot.
///
/// # Errors
/// Everything that is wrong with them.
pub fn remade(
    shop: &Shop,
    date: Date,
    sticks_cut: Vec<CutStick>,
    owed: &[Owed],
) -> Result<Verified<Vec<CutStick>>, Vec<Fault>> {
    let plan = Plan { warnings: relaxed(shop, owed), ..Plan::of_sticks(shop, date, sticks_cut) };
    let sticks_cut = &plan.today;
    let facts = Facts::new(shop, &plan, &[]);
    let mut faults = Vec::new();
    each_once(sticks_cut, owed, &mut faults);
    sticks::check(&facts, &mut faults);
    left::check(&facts, &mut faults);
    alike::check(&facts, &mut faults);
    like_the_others(sticks_cut, owed, &mut faults);
    if faults.is_empty() { Ok(Verified::new(plan.today)) } else { Err(faults) }
}

/// What is asked of each layer where it is not what its frame asks.
fn relaxed(shop: &Shop, owed: &[Owed]) -> Vec<Warning> {
    let mut given: BTreeMap<(&str, usize), Match> = BTreeMap::new();
    for owed in owed {
        let weakest = given.entry((owed.frame.as_str(), owed.layer)).or_insert(owed.match_);
        *weakest = owed.match_.min(*weakest);
    }
    let warning = |((id, layer), given): ((&str, usize), Match)| {
        let frame = shop.frame(id)?;
        let asked = frame.layers.get(layer.checked_sub(1)?)?.match_;
        let frame = id.to_owned();
        (asked != given).then_some(Warning::Relaxed { frame, layer, asked, given })
    };
    given.into_iter().filter_map(warning).collect()
}

/// Every rail that is owed once, and no other.
fn each_once(sticks: &[CutStick], owed: &[Owed], faults: &mut Vec<Fault>) {
    let mut found: BTreeMap<(&str, u32, usize, Side), usize> = BTreeMap::new();
    for rail in sticks.iter().flat_map(|stick| &stick.rails) {
        *found.entry((rail.frame.as_str(), rail.copy, rail.layer, rail.side)).or_default() += 1;
    }
    let mut due: BTreeSet<(&str, u32, usize, Side)> = BTreeSet::new();
    for owed in owed {
        for side in &owed.sides {
            due.insert((owed.frame.as_str(), owed.copy, owed.layer, *side));
        }
    }
    for rail in due.iter().chain(found.keys().filter(|rail| !due.contains(*rail))) {
        let times = found.get(rail).copied().unwrap_or(0);
        if times != usize::from(due.contains(rail)) {
            let &(frame, copy, layer, side) = rail;
            let frame = frame.to_owned();
            faults.push(Fault::NotWhole { frame, copy, layer, side, found: times });
        }
    }
}

/// Rails that belong to others which are cut already come from the same lot.
fn like_the_others(sticks: &[CutStick], owed: &[Owed], faults: &mut Vec<Fault>) {
    for owed in owed {
        let Some((lot, of)) = owed.like.as_ref().filter(|_| owed.match_ != Match::Any) else {
            continue;
        };
        for stick in sticks {
            let is_like = if lot.is_empty() { stick.stick == *of } else { stick.lot == *lot };
            let ours = stick.rails.iter().find(|rail| {
                (&rail.frame, rail.copy, rail.layer) == (&owed.frame, owed.copy, owed.layer)
            });
            if let Some(rail) = ours.filter(|_| !is_like) {
                let (frame, copy, layer) = (rail.frame.clone(), rail.copy, rail.layer);
                faults.push(Fault::NotMatched { frame, copy, layer, match_: owed.match_ });
            }
        }
    }
}
