//! Which frames are cut today when the rack cannot serve all of them.
//!
//! The earliest date first: as many of its frames as any choice allows, then as
//! many of the next date among the choices that reached this, and so on; of the
//! choices left at the end the one that uses up least. The search keeps *all*
//! choices that are best so far, so its answer is exact as long as there are
//! few of them; beyond [`MOST_CHOICES`] it goes on with one choice and says so.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::packing::{Counts, Packed, Packing};
use super::work::Class;
use crate::measure::Worth;

/// More choices than this are not compared. Each costs a packing or two, and a
/// day with a handful of contested frames has a few hundred.
const MOST_CHOICES: usize = 2_000;

/// A class with a lot for each of its layers (`None` where lots do not matter).
pub(super) type Variant = (usize, Vec<Option<u32>>);

/// How many of each variant are cut.
pub(super) type Choice = BTreeMap<Variant, u32>;

/// Mouldings that frames of several layers tie together, and those frames.
pub(super) struct Contest<'a, 'p> {
    pub classes: &'a [Class],
    pub packings: &'a mut BTreeMap<String, Packing<'p>>,
    /// The lots that each class may be cut from.
    pub variants: &'a BTreeMap<usize, Vec<Vec<Option<u32>>>>,
    /// The frames by date, earliest first, undated last: how many of which class.
    pub dates: Vec<(Option<Date>, BTreeMap<usize, u32>)>,
}

/// What was decided.
pub(super) struct Decision {
    pub choice: Choice,
    /// Whether no other choice serves the dates better, or as well for less.
    pub complete: bool,
    /// For each moulding, what every choice that serves the dates as well uses up at least.
    pub bounds: BTreeMap<String, Worth>,
    /// What every such choice uses up at least in all the mouldings together.
    pub bound: Worth,
}

/// What a choice comes to.
struct Cost {
    used_up: Worth,
    sticks: u32,
    bounds: BTreeMap<String, Worth>,
}

enum Verdict {
    Fits(Cost),
    Impossible,
    Unknown,
}

impl Contest<'_, '_> {
    /// Decides.
    pub fn decide(mut self) -> Decision {
        let dates = std::mem::take(&mut self.dates);
        let mut search = Search { contest: &mut self, complete: true };
        let front = match search.everything(&dates) {
            Some(front) => front,
            None => search.by_date(&dates),
        };
        let complete = search.complete;
        self.cheapest(front, complete)
    }

    fn cheapest(&mut self, front: Vec<Choice>, complete: bool) -> Decision {
        let mut best: Option<(Worth, u32, Choice)> = None;
        let mut bounds: BTreeMap<String, Worth> = BTreeMap::new();
        let mut bound: Option<Worth> = None;
        for choice in front {
            let Verdict::Fits(cost) = self.judge(&choice) else { continue };
            for (moulding, least) in &cost.bounds {
                let known = bounds.entry(moulding.clone()).or_insert(*least);
                *known = (*known).min(*least);
            }
            let least = cost.bounds.values().copied().sum();
            bound = Some(bound.map_or(least, |bound| bound.min(least)));
            let better = best.as_ref().is_none_or(|(used_up, sticks, _)| {
                (cost.used_up, cost.sticks) < (*used_up, *sticks)
            });
            if better {
                best = Some((cost.used_up, cost.sticks, choice));
            }
        }
        let choice = best.map(|(_, _, choice)| choice).unwrap_or_default();
        if !complete {
            bounds.values_mut().for_each(|bound| *bound = Worth(0));
            bound = None;
        }
        Decision { choice, complete, bounds, bound: bound.unwrap_or_default() }
    }

    fn judge(&mut self, choice: &Choice) -> Verdict {
        let mut cost = Cost { used_up: Worth(0), sticks: 0, bounds: BTreeMap::new() };
        for (moulding, counts) in by_moulding(self.classes, choice) {
            match self.packings.get_mut(&moulding).expect("every moulding is packed").pack(&counts)
            {
                Packed::Fits(fit) => {
                    cost.used_up += fit.used_up;
                    cost.sticks += fit.sticks;
                    cost.bounds.insert(moulding, fit.bound);
                }
                Packed::Impossible => return Verdict::Impossible,
                Packed::Unknown => return Verdict::Unknown,
            }
        }
        Verdict::Fits(cost)
    }
}

/// What a choice asks of each moulding.
pub(super) fn by_moulding(classes: &[Class], choice: &Choice) -> BTreeMap<String, Counts> {
    let mut asked: BTreeMap<String, Counts> = BTreeMap::new();
    for ((class, lots), count) in choice.iter().filter(|(_, count)| **count > 0) {
        for (layer, lot) in classes[*class].layers.iter().zip(lots) {
            *asked
                .entry(layer.moulding.clone())
                .or_default()
                .entry((layer.ask, *lot))
                .or_default() += count;
        }
    }
    asked
}

struct Search<'s, 'a, 'p> {
    contest: &'s mut Contest<'a, 'p>,
    complete: bool,
}

type Dates = [(Option<Date>, BTreeMap<usize, u32>)];

