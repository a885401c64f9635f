//! Which frames are cut when the sticks cannot serve all of them.
//!
//! The earliest date first: as many of its frames as any choice allows, then as
//! many of the next date among the choices that reached this, and so on; of the
//! choices left at the end the one that uses up least. The search keeps *all*
//! choices that are best so far, as a [`NonDominated`]: listed as long as there are few
//! of them, beyond [`MOST_CHOICES`] by what they have in common, which is how
//! many frames of each date they cut ([`Seek`]). Where not even that is settled
//! it goes on with one choice and says so.
//!
//! On each date a moulding of which there is enough for everyone decides
//! nothing, whichever choice was made before; frames that need no other are cut
//! in any case. The rest falls into parts that share no scarce moulding.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use super::cheapest::cheapest;
use super::choice::{
    Asked, Decision, FrameChoice, MOST_CHOICES, Packings, add, asked_by, join, may_search, spend,
    sum, take_out,
};
use super::front::{Cardinality, Component, NonDominated};
use super::packing::{Packing, Room};
use super::seek::{Seek, Sought};
use super::ties::Ties;
use super::work::Class;

/// More ways than this to pick frames of one date are not even measured.
const MOST_PICKS: usize = 5_000;

/// So many times a glance that settles nothing is followed by a full look.
const MOST_FULL_LOOKS: usize = 40;

/// Frames that compete for the same mouldings.
pub(crate) struct Contest<'a, 'p> {
    pub classes: &'a [Class],
    /// Every moulding that the contest touches.
    pub packings: &'a mut Packings<'p>,
    /// What is cut of them in any case.
    pub base: Asked,
    /// The frames in the order of their turns, which is that of their dates but
    /// for those rushed: how many of which class.
    pub turns: Vec<FrameChoice>,
}

/// What measuring one pick takes, in steps.
const STEPS_OF_A_PICK: u64 = 2;

impl Contest<'_, '_> {
    /// Decides.
    pub fn decide(mut self) -> Decision {
        let mut front = NonDominated::new(std::mem::take(&mut self.base));
        let turns = std::mem::take(&mut self.turns);
        // One turn more: which of the choices is the cheapest.
        let left = (1..=turns.len() as u64).rev();
        for (wanted, left) in turns.into_iter().zip(left) {
            front.spread_doubt(self.classes, &wanted);
            self.packings.values_mut().for_each(|packing| packing.keep_for(left + 1));
            self.serve(&mut front, &wanted);
        }
        self.packings.values_mut().for_each(|packing| packing.keep_for(1));
        cheapest(front, self.classes, self.packings)
    }

    /// Narrows the front to the choices that cut as many of one date as can be.
    fn serve(&mut self, front: &mut NonDominated, wanted: &FrameChoice) {
        let all = asked_by(self.classes, wanted);
        let scarce = self.scarce(front, &all);
        let is_contested = |class: usize| {
            self.classes[class].layers.iter().any(|layer| scarce.contains(&layer.moulding))
        };
        let (contested, certain): (FrameChoice, FrameChoice) =
            wanted.iter().partition(|(class, _)| is_contested(**class));
        front.cut(self.classes, &certain);
        let mut parts: Vec<(Contested, Packings)> = self
            .parts(front, &contested, &scarce)
            .into_iter()
            .map(|part| {
                let packings = take_out(self.packings, &part.mouldings);
                (part, packings)
            })
            .collect();
        let (asked, classes) = (&front.asked, self.classes);
        let served: Vec<ServedPart> = parts
            .par_iter_mut()
            .map(|(part, packings)| ChoiceSearch::new(part, packings, asked, classes).serve())
            .collect();
        for ((part, packings), served) in parts.into_iter().zip(served) {
            self.packings.extend(packings);
            if !served.complete {
                front.doubt(self.classes, part.wanted.keys().copied());
                front.doubt(self.classes, part.factors.iter().flat_map(Component::classes));
            }
            match served.choices {
                Alternatives::Listed(choices) => front.admit(self.classes, choices),
                Alternatives::Levels(levels, seen) => {
                    front.admit_levels(self.classes, levels, seen);
                }
            }
        }
        front.part(self.classes);
    }

    /// The mouldings that, after some choice of the front, have not enough for
    /// all that is asked of them.
    fn scarce(&mut self, front: &NonDominated, all: &Asked) -> BTreeSet<String> {
        let classes = self.classes;
        let lacks = |(moulding, packing): (&String, &mut Packing)| {
            let more = all.get(moulding)?;
            let mut loads = front.loads(classes, moulding).into_iter();
            let lacks =
                loads.any(|load| packing.room(&sum(Some(&load), Some(more))) != Room::Ample);
            lacks.then(|| moulding.clone())
        };
        self.packings.par_iter_mut().filter_map(lacks).collect()
    }

