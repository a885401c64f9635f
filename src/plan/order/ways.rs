//! Every way to get one moulding: what is chopped, from which offers the sticks
//! for the rest come, at which steps, and what of them stays on the rack.

use std::collections::{BTreeMap, BTreeSet};

use super::finish::{Detail, finish};
use super::offered::Piece;
use super::others::Other;
use super::packer::{Look, Packer, Phase, Set, Task, separate};
use super::splits::{Split, splits};
use super::wants::{Layer, Wants};
use crate::buy::Way;
use crate::plan::effort::Effort;

/// More steps of a pair of offers together than this are not combined; then each
/// is taken at its dearest and its cheapest.
const MOST_STEPS: usize = 12;

/// No more sets of offers and steps than this are combined for a moulding.
const MOST_SETS: usize = 300;

/// The ways of one moulding.
pub(super) struct Ways<'a> {
    pub wants: Wants<'a>,
    /// What each way costs, and what it means.
    pub ways: Vec<(Way, Detail)>,
    /// Ways that no cheaper choice among those listed is made of.
    pub closed: Vec<(Way, Detail)>,
    /// Splits that no way was listed for.
    pub others: Vec<Other>,
    /// Whether all of them were looked at, or are among the others.
    pub whole: bool,
    splits: Vec<Split>,
    origins: Vec<Origin>,
    sets: Vec<Set>,
    /// How many sticks no way cuts more than, where larger sets of offers were
    /// left out for that.
    most_cut: Option<usize>,
    packer: Packer<'a>,
}

/// Where ways come from: what is chopped, and what the rest is cut from.
#[derive(Clone)]
struct Origin {
    split: usize,
    cut: Cut,
}

#[derive(Clone)]
enum Cut {
    /// Everything is chopped.
    Nothing,
    /// From the rack and these supplies.
    From(Set),
    /// The urgent layers from the first, a fast supplier's sticks, the others
    /// from the second, a slow one's.
    FastAndSlow([(usize, usize); 2]),
}

