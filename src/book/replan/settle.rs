//! One moulding planned again: the least worth, then the fewest changes.
//!
//! # How small the change is
//!
//! First everything may move: that gives the least worth. Then one stick after the
//! other keeps its cuts as long as the worth stays the least. No stick changes that
//! could have kept its cuts beside the others that do; that it is the fewest of all
//! is not proven.

use std::collections::BTreeSet;

use super::super::lays::{RailState, StickLayout};
use super::Again;
use super::groups::{Group, LayerOf, groups};
use super::look::DayLook;
use crate::book::error::{BookError, unsound};
use crate::measure::Worth;
use crate::morning::remake::{Remade, remake, worth};
use crate::solve::Limits;

/// More ways to choose the sticks that keep their cuts than this are not tried.
const MOST_TRIES: usize = 200;

/// A way to go on.
struct ReplanWay {
    key: (Worth, usize),
    groups: Vec<Group>,
    remade: Remade,
}

/// The way in which these lays keep their cuts, if there is one.
type TryTo<'a> = dyn Fn(&[i64]) -> Result<Option<ReplanWay>, BookError> + 'a;

/// Which frame copies a new plan does without, and which layers it cuts anew.
#[derive(Debug, Clone, Default)]
pub(super) struct ReplanChoice {
    /// Copies that go back to the pile, or for which there is nothing.
    pub skip: BTreeSet<(String, u32)>,
    /// Layers that are cut in part and are cut anew as a whole.
    pub anew: BTreeSet<LayerOf>,
}

/// Plans a moulding again, as was chosen.
///
/// First everything is free to move, to find the least worth; then as many
/// sticks as possible keep their cuts without using up more.
pub(super) fn settle(
    look: &DayLook,
    moulding: &str,
    choice: &ReplanChoice,
    limits: &Limits,
) -> Result<Option<Again>, BookError> {
    let open = |lay: &&StickLayout| lay.rails.iter().any(|rail| rail.state == RailState::ToCut);
    let laid = look.lays.iter().filter(|lay| lay.moulding == moulding && look.on.contains(&lay.id));
    let laid: Vec<&StickLayout> = laid.filter(open).collect();
    let stays = |lay: &&&StickLayout| {
        let skipped = |rail: &super::BenchRail| {
            rail.state == RailState::ToCut && choice.skip.contains(&(rail.frame.clone(), rail.copy))
        };
        !look.hit.contains(&lay.id) && !lay.rails.iter().any(skipped)
    };
    let movable: Vec<&StickLayout> = laid.iter().filter(stays).copied().collect();
    let mut fixed: Vec<i64> = Vec::new();
    let all: Vec<i64> = movable.iter().map(|lay| lay.id).collect();
    let mut best = way(look, moulding, (&fixed, choice), limits)?;
    // Where the solver gave up, or a frame is begun that could not be kept.
    if let Some(kept) = way(look, moulding, (&all, choice), limits)?
        && best.as_ref().is_none_or(|best| kept.key <= best.key)
    {
        (best, fixed) = (Some(kept), all.clone());
    }
    let Some(mut best) = best else { return Ok(None) };
    let mut fewest = true;
    if fixed.len() < all.len() {
        let try_to = |fixed: &[i64]| way(look, moulding, (fixed, choice), limits);
        (best, fixed, fewest) = keep_most(&all, best, &try_to)?;
    }
    let kept = movable.iter().filter(|lay| fixed.contains(&lay.id));
    let off: Vec<&&StickLayout> = laid.iter().filter(|lay| !fixed.contains(&lay.id)).collect();
    Ok(Some(Again {
        moulding: moulding.to_owned(),
        kept: kept.map(|lay| lay.stick.clone()).collect(),
        replaced: off.iter().map(|lay| lay.stick.clone()).collect(),
        off: off.iter().map(|lay| lay.id).collect(),
        sticks: best.remade.sticks,
        used_up: best.key.0,
        proven: best.remade.proven,
        fewest,
        groups: best.groups,
    }))
}

/// The way that is as good as `best` and keeps most of `all`, with those that it
/// keeps, and whether none keeps more. One change is tried first, wherever it may
/// be, then two, and so on; where that takes too many tries, each stick in turn
/// keeps its cuts as long as that costs nothing.
fn keep_most(
    all: &[i64],
    best: ReplanWay,
    try_to: &TryTo,
) -> Result<(ReplanWay, Vec<i64>, bool), BookError> {
    let good = |fixed: &[i64]| -> Result<Option<ReplanWay>, BookError> {
        Ok(try_to(fixed)?.filter(|kept| kept.key <= best.key))
    };
    let mut tries = 0;
    for changed in 1..all.len() {
        for fixed in subsets(all, all.len() - changed) {
            tries += 1;
            if tries > MOST_TRIES {
                let (kept, fixed) = keep_in_turn(all, best, try_to)?;
                return Ok((kept, fixed, false));
            }
            if let Some(kept) = good(&fixed)? {
                return Ok((kept, fixed, true));
            }
        }
    }
    Ok((best, Vec::new(), true))
}