    /// The contested frames of a date in parts that share no scarce moulding,
    /// with the factors of the front that they hang on.
    fn parts(
        &self,
        front: &mut NonDominated,
        contested: &FrameChoice,
        scarce: &BTreeSet<String>,
    ) -> Vec<Contested> {
        let of_class = |class: usize| {
            let layers = self.classes[class].layers.iter();
            layers.map(|layer| layer.moulding.as_str()).filter(|id| scarce.contains(*id))
        };
        let factors = front.take_factors(scarce);
        let of_factor = |factor: &Component| -> Vec<String> {
            factor.mouldings.intersection(scarce).cloned().collect()
        };
        let mut ties = Ties::default();
        contested.keys().for_each(|class| ties.tie(of_class(*class)));
        let touched: Vec<Vec<String>> = factors.iter().map(of_factor).collect();
        touched.iter().for_each(|ids| ties.tie(ids.iter().map(String::as_str)));
        let mut parts: BTreeMap<&str, Contested> = BTreeMap::new();
        for id in scarce {
            let part = parts.entry(ties.leader(id)).or_default();
            part.mouldings.insert(id.clone());
        }
        for (class, count) in contested {
            let id = of_class(*class).next().expect("a contested frame needs a scarce moulding");
            let part = parts.entry(ties.leader(id)).or_default();
            part.wanted.insert(*class, *count);
        }
        for (factor, ids) in factors.into_iter().zip(&touched) {
            let part = parts.entry(ties.leader(&ids[0])).or_default();
            if factor.listed().is_none() {
                // Its choices are still to be packed, into all that they take from.
                part.mouldings.extend(factor.mouldings.iter().cloned());
            }
            part.factors.push(factor);
        }
        parts.into_values().collect()
    }
}

/// Frames of one date that compete, whatever all the others do.
#[derive(Default)]
struct Contested {
    mouldings: BTreeSet<String>,
    wanted: FrameChoice,
    factors: Vec<Component>,
}

/// The choices that serve a part best; not complete if there may be better.
struct ServedPart {
    choices: Alternatives,
    complete: bool,
}

/// Choices of which one is to be taken.
enum Alternatives {
    Listed(Vec<FrameChoice>),
    /// By what they have in common, and one of them.
    Levels(Vec<Cardinality>, FrameChoice),
}

/// The search for them.
struct ChoiceSearch<'a, 'p> {
    part: &'a Contested,
    packings: &'a mut Packings<'p>,
    asked: &'a Asked,
    classes: &'a [Class],
    complete: bool,
    full_looks: usize,
}

impl<'a, 'p> ChoiceSearch<'a, 'p> {
    fn new(
        part: &'a Contested,
        packings: &'a mut Packings<'p>,
        asked: &'a Asked,
        classes: &'a [Class],
    ) -> Self {
        let full_looks = MOST_FULL_LOOKS;
        ChoiceSearch { part, packings, asked, classes, complete: true, full_looks }
    }

    fn serve(mut self) -> ServedPart {
        let before = Component::product(&self.part.factors, MOST_CHOICES);
        let choices = match before.and_then(|before| self.most_of(&before)) {
            Some(choices) => Alternatives::Listed(choices),
            None => self.by_levels(),
        };
        ServedPart { choices, complete: self.complete }
    }

    /// How many of what is wanted can be cut with some choice made before.
    fn by_levels(&mut self) -> Alternatives {
        self.complete = true;
        let wanted = &self.part.wanted;
        let before: Vec<Cardinality> =
            self.part.factors.iter().flat_map(|factor| factor.levels.clone()).collect();
        let level = |total| Cardinality::Some { wanted: wanted.clone(), total };
        let all = wanted.values().sum();
        let levels = before.iter().cloned().chain([level(all)]).collect();
        let mut first = FrameChoice::new();
        self.part.factors.iter().for_each(|factor| join(&mut first, factor.seen()));
        if !may_search(self.packings) {
            return Alternatives::Listed(vec![self.one_by_one(&first)]);
        }
        let mut seek = Seek::new(self.classes, levels, self.asked, self.packings);
        for total in (0..=all).rev() {
            seek.set_last(&before, level(total));
            match seek.any() {
                Sought::Found(choice) if self.complete => {
                    let levels = before.into_iter().chain([level(total)]).collect();
                    return Alternatives::Levels(levels, choice);
                }
                Sought::Found(choice) => return Alternatives::Listed(vec![choice]),
                Sought::Nothing => {}
                Sought::Unknown => {
                    self.complete = false;
                    break;
                }
            }
        }
        Alternatives::Listed(vec![self.one_by_one(&first)])
    }

