//! Every way to get one moulding: what is chopped, from which offers the sticks
//! for the rest come, at which steps, and what of them stays on the rack.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use rayon::prelude::*;

use super::finish::{Detail, finish};
use super::others::Other;
use super::packer::{Look, Packer, Phase, Set, Task};
use super::sets::{shared_out, steps, wider};
use super::splits::{Split, splits};
use super::wants::{Layer, Wants};
use crate::buy::Way;
use crate::plan::effort::Effort;
use crate::plan::packing::Counts;

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
    /// For each split the packer of what it cuts.
    cut_by: Vec<usize>,
    origins: Vec<Origin>,
    sets: Vec<Set>,
    /// How many sticks no way cuts more than, where larger sets of offers were
    /// left out for that.
    most_cut: Option<usize>,
    packers: Vec<Packer<'a>>,
    effort: Effort<'a>,
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
            splits: Vec::new(),
            cut_by: Vec::new(),
            origins: Vec::new(),
            sets: Vec::new(),
            most_cut: None,
            packers: Vec::new(),
            effort,
        };
        found.add_splits(splits.likely);
        found.list(all);
        found
    }

    /// Lists the ways of the other splits too, and opens those that were closed:
    /// with a split that they were not compared with they may be good.
    pub fn list_others(&mut self) {
        self.ways.append(&mut self.closed);
        let known = self.splits.len();
        let others = std::mem::take(&mut self.others).into_iter();
        self.add_splits(others.map(|other| other.split).collect());
        self.add_for(known, &self.sets.clone());
        self.add_chopped_and_urgent(known);
        self.whole &= self.most_cut.is_none_or(|most| self.most_cut() <= most);
    }

    /// How hard each packing may be searched.
    pub fn effort(&self) -> Effort<'a> {
        self.effort
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
        let next: Vec<(usize, Look)> = next.into_iter().collect();
        self.make(&next);
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

    /// Splits that cut the same have one packer.
    fn add_splits(&mut self, splits: Vec<Split>) {
        let known = self.splits.iter().zip(&self.cut_by);
        let counts = |split: &Split| Wants::counts(&split.cut);
        let mut known: BTreeMap<Counts, usize> =
            known.map(|(split, packer)| (counts(split), *packer)).collect();
        for split in splits {
            let packer = *known.entry(counts(&split)).or_insert(self.packers.len());
            if packer == self.packers.len() {
                self.packers.push(Packer::new(self.effort));
            }
            self.splits.push(split);
            self.cut_by.push(packer);
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
        let first = self.origins.len();
        self.origins.extend(origins);
        let of: Vec<_> = (first..self.origins.len()).map(|origin| (origin, Look::Rough)).collect();
        self.make(&of);
    }

    /// Adds the ways of these origins, in their order. Where different rails are
    /// cut no packing is shared, so that each packer works by itself.
    fn make(&mut self, of: &[(usize, Look)]) {
        let Ways { wants, splits, cut_by, origins, packers, .. } = self;
        let mut each: Vec<Vec<usize>> = vec![Vec::new(); packers.len()];
        for (place, (origin, _)) in of.iter().enumerate() {
            each[cut_by[origins[*origin].split]].push(place);
        }
        let make = |(packer, places): (&mut Packer<'a>, Vec<usize>)| {
            let make = |place: usize| {
                let (number, look) = of[place];
                let origin = &origins[number];
                let making = Making { wants, split: &splits[origin.split], number, look };
                (place, making.make(&origin.cut, packer))
            };
            places.into_iter().map(make).collect::<Vec<_>>()
        };
        let each = packers.par_iter_mut().zip(each).with_max_len(1);
        let mut made: Vec<(usize, Made)> = each.flat_map_iter(make).collect();
        made.sort_by_key(|(place, _)| *place);
        for (_, made) in made {
            self.whole &= made.whole;
            self.ways.extend(made.ways);
        }
    }

    /// The most new sticks, or halves of them, that any way cuts; without limit
    /// while none cuts any.
    fn most_cut(&self) -> usize {
        let cut = |detail: &Detail| detail.bought.iter().map(|line| line.cut as usize).sum();
        let each = self.ways.iter().map(|(_, detail)| cut(detail));
        each.max().filter(|most| *most > 0).unwrap_or(usize::MAX)
    }
}

/// The ways of one origin.
struct Making<'a, 'b> {
    wants: &'b Wants<'a>,
    split: &'b Split,
    /// The origin's place.
    number: usize,
    look: Look,
}

