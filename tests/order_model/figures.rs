//! What a purchase and a cutting together leave: worth, whole sticks for the rack,
//! and what is beyond need.

use std::cell::RefCell;
use std::collections::BTreeMap;

use longpoint::measure::Length;

use super::cuts::nth;
use super::purchases::{Bought, Purchase, by_count};
use super::rules::FINE;
use super::ways::{Cutting, Cuttings, Lacking};

/// For a supplier and so many of each length the least price of goods by how many come.
type ByCount = BTreeMap<(usize, Vec<(Length, u32)>, u32), BTreeMap<u32, i64>>;

/// What one moulding's sticks count, worked out once.
pub struct Figures {
    /// How much more the rack's whole sticks count before the order.
    before: i64,
    /// For each stick of the rack that may be whole its place, its length and how
    /// much more it counts.
    rack: Vec<(usize, Length, i64)>,
    racked: usize,
    /// For each kind of new piece what it counts, its length, and how much more it
    /// counts as a whole one if it is long enough.
    new: Vec<(i64, Length, Option<i64>)>,
    keep: usize,
    must: bool,
    is_limited: bool,
    /// How many sticks may be bought beyond need: up to so many whole ones on the rack,
    /// and never more than so many.
    cover: u64,
    most: u64,
    /// The supplier's place of each kind of new piece.
    suppliers: Vec<usize>,
    /// What is needed of a supplier, as they have it.
    known: RefCell<ByCount>,
}

/// For each kind of new piece, what each of those bought cost and whether it is
/// half of a stick, the dearest first.
pub type Uncut = Vec<Vec<(i64, bool)>>;

impl Figures {
    pub fn new(lacking: &Lacking, cuttings: &Cuttings) -> Figures {
        let (rules, id) = (lacking.rules, lacking.id);
        let from = rules.whole_from(id);
        let more = |length| rules.whole(id, length) - rules.worth(id, length);
        let sound = || lacking.rack.iter().enumerate().filter(|(_, stick)| stick.can_be_whole);
        let long = sound().filter(|(_, stick)| stick.length >= from);
        let new = cuttings.new.iter().map(|(_, length)| {
            (rules.worth(id, *length), *length, (*length >= from).then(|| more(*length)))
        });
        let keep = usize::try_from(rules.moulding(id).keep_on_rack).unwrap();
        Figures {
            before: rules.bonus(id, sound().map(|(_, stick)| stick.length).collect()),
            rack: long.map(|(n, stick)| (n, stick.length, more(stick.length))).collect(),
            racked: lacking.rack.len(),
            new: new.collect(),
            keep,
            must: lacking.always && !rules.offers(id, false).is_empty(),
            is_limited: rules.shop.settings.buying.spare_most.is_some(),
            cover: {
                let monthly = u64::from(rules.moulding(id).monthly.unwrap_or(0));
                monthly * u64::from(rules.shop.settings.buying.cover_months) / 1_000_000
            },
            most: rules.shop.settings.buying.beyond_most.into(),
            suppliers: cuttings.new.iter().map(|(supplier, _)| *supplier).collect(),
            known: RefCell::default(),
        }
    }

