//! Which frames are cut when the sticks cannot serve all of them.
//!
//! The earliest date first: as many of its frames as any choice allows, then as
//! many of the next date among the choices that reached this, and so on; of the
//! choices left at the end the one that uses up least. The search keeps *all*
//! choices that are best so far, so its answer is exact as long as there are
//! few of them; beyond [`MOST_CHOICES`] it goes on with one choice and says so.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::packing::{Counts, Packed, Packing};
use super::work::{Class, ClassLayer};
use crate::measure::Worth;

/// More choices than this are not compared. Each costs a packing or two, and a
/// day with a handful of contested frames has a few hundred.
const MOST_CHOICES: usize = 500;

/// Of choices that serve the dates equally well, this many are packed as well
/// as can be; the others must show at a glance that they use up more.
const MOST_PACKED: usize = 40;

/// How many frames of each class are cut.
pub(super) type Choice = BTreeMap<usize, u32>;

/// What each moulding is asked for.
pub(super) type Asked = BTreeMap<String, Counts>;

/// Frames that compete for the same mouldings.
pub(super) struct Contest<'a, 'p> {
    pub classes: &'a [Class],
    pub packings: &'a mut BTreeMap<String, Packing<'p>>,
    /// What is cut in any case, for every moulding that the contest touches.
    pub base: &'a Asked,
    /// The frames by date, earliest first, undated last: how many of which class.
    pub dates: Vec<(Option<Date>, Choice)>,
}

/// What was decided.
pub(super) struct Decision {
    pub choice: Choice,
    /// Whether no other choice serves the dates better, or as well for less.
    pub best: bool,
    /// For each moulding, what every choice that serves the dates as well uses
    /// up at least.
    pub bounds: BTreeMap<String, Worth>,
}

/// What a choice comes to.
struct Cost {
    used_up: Worth,
    sticks: u32,
    proven: bool,
    bounds: BTreeMap<String, Worth>,
}

enum Verdict {
    Fits(Cost),
    Impossible,
    Unknown,
}

/// How hard to look.
#[derive(Clone, Copy)]
enum Care {
    Glance,
    Full,
}

/// Adds what the frames of a choice ask of each moulding.
pub(super) fn add(asked: &mut Asked, classes: &[Class], choice: &Choice) {
    for (class, count) in choice.iter().filter(|(_, count)| **count > 0) {
        for layer in &classes[*class].layers {
            *asked.entry(layer.moulding.clone()).or_default().entry(layer.ask).or_default() +=
                count;
        }
    }
}

impl Contest<'_, '_> {
    /// Decides.
    pub fn decide(self) -> Decision {
        let dates = self.dates.clone();
        let mut search = Search { contest: self, complete: true, full_looks: MOST_PACKED };
        let front = search.by_date(&dates);
        search.cheapest(front)
    }

    /// What the sticks say to a choice on top of what is cut in any case.
    fn judge(&mut self, choice: &Choice, care: Care) -> Verdict {
        let mut asked = self.base.clone();
        add(&mut asked, self.classes, choice);
        let mut cost = Cost { used_up: Worth(0), sticks: 0, proven: true, bounds: BTreeMap::new() };
        for (moulding, counts) in asked.iter().filter(|(_, counts)| !counts.is_empty()) {
            let packing = self.packings.get_mut(moulding).expect("every moulding is packed");
            let packed = match care {
                Care::Glance => packing.glance(counts),
                Care::Full => packing.pack(counts),
            };
            match packed {
                Packed::Fits(fit) => {
                    cost.used_up += fit.used_up;
                    cost.sticks += fit.sticks;
                    cost.proven &= fit.proven;
                    cost.bounds.insert(moulding.clone(), fit.bound);
                }
                Packed::Impossible => return Verdict::Impossible,
                Packed::Unknown => return Verdict::Unknown,
            }
        }
        Verdict::Fits(cost)
    }

    /// How many different packings have been looked at.
    fn effort(&self) -> usize {
        self.base.keys().map(|moulding| self.packings[moulding].effort()).sum()
    }

    /// The length of moulding that a frame of this class takes.
    fn material(&self, class: usize) -> i64 {
        let length = |layer: &ClassLayer| -> i64 {
            let ask = &self.packings[&layer.moulding].asks[layer.ask];
            ask.rails.iter().map(|rail| rail.long_point.nm()).sum()
        };
        self.classes[class].layers.iter().map(length).sum()
    }
}

struct Search<'a, 'p> {
    contest: Contest<'a, 'p>,
    complete: bool,
    full_looks: usize,
}

impl Search<'_, '_> {
    fn by_date(&mut self, dates: &[(Option<Date>, Choice)]) -> Vec<Choice> {
        let mut front = vec![Choice::new()];
        for (_, wanted) in dates {
            front = match self.most_of(&front, wanted) {
                Some(front) => front,
                None => vec![self.one_by_one(&front[0], wanted)],
            };
        }
        front
    }

    /// All choices that cut as many of one date as can be cut; `None` if there
    /// are too many to look at.
    fn most_of(&mut self, front: &[Choice], wanted: &Choice) -> Option<Vec<Choice>> {
        for total in (0..=wanted.values().sum()).rev() {
            let picks = picks(wanted, total)?;
            if self.contest.effort() + picks.len() * front.len() > MOST_CHOICES {
                return None;
            }
            let mut next: Vec<Choice> = Vec::new();
            for base in front {
                next.extend(picks.iter().filter_map(|pick| self.fitting(base, pick)));
            }
            next.sort();
            next.dedup();
            if !next.is_empty() {
                return Some(next);
            }
        }
        None
    }