/// What came of that; not whole if some ways were left out.
struct Made {
    ways: Vec<(Way, Detail)>,
    whole: bool,
}

impl<'a> Making<'a, '_> {
    fn make(&self, cut: &Cut, packer: &mut Packer<'a>) -> Made {
        let mut whole = true;
        let ways = match cut {
            Cut::Nothing => self.finish(&[], &Set::new(), &mut whole),
            Cut::From(set) => self.from(set, packer, &mut whole),
            Cut::FastAndSlow(pair) => {
                self.fast_and_slow(*pair, packer, &mut whole).unwrap_or_default()
            }
        };
        Made { ways, whole }
    }

    fn from(&self, set: &Set, packer: &mut Packer<'a>, whole: &mut bool) -> Vec<(Way, Detail)> {
        let none = BTreeSet::new();
        let task = Task { set, all: set, layers: &self.split.cut, gone: &none };
        let phase = packer.pack(self.wants, task, self.look);
        let Some(phase) = phase.filter(|phase| in_time(self.wants, phase)) else {
            let phases = self.day_by_day(set, packer).unwrap_or_default();
            // Other ways to share the rack out are not compared.
            *whole &= phases.first().is_none_or(|phase| !phase.pieces.is_empty());
            return if phases.len() > 1 { self.finish(&phases, set, whole) } else { Vec::new() };
        };
        let phases = shared_out(self.wants, set, phase, whole).into_iter();
        let phases = phases.filter(|phase| in_time(self.wants, phase));
        let phases: Vec<Phase> = phases.collect();
        phases.into_iter().flat_map(|phase| self.finish(&[phase], set, whole)).collect()
    }

    /// The layers that cannot wait for the first of these supplies from the rack
    /// alone, those that cannot wait for the next from the rack and the first, and
    /// so on; none if that fails.
    fn day_by_day(&self, set: &Set, packer: &mut Packer<'a>) -> Option<Vec<Phase>> {
        let wants = self.wants;
        let arrives = |(supply, _): &(usize, usize)| wants.supplies[*supply].arrives;
        let days: BTreeSet<Date> = set.iter().map(arrives).collect();
        let (mut phases, mut gone) = (Vec::new(), BTreeSet::new());
        let (mut open, mut here) = (self.split.cut.clone(), Set::new());
        for next in days.into_iter().map(Some).chain([None]) {
            let cannot_wait =
                |layer: &Layer| next.is_none_or(|next| layer.by.is_some_and(|by| by < next));
            let (now, rest): (Vec<Layer>, Vec<Layer>) =
                open.into_iter().partition(|layer| cannot_wait(layer));
            open = rest;
            if !now.is_empty() {
                let task = Task { set: &here, all: set, layers: &now, gone: &gone };
                let phase = packer.pack(wants, task, self.look)?;
                in_time(wants, &phase).then_some(())?;
                gone.extend(phase.touched());
                phases.push(phase);
            }
            here = set.iter().filter(|one| Some(arrives(one)) <= next).copied().collect();
        }
        Some(phases)
    }

    fn fast_and_slow(
        &self,
        [fast, slow]: [(usize, usize); 2],
        packer: &mut Packer<'a>,
        whole: &mut bool,
    ) -> Option<Vec<(Way, Detail)>> {
        let wants = self.wants;
        let (urgent, rest) = urgent(wants, self.split, slow.0);
        let all = vec![fast, slow];
        let (first, second, none) = (vec![fast], vec![slow], BTreeSet::new());
        let task = Task { set: &first, all: &all, layers: &urgent, gone: &none };
        let one = packer.pack(wants, task, self.look)?;
        let gone = one.touched();
        let task = Task { set: &second, all: &all, layers: &rest, gone: &gone };
        let two = packer.pack(wants, task, self.look)?;
        (in_time(wants, &one) && in_time(wants, &two))
            .then(|| self.finish(&[one, two], &all, whole))
    }

    fn finish(&self, phases: &[Phase], set: &Set, whole: &mut bool) -> Vec<(Way, Detail)> {
        let (ways, all) = finish(self.wants, self.split, phases, set, self.number);
        *whole &= all;
        ways
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

/// Whether everything that a phase cuts from has arrived in time for all of it.
fn in_time(wants: &Wants, phase: &Phase) -> bool {
    let used = phase.pieces.iter().map(|(supply, ..)| wants.supplies[*supply].arrives);
    let Some(arrives) = used.max() else { return true };
    phase.layers.iter().all(|layer| layer.by.is_none_or(|by| arrives <= by))
}