    /// For each choice of what is chopped, the cutting of what is bought and of the
    /// rack that counts most afterwards, of those the one from the fewest sticks: what
    /// it uses up, the sticks, and what is beyond need.
    ///
    /// Nothing for a choice of which that leaves more beyond need than may be.
    pub fn best<'a>(
        &self,
        lacking: &Lacking,
        cuttings: &Cuttings,
        held: &[&'a Cutting],
        purchase: &Purchase,
    ) -> BTreeMap<&'a [usize], (i64, u32, i64)> {
        let uncut = self.uncut(cuttings, purchase);
        let mut best: BTreeMap<&[usize], (i64, u32, bool, i64)> = BTreeMap::new();
        for cutting in held {
            let Some((own, beyond)) = self.own(&uncut, cutting) else { continue };
            let opened = (0..16).map(|place| u32::from(nth(cutting.state.opened, place))).sum();
            let known = best.get(cutting.chopped.as_slice());
            let is_no_better = |known: &(i64, u32, bool, i64)| {
                let is_settled = !known.2 && !self.is_limited;
                (known.0, known.1) < (own, opened)
                    || is_settled && (known.0, known.1) == (own, opened)
            };
            if known.is_some_and(is_no_better) {
                continue;
            }
            let is_too_much = !self.may_be(lacking, cutting, &uncut, purchase);
            let found = (own, opened, is_too_much, beyond);
            let known = best.entry(&cutting.chopped).or_insert(found);
            *known = found.min(*known);
        }
        let best = best.into_iter().filter(|(_, (_, _, is_too_much, _))| !is_too_much);
        best.map(|(chopped, (own, opened, _, beyond))| (chopped, (own, opened, beyond))).collect()
    }

    /// Whether no more is bought beyond what is cut of it than the shop allows, or of each
    /// supplier so many that fewer would cost no less (as many as are cut of theirs, and what
    /// the rack lacks of those that are kept, each of these of one of them), and of all no
    /// more than may be above the fewest in which they have these.
    fn may_be(
        &self,
        lacking: &Lacking,
        cutting: &Cutting,
        bought: &Uncut,
        purchase: &Purchase,
    ) -> bool {
        let arrived = |class: usize| u32::try_from(bought[class].len()).unwrap();
        let cut = |class: usize| u32::from(nth(cutting.state.opened, self.racked + class));
        // Too few are bought: that is no way at all.
        let beyond =
            (0..bought.len()).map(|class| arrived(class).saturating_sub(cut(class)) as usize);
        let beyond: usize = beyond.sum();
        let left = self.rack.iter().filter(|(place, ..)| nth(cutting.state.opened, *place) == 0);
        let whole = left.count();
        let is_kept = beyond + whole <= self.keep;
        let is_covered = (beyond + whole) as u64 <= self.cover && beyond as u64 <= self.most;
        if beyond == 0 || !lacking.rules.is_limited || is_kept || is_covered {
            return true;
        }
        let lacks = u32::try_from(self.keep.saturating_sub(whole)).unwrap();
        let each = (0..purchase.goods.len()).map(|supplier| {
            let own = (0..bought.len()).filter(|class| self.suppliers[*class] == supplier);
            let own: Vec<usize> = own.filter(|class| arrived(*class) > 0).collect();
            let counts: Vec<u32> = own.iter().map(|class| arrived(*class)).collect();
            let cut: u32 = own.iter().map(|class| cut(*class)).sum();
            // By how much more is needed of theirs.
            let above = |more: u32| {
                let all: u32 = counts.iter().sum();
                let total = (cut + more).min(all);
                let shares = shares(&counts).into_iter();
                let shares = shares.filter(|share| share.iter().sum::<u32>() == total);
                let above = shares.filter_map(|share| {
                    let lengths = own.iter().map(|class| self.new[*class].1);
                    let needed: Vec<(Length, u32)> = lengths.zip(share).collect();
                    let mut known = self.known.borrow_mut();
                    let key = (supplier, needed, all);
                    let has = known.entry(key).or_insert_with_key(|(_, needed, _)| {
                        by_count(lacking, supplier, needed, all)
                    });
                    let is_least =
                        has.range(..all).all(|(_, cost)| purchase.goods[supplier] <= *cost);
                    is_least.then(|| all - has.keys().next().unwrap_or(&all))
                });
                above.min()
            };
            (0..=lacks).map(above).collect::<Vec<Option<u32>>>()
        });
        // Every share of what lacks: how much is above the fewest for it at the least.
        let mut least: Vec<Option<u32>> = vec![Some(0); lacks as usize + 1];
        for above in each {
            let with = |total: usize| {
                let all = (0..=total).filter_map(|own| Some(least[total - own]? + above[own]?));
                all.min()
            };
            least = (0..least.len()).map(with).collect();
        }
        least[lacks as usize].is_some_and(|above| above as usize <= self.most as usize)
    }

    fn uncut(&self, cuttings: &Cuttings, purchase: &Purchase) -> Uncut {
        let costs = |(supplier, length): &(usize, Length)| {
            let of = |b: &&Bought| (b.supplier, b.kind.piece) == (*supplier, *length);
            let mut costs: Vec<(i64, bool)> = Vec::new();
            for bought in purchase.bought.iter().filter(of) {
                let each = (bought.each, bought.kind.halved);
                costs.extend((0..bought.count * bought.kind.pieces).map(|_| each));
            }
            costs.sort_unstable_by(|a, b| b.cmp(a));
            costs
        };
        cuttings.new.iter().map(costs).collect()
    }

    /// What a cutting uses up less what is left of what is bought and of the rack,
    /// and what is beyond need; `None` if too little is bought, or too few whole
    /// sticks are left for the rack.
    fn own(&self, bought: &Uncut, cutting: &Cutting) -> Option<(i64, i64)> {
        let opened = |place: usize| usize::from(nth(cutting.state.opened, place));
        let mut own = self.before - cutting.value;
        for (class, costs) in bought.iter().enumerate() {
            let left = costs.len().checked_sub(opened(self.racked + class))?;
            own -= self.new[class].0 * i64::try_from(left).unwrap();
        }
        if self.keep == 0 && !self.is_limited {
            return Some((own, 0));
        }
        // Every stick that could be a whole one: its length, its cost, what more it
        // counts. The longest come first, and of these what was paid most for.
        let mut whole: Vec<(Length, i64, i64)> = Vec::new();
        let mut beyond = Vec::new();
        for (place, length, more) in &self.rack {
            if opened(*place) == 0 {
                whole.push((*length, 0, *more));
            }
        }
        for (class, costs) in bought.iter().enumerate() {
            let (_, length, more) = self.new[class];
            for (cost, is_half) in &costs[opened(self.racked + class)..] {
                match more.filter(|_| !is_half) {
                    Some(more) => whole.push((length, *cost, more)),
                    None => beyond.push(*cost),
                }
            }
        }
        whole.sort_unstable_by(|a, b| b.cmp(a));
        if self.must && whole.len() < self.keep {
            return None;
        }
        for (place, (_, cost, more)) in whole.into_iter().enumerate() {
            if place < self.keep {
                own -= more;
            } else {
                beyond.push(cost);
            }
        }
        Some((own, if self.is_limited { in_minor_units(beyond) } else { 0 }))
    }
}

/// Every count of each kind up to these.
fn shares(counts: &[u32]) -> Vec<Vec<u32>> {
    let mut all = vec![Vec::new()];
    for count in counts {
        let with = |before: &Vec<u32>| {
            (0..=*count).map(|own| [&before[..], &[own]].concat()).collect::<Vec<_>>()
        };
        all = all.iter().flat_map(with).collect();
    }
    all
}

/// What pieces cost together, in minor units: those that cost the same are one line
/// of the order, which is rounded as one.
pub fn in_minor_units(mut costs: Vec<i64>) -> i64 {
    costs.sort_unstable();
    let lines = costs.chunk_by(|a, b| a == b);
    lines.map(|line| (line.iter().sum::<i64>() + FINE / 2) / FINE).sum()
}
