//! What whole units of stock cost at least that hold all the worth wanted.
//!
//! At given prices a unit of a kind trades cost for worth along a front: for
//! each length cut, the most that the pieces in it can be worth. The linear
//! program mixes points of a front, and so takes a small share of a unit that is
//! hardly cut, which costs next to nothing where its long remainder is credited.
//! Here each unit takes one point: a knapsack with choices (Kellerer, Pferschy
//! and Pisinger 2004, "Knapsack Problems", chapter 11) over undominated pairs of
//! worth and cost, within the gap between the bound of the prices and the best
//! plan. The bound is never below that of the prices, nor below that of the
//! total length where prices follow length.
//!
//! Run forwards and backwards over the units, the knapsack also tells what a
//! plan costs at least in which a unit is cut for such a length: lengths that no
//! better plan can have are ruled out (the fixing of variables by reduced costs,
//! with the knapsack's bound in place of the linear program's).
//!
//! Pairs that are close to one another are joined to a better one, so that the
//! bound never exceeds the truth.
//!
//! # Why a knapsack over whole units
//!
//! Credit is convex: a stick that is hardly cut costs next to nothing, so the linear
//! program takes half of such a stick where the plan must open a whole one, and its
//! bound is a per cent too low. this bound gives each unit one point of what it can
//! hold and cost at the program's own prices; that bound closes most of the gap in a
//! few milliseconds. It also says for which lengths a unit of a better plan can be
//! cut at all (`tree::fixing`): usually a handful, so that the patterns still in
//! question can be listed and chosen among.

use std::rc::Rc;

use super::frontier::{Frontier, Frontiers, Pair};
use super::material::ceil_div;
pub(crate) use super::multiple_choice::LengthRange;
use super::multiple_choice::{MultipleChoice, NOTHING, PairsByUnits, Slots};
use crate::solve::instance::Instance;
use crate::solve::prices::Prices;

/// Joined pairs on the fine way for one on the coarse way.
const COARSER: i64 = 8;

/// What the knapsack says.
pub(crate) struct KnapsackBound {
    /// No plan costs less than this, or than the best one known.
    pub least: i128,
    /// For each kind of one run, the lengths that units of a better plan can be
    /// cut for, rising.
    pub stretches: Vec<Option<Vec<LengthRange>>>,
    pub steps: u64,
}

/// Solves the knapsack for plans that cost less than `cutoff`, with so many joined
/// pairs to the gap; nothing where the prices tell nothing or the steps do not
/// suffice.
pub(crate) fn solve_knapsack(
    instance: &Instance,
    prices: &Prices,
    cutoff: i64,
    joins: i64,
    most_steps: u64,
) -> Option<KnapsackBound> {
    let KnapsackQuestion { kinds, charged, mut sack } =
        KnapsackQuestion::new(instance, prices, cutoff, most_steps)?;
    let nothing =
        |steps| Some(KnapsackBound { least: i128::from(cutoff), stretches: Vec::new(), steps });
    if sack.gap <= 0 {
        return nothing(0);
    }
    // The dearest to leave out first, so that most pairs die at once.
    let mut order: Vec<usize> = (0..kinds.len()).collect();
    order.sort_by_key(|&k| -kinds[k].charge);
    let units: Vec<(&Frontier, u32)> =
        order.iter().map(|&k| (&kinds[k], instance.kinds[k].supply)).collect();
    // A coarse way back says what is hopeless on a fine way forth.
    sack.join(joins / COARSER);
    let coarse = sack.backwards(&units, None)?;
    sack.join(joins);
    let before = sack.forwards(&units, &coarse)?;
    let all = before.last().map_or(&[][..], PairsByUnits::last);
    let enough = all.iter().filter(|pair| pair.worth >= sack.worth);
    let Some(cost) = enough.map(|pair| pair.cost).min() else {
        return nothing(sack.steps);
    };
    let least = ceil_div(i128::from(cost) - charged, i128::from(prices.scale));
    let after = sack.backwards(&units, Some(&before))?;
    let mut stretches = vec![None; kinds.len()];
    for (i, &k) in order.iter().enumerate() {
        let kind = &instance.kinds[k];
        if kind.is_plain() {
            let others = after[i].of(kind.supply - 1);
            stretches[k] = Some(sack.possible(before[i].of(0), others, kind, &kinds[k]));
        }
    }
    Some(KnapsackBound { least, stretches, steps: sack.steps })
}

