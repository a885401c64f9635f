//! Of choices that serve the dates equally well, the one that uses up least,
//! then the one that takes fewest sticks: for each factor of the front by
//! itself.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::choice::{Asked, Decision, FrameChoice, Packings, Pick, asked_by, sum, take_out};
use super::front::{Component, NonDominated};
use super::packing::Packed;
use super::seek::{Seek, Sought, Verdict};
use super::work::Class;
use crate::measure::Worth;

/// So many choices are packed as well as can be; the others must show at a
/// glance that they use up more.
const MOST_PACKED: usize = 40;

/// After so many choices whose packing could not be proven, the others are only
/// glanced at: the best of them would not be known.
const MOST_UNPROVEN: usize = 3;

/// Decides between the choices of the front.
pub(crate) fn cheapest(
    mut front: NonDominated,
    classes: &[Class],
    packings: &mut Packings,
) -> Decision {
    front.spread_doubt(classes, &FrameChoice::new());
    let with_packings = |factor: &Component| {
        let packings = take_out(packings, &factor.mouldings);
        (factor.clone(), packings)
    };
    let mut factors: Vec<(Component, Packings)> = front.factors.iter().map(with_packings).collect();
    let asked = &front.asked;
    let decided: Vec<(Pick, Verdicts)> = factors
        .par_iter_mut()
        .map(|(factor, packings)| Judge { asked, classes, packings }.decide(factor))
        .collect();
    packings.extend(factors.into_iter().flat_map(|(_, packings)| packings));
    let (picks, verdicts): (Vec<Pick>, Vec<Verdicts>) = decided.into_iter().unzip();
    let verdicts = verdicts.into_iter().flatten().collect();
    let mut decision = Decision { common: front.common, picks, verdicts };
    let doubts = front.doubtful.into_iter().map(|moulding| (moulding, (false, Worth(0))));
    decision.verdicts.extend(doubts);
    decision
}

/// So many choices that are not listed are looked at.
const MOST_SOUGHT: usize = 300;

/// For each moulding whether nothing is better, and the least that can be.
type Verdicts = BTreeMap<String, (bool, Worth)>;

/// How hard to look.
#[derive(Clone, Copy)]
enum Care {
    Glance,
    Full,
}

/// What a choice comes to.
#[derive(Clone)]
struct ChoiceCost {
    used_up: Worth,
    sticks: u32,
    proven: bool,
    bounds: BTreeMap<String, Worth>,
}

struct Judge<'a, 'p> {
    asked: &'a Asked,
    classes: &'a [Class],
    packings: &'a mut Packings<'p>,
}

impl Judge<'_, '_> {
    fn decide(self, factor: &Component) -> (Pick, Verdicts) {
        match factor.listed() {
            Some(choices) => self.among(factor, choices),
            None => self.seek(factor),
        }
    }

    /// Decides between choices that are given by their levels.
    fn seek(self, factor: &Component) -> (Pick, Verdicts) {
        let Judge { asked, classes, packings } = self;
        let mut seek = Seek::new(classes, factor.levels.clone(), asked, packings);
        let (mut best, mut seen, mut packed, mut unproven) = (CheapestYet::default(), 0, 0, 0);
        let left = seek.each(|packings, choice, least| {
            let is_worse = best.found.as_ref().is_some_and(|(best, _)| Worth(least) > best.used_up);
            if is_worse || seen == MOST_SOUGHT || unproven == MOST_UNPROVEN {
                return Verdict::Enough;
            }
            seen += 1;
            let mut judge = Judge { asked, classes, packings };
            let Some(glance) = judge.cost(choice, Care::Glance) else {
                best.loosen(Worth(least));
                return Verdict::More;
            };
            let is_worth_while = !best.is_beyond(&glance) && packed < MOST_PACKED;
            packed += usize::from(is_worth_while);
            let full = is_worth_while.then(|| judge.cost(choice, Care::Full)).flatten();
            unproven += usize::from(full.as_ref().is_some_and(|cost| !cost.proven));
            best.offer(full.unwrap_or(glance), choice);
            Verdict::More
        });
        seek.renew();
        if best.found.is_none()
            && let Sought::Found(choice) = seek.any()
            && let Some(cost) =
                (Judge { asked, classes, packings: seek.packings }).cost(&choice, Care::Full)
        {
            best.offer(cost, &choice);
        }
        if let Some(left) = left {
            best.loosen(Worth(left));
        }
        best.bounds = match &seek.least_of_each() {
            each if each.len() > 1 => {
                each.iter().map(|(id, at)| (id.clone(), Worth(*at))).collect()
            }
            each => each.keys().map(|id| (id.clone(), best.least())).collect(),
        };
        best.decision(factor, false)
    }