impl<'a> Ways<'a> {
    /// Lists them, each packing looked at roughly; with `all`, also ways that
    /// take from every offer at once.
    pub fn new(wants: Wants<'a>, effort: Effort<'a>, all: bool) -> Ways<'a> {
        let splits = splits(&wants);
        // What others come to is a matter of money.
        let may_rest = !all && wants.moulding.price.is_some();
        let whole = !splits.lacking && (may_rest || splits.rest.is_empty());
        let rest = if whole { splits.rest } else { Vec::new() };
        let mut found = Ways {
            others: rest.into_iter().map(|split| Other { split, least: i64::MIN }).collect(),
            wants,
            ways: Vec::new(),
            closed: Vec::new(),
            whole,
            splits: splits.likely,
            origins: Vec::new(),
            sets: Vec::new(),
            most_cut: None,
            packer: Packer::new(effort),
        };
        found.list(all);
        found
    }

    /// Lists the ways of the other splits too, and opens those that were closed:
    /// with a split that they were not compared with they may be good.
    pub fn list_others(&mut self) {
        self.ways.append(&mut self.closed);
        let known = self.splits.len();
        self.splits.extend(std::mem::take(&mut self.others).into_iter().map(|other| other.split));
        self.add_for(known, &self.sets.clone());
        self.add_chopped_and_urgent(known);
        self.whole &= self.most_cut.is_none_or(|most| self.most_cut() <= most);
    }

    /// How hard each packing may be searched.
    pub fn effort(&self) -> Effort<'a> {
        self.packer.effort
    }

    /// Keeps these ways alone, in their order, and looks closer at what those of
    /// them that might cost less are packed as. Whether there were any.
    pub fn look_closer(&mut self, kept: &[usize]) -> bool {
        let kept: BTreeSet<usize> = kept.iter().copied().collect();
        for (place, way) in std::mem::take(&mut self.ways).into_iter().enumerate() {
            let list = if kept.contains(&place) { &mut self.ways } else { &mut self.closed };
            list.push(way);
        }
        let doubtful = self.ways.iter().filter(|(way, _)| way.doubt > 0);
        let next = doubtful.filter_map(|(_, d)| d.next_look().map(|look| (d.origin, look)));
        let next: BTreeMap<usize, Look> = next.collect();
        // A way stays as it is; how much less it might cost is the affair of the
        // one that is looked at closer.
        let of_next = self.ways.iter_mut().filter(|(_, d)| next.contains_key(&d.origin));
        of_next.for_each(|(way, _)| way.doubt = 0);
        for (&origin, &look) in &next {
            let closer = self.made(origin, look);
            self.ways.extend(closer);
        }
        !next.is_empty()
    }

    /// Lists the ways from the rack alone and from one supply, then from two and
    /// more, as long as there are enough sticks for one of each.
    fn list(&mut self, all: bool) {
        let everything = (all && self.wants.supplies.len() > 2).then(|| {
            let each = 0..self.wants.supplies.len();
            vec![each.map(|supply| (supply, 0)).collect()]
        });
        self.add(&[Set::new()]);
        self.add(&everything.unwrap_or_default());
        self.add_chopped_and_urgent(0);
        let (mut supplies, mut count) = (vec![Vec::new()], 0);
        loop {
            supplies = wider(&self.wants, &supplies);
            let each = supplies.iter().map(|set| steps(&self.wants, set, &mut self.whole));
            let sets: Vec<Set> = each.collect::<Vec<_>>().concat();
            count += sets.len();
            self.whole &= count <= MOST_SETS;
            if sets.is_empty() || count > MOST_SETS {
                break;
            }
            self.add(&sets);
            if sets[0].len() >= self.most_cut() {
                self.most_cut = Some(sets[0].len());
                break;
            }
        }
    }

    /// The ways from these sets, for what each split leaves to be cut.
    fn add(&mut self, sets: &[Set]) {
        self.sets.extend_from_slice(sets);
        self.add_for(0, sets);
    }

    /// The same for the splits from a place on.
    fn add_for(&mut self, first: usize, sets: &[Set]) {
        let cut = |(_, split): &(usize, &Split)| !split.cut.is_empty();
        let splits = self.splits.iter().enumerate().skip(first).filter(cut);
        let of = |(split, _): (usize, &Split)| -> Vec<Origin> {
            sets.iter().map(|set| Origin { split, cut: Cut::From(set.clone()) }).collect()
        };
        let origins = splits.flat_map(of).collect();
        self.add_origins(origins);
    }

    fn add_chopped_and_urgent(&mut self, first: usize) {
        let mut origins = Vec::new();
        for (split, of) in self.splits.iter().enumerate().skip(first) {
            if of.cut.is_empty() {
                origins.push(Origin { split, cut: Cut::Nothing });
            }
            let pairs = fast_and_slow(&self.wants, of, &mut self.whole);
            origins.extend(
                pairs.into_iter().map(|pair| Origin { split, cut: Cut::FastAndSlow(pair) }),
            );
        }
        self.add_origins(origins);
    }

    fn add_origins(&mut self, origins: Vec<Origin>) {
        for origin in origins {
            self.origins.push(origin);
            let ways = self.made(self.origins.len() - 1, Look::Rough);
            self.ways.extend(ways);
        }
    }

    /// The most new sticks, or halves of them, that any way cuts; without limit
    /// while none cuts any.
    fn most_cut(&self) -> usize {
        let cut = |detail: &Detail| detail.bought.iter().map(|line| line.cut as usize).sum();
        let each = self.ways.iter().map(|(_, detail)| cut(detail));
        each.max().filter(|most| *most > 0).unwrap_or(usize::MAX)
    }

    /// The ways of one origin.
    fn made(&mut self, origin: usize, look: Look) -> Vec<(Way, Detail)> {
        let Origin { split, cut } = self.origins[origin].clone();
        let (wants, split) = (&self.wants, &self.splits[split]);
        let none = BTreeSet::new();
        match cut {
            Cut::Nothing => finish(wants, split, &[], &Vec::new(), origin),
            Cut::From(set) => {
                let task = Task { set: &set, all: &set, layers: &split.cut, gone: &none };
                let phase = self.packer.pack(wants, task, look);
                let Some(phase) = phase.filter(|phase| in_time(wants, phase)) else {
                    return Vec::new();
                };
                let phases = shared_out(wants, &set, phase, &mut self.whole).into_iter();
                phases.flat_map(|phase| finish(wants, split, &[phase], &set, origin)).collect()
            }
            Cut::FastAndSlow([fast, slow]) => {
                let (urgent, rest) = urgent(wants, split, slow.0);
                let all = vec![fast, slow];
                let (first, second) = (vec![fast], vec![slow]);
                let task = Task { set: &first, all: &all, layers: &urgent, gone: &none };
                let Some(one) = self.packer.pack(wants, task, look) else { return Vec::new() };
                let gone = one.touched();
                let task = Task { set: &second, all: &all, layers: &rest, gone: &gone };
                let Some(two) = self.packer.pack(wants, task, look) else { return Vec::new() };
                if !in_time(wants, &one) || !in_time(wants, &two) {
                    return Vec::new();
                }
                finish(wants, split, &[one, two], &all, origin)
            }
        }
    }
}