/// What is still to be paid, kind after kind, when so much worth is cut.
pub(crate) struct CompletionTable {
    scale: i64,
    sack: MultipleChoice,
    /// The charges for all units of the first kinds.
    charged: Vec<i64>,
    /// What one unit of each kind is charged, and how many there are.
    units: Vec<(i64, u32)>,
    /// What units of each kind and all later ones can come to.
    after: Vec<PairsByUnits>,
}

impl CompletionTable {
    /// For plans that cost less than `cutoff`, with the kinds in this order.
    pub fn new(
        instance: &Instance,
        prices: &Prices,
        cutoff: i64,
        order: &[usize],
        joins: i64,
        most_steps: u64,
    ) -> Option<CompletionTable> {
        let KnapsackQuestion { kinds, mut sack, .. } =
            KnapsackQuestion::new(instance, prices, cutoff, most_steps)?;
        if sack.gap <= 0 {
            return None;
        }
        sack.join(joins);
        let units: Vec<(&Frontier, u32)> =
            order.iter().map(|&k| (&kinds[k], instance.kinds[k].supply)).collect();
        let after = sack.backwards(&units, None)?;
        let mut charged = vec![0i64];
        let units: Vec<(i64, u32)> =
            units.into_iter().map(|(front, count)| (front.charge, count)).collect();
        for &(charge, count) in &units {
            let before = charged.last().expect("there is a first");
            charged.push(before.checked_add(charge.checked_mul(i64::from(count))?)?);
        }
        Some(CompletionTable { scale: prices.scale, sack, charged, units, after })
    }

    /// The steps that it took.
    pub fn steps(&self) -> u64 {
        self.sack.steps
    }

    /// Whether a better plan may begin with so much worth at such a cost from
    /// all of the first `out` kinds and from `used` units of the next.
    ///
    /// Every unit, cut or idle, loses what it costs with its charge beyond its
    /// worth, never less than nothing, and a better plan loses less than the gap
    /// in all. So whatever units still to come are in it, they lose less than the
    /// gap among themselves, and the list of just those units has a pair that is
    /// worth no less and costs no more. A list of more units would not do: it
    /// counts the others as idle, each of which loses its whole charge, and leaves
    /// out what then loses the gap or more.
    pub fn is_hopeful(&self, out: usize, used: u32, worth: i64, cost: i64) -> bool {
        let (charge, count) = self.units.get(out).copied().unwrap_or_default();
        let charged = self.charged[out].saturating_add(charge.saturating_mul(i64::from(used)));
        let cost = self.scale.saturating_mul(cost).saturating_add(charged);
        let others = self.after.get(out).map(|layers| layers.of(count.saturating_sub(used)));
        self.sack.is_hopeful(&Pair { worth, cost }, others.unwrap_or(&NOTHING))
    }

    /// The same from some units of all later kinds too, how many is not known:
    /// says something only where these are charged nothing, so that idle ones
    /// lose nothing and a list of more units will do.
    pub fn is_hopeful_beyond(&self, out: usize, worth: i64, cost: i64) -> bool {
        let charged = self.units[out.min(self.units.len())..].iter().any(|&(charge, _)| charge > 0);
        charged || self.is_hopeful(out, 0, worth, cost)
    }
}

/// The frontiers of all kinds, and what is asked of them.
struct KnapsackQuestion {
    kinds: Vec<Frontier>,
    /// The charges for all units.
    charged: i128,
    sack: MultipleChoice,
}

impl KnapsackQuestion {
    fn new(
        instance: &Instance,
        prices: &Prices,
        cutoff: i64,
        most_steps: u64,
    ) -> Option<KnapsackQuestion> {
        if cutoff == i64::MAX || !prices.costs {
            return None;
        }
        let fronts = Frontiers::new(instance, prices);
        let kinds: Vec<Frontier> =
            instance.kinds.iter().map(|kind| fronts.of(kind, prices)).collect();
        let pieces = instance.types.iter().zip(&prices.piece);
        let worth: i128 = pieces.map(|(t, &piece)| i128::from(t.demand) * i128::from(piece)).sum();
        let units = instance.kinds.iter().zip(&kinds);
        let charged: i128 =
            units.map(|(kind, front)| i128::from(kind.supply) * i128::from(front.charge)).sum();
        let scale = i128::from(prices.scale);
        let gap = i64::try_from(i128::from(cutoff) * scale - (worth - charged)).ok()?;
        let worth = i64::try_from(worth).ok()?;
        let most = worth.checked_add(gap)?;
        let sack = MultipleChoice {
            worth,
            gap,
            most,
            bits: 0,
            steps: 0,
            most_steps,
            slots: Slots::default(),
        };
        Some(KnapsackQuestion { kinds, charged, sack })
    }
}