    /// Decides between choices that are listed.
    fn among(mut self, factor: &Component, choices: &[FrameChoice]) -> (Pick, Verdicts) {
        let mut costs: Vec<(&FrameChoice, ChoiceCost)> = Vec::new();
        let mut best = CheapestYet::default();
        for choice in choices {
            match self.cost(choice, Care::Glance).or_else(|| self.cost(choice, Care::Full)) {
                Some(cost) => costs.push((choice, cost)),
                None => best.loosen(Worth(0)),
            }
        }
        costs.sort_by(|(a, one), (b, other)| {
            (one.used_up, one.sticks, a).cmp(&(other.used_up, other.sticks, b))
        });
        let mut unproven = 0;
        for (place, (choice, glance)) in costs.into_iter().enumerate() {
            let is_worth_while =
                !best.is_beyond(&glance) && place < MOST_PACKED && unproven < MOST_UNPROVEN;
            let full = is_worth_while.then(|| self.cost(choice, Care::Full)).flatten();
            unproven += usize::from(full.as_ref().is_some_and(|cost| !cost.proven));
            best.offer(full.unwrap_or(glance), choice);
        }
        best.decision(factor, true)
    }

    /// What a choice uses up; `None` if no packing for it was found.
    fn cost(&mut self, choice: &FrameChoice, care: Care) -> Option<ChoiceCost> {
        let asked = asked_by(self.classes, choice);
        let mut cost =
            ChoiceCost { used_up: Worth(0), sticks: 0, proven: true, bounds: BTreeMap::new() };
        for (moulding, packing) in &mut *self.packings {
            let counts = sum(self.asked.get(moulding), asked.get(moulding));
            if counts.is_empty() {
                cost.bounds.insert(moulding.clone(), Worth(0));
                continue;
            }
            let packed = match care {
                Care::Glance => packing.glance(&counts),
                Care::Full => packing.pack(&counts),
            };
            let Packed::Fits(fit) = packed else { return None };
            cost.used_up += fit.used_up;
            cost.sticks += fit.sticks;
            cost.proven &= fit.proven;
            cost.bounds.insert(moulding.clone(), fit.bound);
        }
        Some(cost)
    }
}

/// The best of the choices looked at, and what none of them can beat.
#[derive(Default)]
struct CheapestYet {
    found: Option<(ChoiceCost, FrameChoice)>,
    /// Others that are proven and cost the same.
    equals: Vec<FrameChoice>,
    bounds: BTreeMap<String, Worth>,
    /// The least that a choice whose packing is not proven might use up.
    loose: Option<Worth>,
}

impl CheapestYet {
    /// Whether a choice uses up more than the best, whatever is made of it.
    fn is_beyond(&self, cost: &ChoiceCost) -> bool {
        let least: Worth = cost.bounds.values().copied().sum();
        self.found.as_ref().is_some_and(|(best, _)| least > best.used_up)
    }

    /// Some choice, of which no more is known, may use up as little as this.
    fn loosen(&mut self, least: Worth) {
        self.loose = Some(self.loose.map_or(least, |loose| loose.min(least)));
    }

    /// The least that any choice may use up.
    fn least(&self) -> Worth {
        let found = self.found.as_ref().map(|(cost, _)| cost.used_up);
        found.into_iter().chain(self.loose).min().unwrap_or_default()
    }

    fn offer(&mut self, cost: ChoiceCost, choice: &FrameChoice) {
        for (moulding, least) in &cost.bounds {
            let known = self.bounds.entry(moulding.clone()).or_insert(*least);
            *known = (*known).min(*least);
        }
        if !cost.proven {
            self.loosen(cost.bounds.values().copied().sum());
        }
        let key = (cost.used_up, cost.sticks);
        let best = self.found.as_ref().map(|(best, _)| (best.used_up, best.sticks));
        if best.is_none_or(|best| key < best) {
            self.found = Some((cost, choice.clone()));
            self.equals.clear();
        } else if best == Some(key) && cost.proven {
            self.equals.push(choice.clone());
        }
    }

    /// What is decided; `all` if all choices of the factor were offered.
    fn decision(self, factor: &Component, all: bool) -> (Pick, Verdicts) {
        let mouldings = factor.mouldings.clone();
        let Some((cost, choice)) = self.found else {
            // Cut off before any was packed: nothing is known but that one has room.
            let verdicts = mouldings.iter().map(|id| (id.clone(), (false, Worth(0)))).collect();
            let choices = vec![factor.seen().clone()];
            return (Pick { choices, mouldings, whole: false }, verdicts);
        };
        let beaten = self.loose.is_some_and(|loose| loose <= cost.used_up);
        let best = cost.proven && !beaten;
        // Of a choice whose packing was not found nothing is known at all.
        let blind = self.loose == Some(Worth(0));
        let of = |id: &String| {
            let least = self.bounds.get(id).copied().filter(|_| !blind).unwrap_or_default();
            (id.clone(), (best, least))
        };
        let verdicts = mouldings.iter().map(of).collect();
        let equals = if best { self.equals } else { Vec::new() };
        let choices = std::iter::once(choice).chain(equals).collect();
        (Pick { choices, mouldings, whole: best && all }, verdicts)
    }
}