impl Search<'_, '_, '_> {
    /// All ways to cut everything, if there are any and not too many to look at.
    fn everything(&mut self, dates: &Dates) -> Option<Vec<Choice>> {
        let mut all: BTreeMap<usize, u32> = BTreeMap::new();
        for (_, classes) in dates {
            for (class, count) in classes {
                *all.entry(*class).or_default() += count;
            }
        }
        let total = all.values().sum();
        let (choices, whole) = self.spread(&all, total);
        let front = if whole { self.fitting(&Choice::new(), choices) } else { Vec::new() };
        (!front.is_empty() && self.complete).then_some(front)
    }

    fn by_date(&mut self, dates: &Dates) -> Vec<Choice> {
        self.complete = true;
        let mut front = vec![Choice::new()];
        for (_, classes) in dates {
            front = match self.most_of(&front, classes) {
                Some(front) => front,
                None => vec![self.one_by_one(&front[0], classes)],
            };
        }
        front
    }

    /// All choices that cut as many of one date as can be cut; `None` if there
    /// are too many to look at.
    fn most_of(&mut self, front: &[Choice], classes: &BTreeMap<usize, u32>) -> Option<Vec<Choice>> {
        for total in (0..=classes.values().sum()).rev() {
            let (choices, whole) = self.spread(classes, total);
            let effort = self.contest.effort() + choices.len() * front.len();
            if !whole || effort > MOST_CHOICES {
                return None;
            }
            let mut next: Vec<Choice> = Vec::new();
            for base in front {
                next.extend(self.fitting(base, choices.clone()));
            }
            next.sort();
            next.dedup();
            if !next.is_empty() {
                return Some(next);
            }
        }
        None
    }

    /// Those of the choices that can be cut on top of `base`.
    fn fitting(&mut self, base: &Choice, choices: Vec<Choice>) -> Vec<Choice> {
        let mut fitting = Vec::new();
        for mut choice in choices {
            for (variant, count) in base {
                *choice.entry(variant.clone()).or_default() += count;
            }
            match self.contest.judge(&choice) {
                Verdict::Fits(_) => fitting.push(choice),
                Verdict::Impossible => {}
                Verdict::Unknown => self.complete = false,
            }
        }
        fitting
    }

    /// Every way to pick `total` frames and their lots; false if there are more
    /// than [`MOST_CHOICES`].
    fn spread(&self, classes: &BTreeMap<usize, u32>, total: u32) -> (Vec<Choice>, bool) {
        let mut choices = vec![(Choice::new(), 0_u32)];
        let mut rest: u32 = classes.values().sum();
        for (class, count) in classes {
            let variants = &self.contest.variants[class];
            rest -= count;
            let mut wider = Vec::new();
            for (choice, picked) in &choices {
                let least = total.saturating_sub(picked + rest);
                for some in least..=(*count).min(total - picked) {
                    if wider.len() + ways(some, variants.len()) > MOST_CHOICES {
                        return (Vec::new(), false);
                    }
                    for lots in shares(some, variants.len()) {
                        let mut choice = choice.clone();
                        let picks = lots.iter().zip(variants).filter(|(n, _)| **n > 0);
                        choice.extend(picks.map(|(n, variant)| ((*class, variant.clone()), *n)));
                        wider.push((choice, picked + some));
                    }
                }
            }
            choices = wider;
        }
        (choices.into_iter().map(|(choice, _)| choice).collect(), true)
    }

    /// One choice, frame by frame in order: not known to be the best.
    fn one_by_one(&mut self, base: &Choice, classes: &BTreeMap<usize, u32>) -> Choice {
        self.complete = false;
        let mut choice = base.clone();
        let mut order: Vec<usize> = classes.keys().copied().collect();
        order.sort_by_key(|class| self.contest.material(*class));
        for class in order {
            for _ in 0..classes[&class] {
                let Some(more) = self.one_more(&choice, class) else { break };
                choice = more;
            }
        }
        choice
    }

    fn one_more(&mut self, choice: &Choice, class: usize) -> Option<Choice> {
        self.contest.variants[&class].iter().find_map(|variant| {
            let mut more = choice.clone();
            *more.entry((class, variant.clone())).or_default() += 1;
            matches!(self.contest.judge(&more), Verdict::Fits(_)).then_some(more)
        })
    }
}

impl Contest<'_, '_> {
    /// How many different packings have been looked at.
    fn effort(&self) -> usize {
        self.packings.values().map(Packing::effort).sum()
    }

    /// The length of moulding that a frame of this class takes.
    fn material(&self, class: usize) -> i64 {
        let layer_length = |layer: &super::work::ClassLayer| {
            let ask = &self.packings[&layer.moulding].asks[layer.ask];
            ask.rails.iter().map(|rail| rail.long_point.nm()).sum::<i64>()
        };
        self.classes[class].layers.iter().map(layer_length).sum()
    }
}

/// How many ways there are to share `count` among `parts`: (count + parts - 1)
/// over (parts - 1), or the largest number if that is too large.
fn ways(count: u32, parts: usize) -> usize {
    (1..parts)
        .try_fold(1_usize, |ways, part| {
            ways.checked_mul(count as usize + part).map(|ways| ways / part)
        })
        .unwrap_or(usize::MAX)
}

/// Every way to share `count` among `parts`, as the count of each part.
fn shares(count: u32, parts: usize) -> Vec<Vec<u32>> {
    match parts {
        0 => {
            if count == 0 {
                vec![Vec::new()]
            } else {
                Vec::new()
            }
        }
        1 => vec![vec![count]],
        _ => (0..=count)
            .flat_map(|first| {
                shares(count - first, parts - 1).into_iter().map(move |mut rest| {
                    rest.insert(0, first);
                    rest
                })
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::shares;

    #[test]
    fn every_way_to_share_is_there_once() {
        assert_eq!(shares(2, 2), vec![vec![0, 2], vec![1, 1], vec![2, 0]]);
        assert_eq!(shares(3, 3).len(), 10);
        assert_eq!(super::ways(3, 3), 10);
        assert_eq!(super::ways(100, 5), 4_598_126);
        assert_eq!(shares(1, 0).len(), 0);
    }
}