/// What the knapsack said last, and of what. It is often asked the same again.
pub(crate) struct Remembered {
    pub instance: Rc<Instance>,
    pub prices: Prices,
    pub cutoff: i64,
    pub knapsack_bound: Rc<KnapsackBound>,
}

impl Remembered {
    pub fn is_of(&self, instance: &Rc<Instance>, prices: &Prices, cutoff: i64) -> bool {
        Rc::ptr_eq(&self.instance, instance) && self.cutoff == cutoff && self.prices == *prices
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::problem::{Credit, Item, Problem, Run, STRAIGHT, Stock, WHOLE};

    /// Sticks of 40 for 40, where 20 left are worth 10 and less is worth nothing.
    fn instance(length: i64, demand: u32) -> Instance {
        let credit = Credit {
            keep: 20,
            full: 40,
            share: WHOLE / 2,
            knots: STRAIGHT,
            rate: 1,
            per: 1,
            scale: 1,
        };
        let stock = Stock {
            runs: vec![Run::clear(40)],
            cost: 40,
            supply: None,
            credit: Some(credit),
            group: 0,
        };
        let item = Item { parts: vec![length], demand, group: None };
        Instance::new(&Problem { stock: vec![stock], items: vec![item] })
    }

    // Computed by hand: three halves of a stick cost 60 to the linear program;
    // of whole sticks, one is cut in two for 40 and one once for 40 - 10.
    #[test]
    fn no_half_of_a_stick_is_cut() {
        let instance = instance(20, 3);
        let prices =
            Prices { scale: 1, piece: vec![20], charge: vec![0], cut: Vec::new(), costs: true };
        let knapsack_bound = solve_knapsack(&instance, &prices, 100, 16, 1_000).expect("few steps");
        assert_eq!(knapsack_bound.least, 70);
        assert_eq!(solve_knapsack(&instance, &prices, 70, 16, 1_000).expect("few steps").least, 70);
    }

    // Computed by hand: ten pieces of 4 fill one stick for 40; any other way to
    // take them costs more, so that below 41 no other length is possible.
    #[test]
    fn lengths_that_cost_too_much_are_ruled_out() {
        let instance = instance(4, 10);
        let prices =
            Prices { scale: 1, piece: vec![4], charge: vec![0], cut: Vec::new(), costs: true };
        let knapsack_bound = solve_knapsack(&instance, &prices, 41, 16, 1_000).expect("few steps");
        let whole = LengthRange { first: 10, last: 10, worth: 40 };
        assert_eq!(
            (knapsack_bound.least, &knapsack_bound.stretches[..]),
            (40, &[Some(vec![whole])][..])
        );
        let all = solve_knapsack(&instance, &prices, 1_000, 16, 1_000).expect("few steps");
        let lengths = all.stretches[0].iter().flatten().map(|s| (s.first, s.last));
        assert!(lengths.eq((1..=10).map(|length| (length, length))));
    }

    // Computed by hand: at 5 a piece a full stick gains 10 and an idle one loses
    // them. Two full ones cost 80; after the first, the second is all there is.
    #[test]
    fn a_full_stick_is_hopeful_beside_one_that_is_left() {
        let mut instance = instance(4, 20);
        instance.kinds[0].supply = 2;
        let prices =
            Prices { scale: 1, piece: vec![5], charge: vec![10], cut: Vec::new(), costs: true };
        let ahead =
            CompletionTable::new(&instance, &prices, 81, &[0], 64, 1_000).expect("few steps");
        assert!(ahead.is_hopeful(0, 1, 50, 40));
        assert!(!ahead.is_hopeful(0, 1, 25, 30));
        assert!(ahead.is_hopeful(1, 0, 100, 80));
        assert!(!ahead.is_hopeful(1, 0, 50, 40));
        // How many of the two are in use is not known.
        assert!(ahead.is_hopeful_beyond(0, 50, 40));
    }

    #[test]
    fn there_is_an_end_to_the_steps() {
        let prices =
            Prices { scale: 1, piece: vec![4], charge: vec![0], cut: Vec::new(), costs: true };
        assert!(solve_knapsack(&instance(4, 10), &prices, 1_000, 16, 3).is_none());
    }
}
