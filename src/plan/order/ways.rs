//! Every way to get one moulding: what is chopped, from which offers the sticks
//! for the rest come, at which steps, and what of them stays on the rack.

use super::finish::{Detail, finish};
use super::offered::Piece;
use super::packer::{Packer, Phase, Set};
use super::splits::{Split, splits};
use super::wants::{Layer, Wants};
use crate::buy::Way;
use crate::plan::effort::Effort;

/// More steps of a pair of offers together than this are not combined; then each
/// is taken at its dearest and its cheapest.
const MOST_STEPS: usize = 12;

/// The ways of one moulding.
pub(super) struct Ways {
    pub ways: Vec<(Way, Detail)>,
    /// Whether all of them were looked at.
    pub whole: bool,
}

/// Lists them; with `all`, also ways that take from every offer at once.
pub(super) fn ways(wants: &Wants, effort: Effort, all: bool) -> Ways {
    let (splits, whole) = splits(wants);
    let mut packer = Packer::new(wants, effort);
    let mut found = Ways { ways: Vec::new(), whole };
    let mut sets = sets(wants, &mut found.whole);
    if all && wants.supplies.len() > 2 {
        sets.push((0..wants.supplies.len()).map(|supply| (supply, 0)).collect());
    }
    for split in &splits {
        if split.cut.is_empty() {
            found.add(finish(wants, split, &[], &Vec::new()));
            continue;
        }
        for set in &sets {
            if let Some(phase) = packer.pack(set, &split.cut)
                && in_time(wants, &phase)
            {
                for phase in shared_out(wants, set, phase, &mut found.whole) {
                    found.add(finish(wants, split, &[phase], set));
                }
            }
        }
        found.in_two_phases(wants, &packer, split);
    }
    found
}

impl Ways {
    fn add(&mut self, more: Vec<(Way, Detail)>) {
        self.ways.extend(more);
    }

    /// The urgent layers from a fast supplier's sticks, the others from a slow
    /// one's. Only where the slow one is too late for some of them.
    fn in_two_phases(&mut self, wants: &Wants, packer: &Packer, split: &Split) {
        for slow in 0..wants.supplies.len() {
            let arrives = wants.supplies[slow].arrives;
            let is_urgent = |layer: &Layer| layer.by.is_some_and(|by| by < arrives);
            let (urgent, rest): (Vec<Layer>, Vec<Layer>) =
                split.cut.iter().copied().partition(is_urgent);
            if urgent.is_empty() || rest.is_empty() {
                continue;
            }
            for fast in 0..wants.supplies.len() {
                if wants.supplies[fast].arrives >= arrives {
                    continue;
                }
                for all in steps(wants, &[fast, slow], &mut self.whole) {
                    let (first, second) = (vec![all[0]], vec![all[1]]);
                    let Some(one) = packer.pack_before(&first, &all, &urgent) else { continue };
                    let Some(two) = packer.pack_after(&one, &second, &all, &rest) else { continue };
                    if in_time(wants, &one) && in_time(wants, &two) {
                        self.add(finish(wants, split, &[one, two], &all));
                    }
                }
            }
        }
    }
}

/// The rack alone, each supply, and each two of different offers, at every step.
fn sets(wants: &Wants, whole: &mut bool) -> Vec<Set> {
    let mut sets = vec![Set::new()];
    let count = wants.supplies.len();
    for one in 0..count {
        sets.extend(steps(wants, &[one], whole));
        for other in one + 1..count {
            if wants.supplies[one].offer != wants.supplies[other].offer
                && !half_and_half(wants, one, other)
            {
                sets.extend(steps(wants, &[one, other], whole));
            }
        }
    }
    sets
}

/// Whether of two supplies one is halved and the other long: then one of the two
/// answers to a surcharge is the better, and both are not mixed.
fn half_and_half(wants: &Wants, one: usize, other: usize) -> bool {
    let halved = |supply: usize| wants.supplies[supply].pieces.iter().any(|piece| piece.halved);
    let long = |supply: usize| wants.supplies[supply].pieces.iter().any(|piece| piece.long);
    halved(one) && long(other) || halved(other) && long(one)
}

/// Some supplies at every combination of their steps; not `whole` if there are
/// too many.
fn steps(wants: &Wants, supplies: &[usize], whole: &mut bool) -> Vec<Set> {
    let count = |supply: &usize| wants.shop.offers[wants.supplies[*supply].offer].steps.len() + 1;
    let all: usize = supplies.iter().map(count).product();
    let mut sets: Vec<Set> = vec![Set::new()];
    for supply in supplies {
        let last = count(supply) - 1;
        let steps: Vec<usize> = if all <= MOST_STEPS || last == 0 {
            (0..=last).collect()
        } else {
            *whole &= last < 2;
            vec![0, last]
        };
        let extend = |set: &Set| -> Vec<Set> {
            steps.iter().map(|step| [set.clone(), vec![(*supply, *step)]].concat()).collect()
        };
        sets = sets.iter().flat_map(extend).collect();
    }
    sets
}

/// Whether everything that a phase cuts from has arrived in time for all of it.
fn in_time(wants: &Wants, phase: &Phase) -> bool {
    let used = phase.pieces.iter().map(|(supply, ..)| wants.supplies[*supply].arrives);
    let Some(arrives) = used.max() else { return true };
    phase.layers.iter().all(|layer| layer.by.is_none_or(|by| arrives <= by))
}

/// Where two supplies give the same piece, every way to share the pieces out.
fn shared_out(wants: &Wants, set: &Set, phase: Phase, whole: &mut bool) -> Vec<Phase> {
    let [(one, _), (other, _)] = set[..] else { return vec![phase] };
    if wants.is_by_lot(&wants.layers) && !one_supplier(wants, one, other) {
        return vec![phase];
    }
    let mut shares: Vec<Vec<(usize, Piece, u32)>> = vec![Vec::new()];
    for (supply, piece, count) in &phase.pieces {
        let rival = if *supply == one { other } else { one };
        let same = wants.supplies[rival].pieces.iter().find(|p| p.length == piece.length);
        let extend = |share: &Vec<(usize, Piece, u32)>| -> Vec<Vec<_>> {
            let with = |theirs: u32| {
                let mut share = share.clone();
                share.push((*supply, *piece, count - theirs));
                share.extend(same.map(|same| (rival, *same, theirs)));
                share.retain(|(.., count)| *count > 0);
                share
            };
            let most = if same.is_some() { *count } else { 0 };
            (0..=most).map(with).collect()
        };
        shares = shares.iter().flat_map(extend).collect();
        *whole &= shares.len() <= MOST_SHARES;
        shares.truncate(MOST_SHARES);
    }
    let with = |pieces| Phase { pieces, ..phase.clone() };
    let phases = shares.into_iter().map(with);
    phases.filter(|phase| in_time(wants, phase)).collect()
}

/// More ways to share pieces out than this are not compared: it takes dozens of
/// sticks of one length.
const MOST_SHARES: usize = 200;

fn one_supplier(wants: &Wants, one: usize, other: usize) -> bool {
    let of = |supply: usize| &wants.shop.offers[wants.supplies[supply].offer].supplier;
    of(one) == of(other)
}