fn keep_in_turn(
    all: &[i64],
    mut best: ReplanWay,
    try_to: &TryTo,
) -> Result<(ReplanWay, Vec<i64>), BookError> {
    let mut fixed: Vec<i64> = Vec::new();
    for lay in all {
        let more: Vec<i64> = fixed.iter().chain([lay]).copied().collect();
        if let Some(kept) = try_to(&more)?.filter(|kept| kept.key <= best.key) {
            (best, fixed) = (kept, more);
        }
    }
    Ok((best, fixed))
}

/// Every choice of so many of them, in order.
fn subsets(of: &[i64], size: usize) -> Box<dyn Iterator<Item = Vec<i64>> + '_> {
    match of.split_first() {
        _ if size > of.len() => Box::new(std::iter::empty()),
        Some((&first, rest)) if size > 0 => {
            let with = subsets(rest, size - 1).map(move |others| [&[first], &others[..]].concat());
            Box::new(with.chain(subsets(rest, size)))
        }
        _ => Box::new(std::iter::once(Vec::new())),
    }
}

/// The best way when these lays keep their cuts; none if a frame that is cut
/// anew as a whole is laid out on one of them.
fn way(
    look: &DayLook,
    moulding: &str,
    (fixed, choice): (&[i64], &ReplanChoice),
    limits: &Limits,
) -> Result<Option<ReplanWay>, BookError> {
    let mut groups = groups(look, moulding, fixed, &choice.anew);
    groups.retain(|group| !choice.skip.contains(&(group.frame.clone(), group.copy)));
    if groups.iter().any(|group| group.is_laid) {
        return Ok(None);
    }
    let lays: Vec<&StickLayout> = look.lays.iter().filter(|lay| fixed.contains(&lay.id)).collect();
    let mut shop = look.shop.clone();
    shop.rack.retain(|stick| lays.iter().all(|lay| lay.stick != stick.id));
    let owed: Vec<_> = groups.iter().map(Group::owed).collect();
    let remade = remake(&shop, moulding, &owed, limits);
    let Some(remade) = remade.map_err(|faults| unsound(&faults))? else { return Ok(None) };
    let kept: Worth = lays.iter().map(|lay| used_up(look, lay)).sum();
    // What is set aside was paid for.
    let aside = groups.iter().flat_map(|group| &group.aside);
    let aside: Worth =
        aside.map(|(_, rail)| worth(&look.shop, moulding, rail.to - rail.from)).sum();
    let key = (remade.used_up + kept + aside, remade.sticks.len() + lays.len());
    Ok(Some(ReplanWay { key, groups, remade }))
}

/// What a lay uses up from here on.
fn used_up(look: &DayLook, lay: &StickLayout) -> Worth {
    let at = lay.at();
    let of = |length| worth(&look.shop, &lay.moulding, length);
    let left = if lay.label.is_empty() { Worth(0) } else { of(lay.remains) };
    let pieces = look.pieces.get(&lay.id).into_iter().flatten();
    let pieces: Worth =
        pieces.filter(|(start, _)| *start >= at).map(|(_, length)| of(*length)).sum();
    of(lay.length - at) - left - pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verify::Verified;

    #[test]
    fn every_subset_comes_once() {
        let sizes = (0..=5).map(|size| subsets(&[1, 2, 3, 4], size).collect::<Vec<_>>());
        let sizes: Vec<Vec<Vec<i64>>> = sizes.collect();
        // Binomial coefficients of 4.
        assert_eq!(sizes.iter().map(Vec::len).collect::<Vec<_>>(), [1, 4, 6, 4, 1, 0]);
        for (size, subsets) in sizes.iter().enumerate() {
            assert!(subsets.iter().all(|subset| subset.len() == size && subset.is_sorted()));
            assert_eq!(subsets.iter().collect::<BTreeSet<_>>().len(), subsets.len());
        }
    }

    /// Keeping some of the lays is good if it keeps no two that clash.
    fn kept(clashes: &[(i64, i64)], all: &[i64]) -> (Vec<i64>, bool) {
        let way = |fixed: &[i64]| {
            let clash = clashes.iter().any(|(a, b)| fixed.contains(a) && fixed.contains(b));
            let remade = Remade { sticks: Verified::default(), used_up: Worth(0), proven: true };
            Ok(Some(ReplanWay { key: (Worth(i64::from(clash)), 0), groups: Vec::new(), remade }))
        };
        let best = way(&[]).unwrap().unwrap();
        let (_, fixed, fewest) = keep_most(all, best, &way).unwrap();
        (fixed, fewest)
    }

    #[test]
    fn one_stick_changes_where_one_is_enough() {
        // In turn, the first would keep its cuts and the three others change.
        let clashes = [(1, 2), (1, 3), (1, 4)];
        assert_eq!(kept(&clashes, &[1, 2, 3, 4]), (vec![2, 3, 4], true));
    }

    #[test]
    fn too_many_ways_are_said_to_be_too_many() {
        let all: Vec<i64> = (1..=40).collect();
        let pairs: Vec<(i64, i64)> = (1..=20).map(|a| (a, a + 20)).collect();
        let (fixed, fewest) = kept(&pairs, &all);
        assert_eq!((fixed.len(), fewest), (20, false));
    }
}