/// The layers of a split that cannot wait for a supply, and the others.
fn urgent(wants: &Wants, split: &Split, slow: usize) -> (Vec<Layer>, Vec<Layer>) {
    let arrives = wants.supplies[slow].arrives;
    split.cut.iter().copied().partition(|layer| layer.by.is_some_and(|by| by < arrives))
}

/// Pairs of a fast and a slow supply at each of their steps, where the slow one
/// is too late for some layers of a split but not for all.
fn fast_and_slow(wants: &Wants, split: &Split, whole: &mut bool) -> Vec<[(usize, usize); 2]> {
    let mut pairs = Vec::new();
    for slow in 0..wants.supplies.len() {
        let (urgent, rest) = urgent(wants, split, slow);
        if urgent.is_empty() || rest.is_empty() {
            continue;
        }
        for fast in 0..wants.supplies.len() {
            if wants.supplies[fast].arrives < wants.supplies[slow].arrives {
                let steps = steps(wants, &[fast, slow], whole);
                pairs.extend(steps.into_iter().map(|set| [set[0], set[1]]));
            }
        }
    }
    pairs
}

/// The sets of one supply more than these, of different offers.
fn wider(wants: &Wants, supplies: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let with_one_more = |set: &Vec<usize>| -> Vec<Vec<usize>> {
        let next = set.last().map_or(0, |last| last + 1)..wants.supplies.len();
        let fits = next.filter(|other| set.iter().all(|one| go_together(wants, *one, *other)));
        fits.map(|other| [set.clone(), vec![other]].concat()).collect()
    };
    supplies.iter().flat_map(with_one_more).collect()
}

/// Whether sticks of a moulding may come from both of two supplies.
///
/// Where frames must come from one lot, all new sticks are of one supplier: at
/// whichever prices, sticks of the dearer lot could as well be of the cheaper.
fn go_together(wants: &Wants, one: usize, other: usize) -> bool {
    wants.supplies[one].offer != wants.supplies[other].offer
        && !half_and_half(wants, one, other)
        && (!separate(wants) || one_supplier(wants, one, other))
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

/// Where supplies give the same piece, every way to share the pieces out.
fn shared_out(wants: &Wants, set: &Set, phase: Phase, whole: &mut bool) -> Vec<Phase> {
    let is_one_lot = |&(other, _): &(usize, usize)| one_supplier(wants, set[0].0, other);
    if set.len() < 2 || separate(wants) && !set.iter().all(is_one_lot) {
        return vec![phase];
    }
    let mut shares: Vec<Vec<(usize, Piece, u32)>> = vec![Vec::new()];
    for (_, piece, count) in &phase.pieces {
        let gives = |&(supply, _): &(usize, usize)| {
            let mut pieces = wants.supplies[supply].pieces.iter();
            pieces.find(|same| same.length == piece.length).map(|same| (supply, *same))
        };
        let givers: Vec<(usize, Piece)> = set.iter().filter_map(gives).collect();
        let parts = parts(*count, givers.len());
        let extend = |share: &Vec<(usize, Piece, u32)>| -> Vec<Vec<_>> {
            let with = |part: &Vec<u32>| {
                let given = givers.iter().zip(part).filter(|(_, count)| **count > 0);
                let given = given.map(|(&(supply, piece), &count)| (supply, piece, count));
                share.iter().copied().chain(given).collect()
            };
            parts.iter().map(with).collect()
        };
        shares = shares.iter().flat_map(extend).collect();
        *whole &= shares.len() <= MOST_SHARES;
        shares.truncate(MOST_SHARES);
    }
    let with = |pieces| Phase { pieces, ..phase.clone() };
    let phases = shares.into_iter().map(with);
    phases.filter(|phase| in_time(wants, phase)).collect()
}

/// Every way to write a count as a sum of so many.
fn parts(count: u32, of: usize) -> Vec<Vec<u32>> {
    if of <= 1 {
        return vec![vec![count]];
    }
    let first = |first: u32| {
        let rest = parts(count - first, of - 1).into_iter();
        rest.map(move |rest| [vec![first], rest].concat())
    };
    (0..=count).rev().flat_map(first).collect()
}

/// More ways to share pieces out than this are not compared. Five offers share
/// six sticks of one length in 210 ways, six offers in 462.
const MOST_SHARES: usize = 500;

fn one_supplier(wants: &Wants, one: usize, other: usize) -> bool {
    let of = |supply: usize| &wants.shop.offers[wants.supplies[supply].offer].supplier;
    of(one) == of(other)
}