    /// All choices that cut as many of what is wanted as can be cut; `None` if
    /// there are too many to look at.
    fn most_of(&mut self, before: &[FrameChoice]) -> Option<Vec<FrameChoice>> {
        let wanted = &self.part.wanted;
        for total in (0..=wanted.values().sum()).rev() {
            let picks = picks(wanted, total)?;
            if picks.len() * before.len() > MOST_PICKS || !may_search(self.packings) {
                return None;
            }
            spend(self.packings, STEPS_OF_A_PICK * (picks.len() * before.len()) as u64);
            let pairs = before.iter().flat_map(|base| picks.iter().map(move |pick| (base, pick)));
            let long: Vec<(&FrameChoice, &FrameChoice)> =
                pairs.filter(|(base, pick)| self.has_length(base, pick)).collect();
            if self.effort() + long.len() > MOST_CHOICES {
                return None;
            }
            let mut next: Vec<FrameChoice> =
                long.into_iter().filter_map(|(base, pick)| self.fitting(base, pick)).collect();
            next.sort();
            next.dedup();
            if !next.is_empty() {
                return Some(next);
            }
        }
        None
    }

    /// How many different packings have been looked at.
    fn effort(&self) -> usize {
        self.packings.values().map(Packing::effort).sum()
    }

    /// Whether all sticks together are long enough for a choice with some more.
    fn has_length(&self, base: &FrameChoice, pick: &FrameChoice) -> bool {
        let mut asked = asked_by(self.classes, base);
        add(&mut asked, self.classes, pick);
        self.packings.iter().all(|(moulding, packing)| {
            let counts = sum(self.asked.get(moulding), asked.get(moulding));
            packing.length(&counts) <= packing.all_room()
        })
    }

    /// The choice with some frames more, if it can be cut.
    fn fitting(&mut self, base: &FrameChoice, pick: &FrameChoice) -> Option<FrameChoice> {
        let mut choice = base.clone();
        join(&mut choice, pick);
        let asked = asked_by(self.classes, &choice);
        for (moulding, packing) in &mut *self.packings {
            let counts = sum(self.asked.get(moulding), asked.get(moulding));
            let mut room = packing.glance_room(&counts);
            if room == Room::Unknown && self.complete && self.full_looks > 0 {
                self.full_looks -= 1;
                room = packing.room(&counts);
            }
            match room {
                Room::Ample => {}
                Room::Lacking => return None,
                Room::Unknown => {
                    self.complete = false;
                    return None;
                }
            }
        }
        Some(choice)
    }

    /// One choice, frame by frame, those that take least first: not known to be
    /// the best.
    fn one_by_one(&mut self, base: &FrameChoice) -> FrameChoice {
        self.complete = false;
        let wanted = self.part.wanted.iter();
        let mut order: Vec<(usize, u32)> = wanted.map(|(class, count)| (*class, *count)).collect();
        order.sort_by_key(|(class, _)| self.material(*class));
        let mut choice = base.clone();
        let each = order.into_iter();
        let frames: Vec<usize> =
            each.flat_map(|(class, count)| vec![class; count as usize]).collect();
        // All of them, else the smaller half of them before the other.
        let mut open = vec![frames.as_slice()];
        while let Some(some) = open.pop().filter(|some| !some.is_empty()) {
            let mut more = FrameChoice::new();
            some.iter().for_each(|class| join(&mut more, &FrameChoice::from([(*class, 1)])));
            if let Some(more) = self.fitting(&choice, &more) {
                choice = more;
            } else if some.len() > 1 {
                let (smaller, larger) = some.split_at(some.len() / 2);
                open.extend([larger, smaller]);
            }
        }
        choice
    }

    /// The length of scarce moulding that a frame of this class takes.
    fn material(&self, class: usize) -> i64 {
        let layers = self.classes[class].layers.iter();
        let scarce = layers.filter_map(|layer| Some((self.packings.get(&layer.moulding)?, layer)));
        let asks = scarce.filter_map(|(packing, layer)| packing.asks.get(layer.ask));
        let rails = asks.flat_map(|ask| &ask.rails);
        rails.map(|rail| rail.long_point.nm()).sum()
    }
}

/// Every way to pick `total` of what is wanted; `None` if there are more than
/// [`MOST_PICKS`].
fn picks(wanted: &FrameChoice, total: u32) -> Option<Vec<FrameChoice>> {
    let mut picks = vec![(FrameChoice::new(), 0_u32)];
    let mut rest: u32 = wanted.values().sum();
    for (class, count) in wanted {
        rest -= count;
        let mut wider = Vec::new();
        for (pick, picked) in &picks {
            let least = total.saturating_sub(picked + rest);
            for some in least..=(*count).min(total - picked) {
                let mut pick = pick.clone();
                if some > 0 {
                    pick.insert(*class, some);
                }
                wider.push((pick, picked + some));
            }
            if wider.len() > MOST_PICKS {
                return None;
            }
        }
        picks = wider;
    }
    Some(picks.into_iter().map(|(pick, _)| pick).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pick_is_there_once() {
        let wanted = FrameChoice::from([(0, 2), (1, 1)]);
        assert_eq!(picks(&wanted, 3).unwrap(), vec![wanted.clone()]);
        assert_eq!(picks(&wanted, 2).unwrap().len(), 2);
        assert_eq!(picks(&wanted, 0).unwrap(), vec![FrameChoice::new()]);
        let many: FrameChoice = (0..40).map(|class| (class, 1)).collect();
        assert_eq!(picks(&many, 20), None);
    }
}