    /// The choice with some frames more, if it can be cut.
    fn fitting(&mut self, base: &Choice, pick: &Choice) -> Option<Choice> {
        let mut choice = base.clone();
        for (class, count) in pick {
            *choice.entry(*class).or_default() += count;
        }
        match self.look(&choice) {
            Verdict::Fits(_) => Some(choice),
            Verdict::Impossible => None,
            Verdict::Unknown => {
                self.complete = false;
                None
            }
        }
    }

    /// A glance; where that does not settle it, a full look while they last and
    /// completeness is still to be had.
    fn look(&mut self, choice: &Choice) -> Verdict {
        match self.contest.judge(choice, Care::Glance) {
            Verdict::Unknown if self.complete && self.full_looks > 0 => {
                self.full_looks -= 1;
                self.contest.judge(choice, Care::Full)
            }
            verdict => verdict,
        }
    }

    /// One choice, frame by frame, those that take least first: not known to be
    /// the best.
    fn one_by_one(&mut self, base: &Choice, wanted: &Choice) -> Choice {
        self.complete = false;
        let mut order: Vec<(usize, u32)> =
            wanted.iter().map(|(class, count)| (*class, *count)).collect();
        order.sort_by_key(|(class, _)| self.contest.material(*class));
        let mut choice = base.clone();
        for (class, count) in order {
            for _ in 0..count {
                let Some(more) = self.fitting(&choice, &Choice::from([(class, 1)])) else { break };
                choice = more;
            }
        }
        choice
    }

    /// Of choices that serve the dates equally well, the one that uses up
    /// least, then the one that takes fewest sticks.
    fn cheapest(mut self, front: Vec<Choice>) -> Decision {
        let mut best = Best::default();
        for (place, choice) in self.promising(front).into_iter().enumerate() {
            let Verdict::Fits(glance) = self.contest.judge(&choice, Care::Glance) else { continue };
            let care = if best.is_beyond(&glance) || place >= MOST_PACKED {
                Care::Glance
            } else {
                Care::Full
            };
            let Verdict::Fits(cost) = self.contest.judge(&choice, care) else { continue };
            best.offer(cost, choice);
        }
        best.decision(self.complete)
    }

    /// The choices, those that seem to use up least at a glance first.
    fn promising(&mut self, front: Vec<Choice>) -> Vec<Choice> {
        let mut order: Vec<(Worth, u32, Choice)> = Vec::with_capacity(front.len());
        for choice in front {
            if let Verdict::Fits(cost) = self.look(&choice) {
                order.push((cost.used_up, cost.sticks, choice));
            }
        }
        order.sort();
        order.into_iter().map(|(_, _, choice)| choice).collect()
    }
}

/// The best of the choices looked at, and what none of them can beat.
#[derive(Default)]
struct Best {
    found: Option<(Cost, Choice)>,
    bounds: BTreeMap<String, Worth>,
    /// The least that a choice whose packing is not proven might use up.
    loose: Option<Worth>,
}

impl Best {
    /// Whether a choice uses up more than the best, whatever is made of it.
    fn is_beyond(&self, cost: &Cost) -> bool {
        let least: Worth = cost.bounds.values().copied().sum();
        self.found.as_ref().is_some_and(|(best, _)| least > best.used_up)
    }

    fn offer(&mut self, cost: Cost, choice: Choice) {
        for (moulding, least) in &cost.bounds {
            let known = self.bounds.entry(moulding.clone()).or_insert(*least);
            *known = (*known).min(*least);
        }
        if !cost.proven {
            let least = cost.bounds.values().copied().sum();
            self.loose = Some(self.loose.map_or(least, |loose| loose.min(least)));
        }
        let is_better =
            |best: &(Cost, Choice)| (cost.used_up, cost.sticks) < (best.0.used_up, best.0.sticks);
        if self.found.as_ref().is_none_or(is_better) {
            self.found = Some((cost, choice));
        }
    }

    fn decision(mut self, complete: bool) -> Decision {
        let Some((cost, choice)) = self.found else {
            return Decision { choice: Choice::new(), best: complete, bounds: BTreeMap::new() };
        };
        if !complete {
            self.bounds.values_mut().for_each(|bound| *bound = Worth(0));
        }
        let beaten = self.loose.is_some_and(|loose| loose <= cost.used_up);
        let best = complete && cost.proven && !beaten;
        Decision { choice, best, bounds: self.bounds }
    }
}

/// Every way to pick `total` of what is wanted; `None` if there are more than
/// [`MOST_CHOICES`].
fn picks(wanted: &Choice, total: u32) -> Option<Vec<Choice>> {
    let mut picks = vec![(Choice::new(), 0_u32)];
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
            if wider.len() > MOST_CHOICES {
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
        let wanted = Choice::from([(0, 2), (1, 1)]);
        assert_eq!(picks(&wanted, 3).unwrap(), vec![wanted.clone()]);
        assert_eq!(picks(&wanted, 2).unwrap().len(), 2);
        assert_eq!(picks(&wanted, 0).unwrap(), vec![Choice::new()]);
        let many: Choice = (0..40).map(|class| (class, 1)).collect();
        assert_eq!(picks(&many, 20), None);
    }
}
