//! The question of an order, as plain integers.

use super::states::SupplierState;
use super::tariff::REFUSED;

/// Thousandths in a minor unit.
pub(super) const FINE: i64 = 1000;

/// What it costs where nothing could be chosen: more than all that is refused.
pub(super) const NONE: i64 = i64::MAX / 8;

/// One way to be chosen for each moulding, and what suppliers add to the whole.
pub struct BuyingProblem<'a> {
    /// The suppliers, by their number.
    pub suppliers: Vec<Terms>,
    /// For each moulding the ways to get it.
    pub mouldings: Vec<&'a dyn Ways>,
    /// The most that may be spent on sticks beyond need, in minor units.
    pub budget: Option<i64>,
}

/// The ways to get one moulding: too many to list, so that they are asked for.
pub trait Ways: Sync {
    /// From whom something is bought by any of them, and whether anything that
    /// makes a parcel long.
    fn sellers(&self) -> Vec<(usize, bool)>;

    /// Shows every way whose price is below `below` to `met`, which says below
    /// what it wants to be shown more. Each way looked at takes a step.
    ///
    /// `None` if all were shown, else what those that were not are priced at the
    /// least.
    ///
    /// Only goods, what is spent on spare sticks, and what a way costs by itself
    /// are priced; a way that nobody knows how to make has a cost beyond all
    /// others, and a doubt as large ([`UNKNOWN`]).
    fn show(
        &self,
        at: &Pricing,
        below: i128,
        steps: &mut u64,
        met: &mut dyn FnMut(Way) -> i128,
    ) -> Option<i128>;
}

/// Prices at which ways are asked for: each supplier in a state, or in any, and a
/// price on what ties the mouldings together.
pub struct Pricing<'a> {
    pub(super) states: &'a [Option<SupplierState>],
    /// What a minor unit of goods of each supplier is priced at beyond itself.
    pub(super) beyond: Vec<i128>,
    /// What a minor unit of spare sticks is priced at.
    pub(super) spare: i128,
}

/// What a way is taken to use up that nobody knows yet how to make, in
/// thousandths: more than any that is known, less than what is refused.
pub const UNKNOWN: i64 = 100_000_000_000_000;

/// Parts in the whole of a price on the ties.
pub(super) const WHOLE: i128 = 1024;

/// What a supplier adds to the price of the goods, in minor units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Terms {
    /// A smaller order is charged as much.
    pub minimum: i64,
    /// From which price of goods which carriage holds; the first from 0, rising.
    pub freight: Vec<(i64, i64)>,
    /// What is added if anything long is in the order.
    pub long: i64,
}

/// One way to get a moulding.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Way {
    /// What it uses up beside the goods it buys, less what is left of them, in
    /// thousandths.
    pub own: i64,
    /// How much less it might use up for all that is proven, in thousandths.
    pub doubt: i64,
    /// Whether looking closer at it could change that.
    pub is_open: bool,
    /// What it means to whoever lists it.
    pub of: Vec<u32>,
    /// What it buys, at most one entry a supplier.
    pub goods: Vec<Goods>,
    /// What it spends on sticks beyond need, in minor units.
    pub spare: i64,
    /// What it may turn out to spend on them at the least.
    pub spare_least: i64,
}

/// What a way buys at one supplier.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Goods {
    /// The supplier's number.
    pub supplier: usize,
    /// The price of the goods in minor units.
    pub cost: i64,
    /// Whether anything is in it that makes a parcel long.
    pub long: bool,
}

/// The choice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chosen {
    /// For each moulding which way.
    pub chosen: Vec<Way>,
    /// What the whole costs, in thousandths.
    pub cost: i64,
    /// No choice costs less, in thousandths.
    pub bound: i64,
    /// For each moulding ways with a doubt that a choice below `cost` could be
    /// made of, if all doubts turned out well; some of them.
    pub open: Vec<Vec<Way>>,
}

impl Chosen {
    /// Whether there is no choice.
    pub fn is_none(&self) -> bool {
        self.cost >= NONE
    }
}

impl Terms {
    /// What is charged beyond the goods: made up to the minimum, carriage, and
    /// for long parcels. Nothing if nothing is ordered.
    pub fn beyond(&self, goods: i64, long: bool) -> i64 {
        if goods == 0 {
            return 0;
        }
        self.made_up(goods) + self.carriage(goods) + if long { self.long } else { 0 }
    }

    /// The last price of goods from which what is charged beyond them changes.
    pub fn last_bend(&self) -> i64 {
        self.freight.last().map_or(0, |(from, _)| *from).max(self.minimum)
    }

    /// How much less can be charged beyond goods, at the most, because more is
    /// bought; the minimum itself where less is refused.
    pub fn most_saved(&self) -> i64 {
        let refused = self.freight.iter().rfind(|(_, charge)| *charge >= REFUSED);
        let taken = self.freight.iter().filter(|(_, charge)| *charge < REFUSED);
        let dearest = taken.map(|(_, charge)| *charge).max().unwrap_or(0);
        let least = if refused.is_some() { self.freight[1].0 } else { self.minimum };
        dearest + least
    }

    /// What lacks to the minimum.
    pub fn made_up(&self, goods: i64) -> i64 {
        (self.minimum - goods).max(0)
    }

    /// What carriage costs for goods of this price.
    pub fn carriage(&self, goods: i64) -> i64 {
        let holds = self.freight.iter().take_while(|(from, _)| *from <= goods).last();
        holds.map_or(0, |(_, charge)| *charge)
    }
}

impl Way {
    /// What it costs before suppliers add their own, in thousandths.
    pub fn cost(&self) -> i64 {
        self.own + self.goods.iter().map(|goods| goods.cost * FINE).sum::<i64>()
    }

    /// The same as if nothing about it could turn out better.
    pub fn as_known(&self) -> Way {
        Way { doubt: 0, spare_least: self.spare, ..self.clone() }
    }

    /// Whether somebody knows how to make it.
    pub fn is_known(&self) -> bool {
        self.own < UNKNOWN / 2
    }
}

impl Pricing<'_> {
    /// What goods of a supplier are priced at; `None` in a state in which nothing
    /// like them can be bought there.
    pub fn goods(&self, goods: Goods) -> Option<i128> {
        let can = |state: SupplierState| state.used && (state.long || !goods.long);
        let is_allowed = self.states[goods.supplier].is_none_or(can);
        let price = WHOLE + self.beyond[goods.supplier];
        is_allowed.then(|| price * i128::from(goods.cost) * i128::from(FINE))
    }

    /// What something that costs so many thousandths by itself is priced at.
    pub fn plain(&self, thousandths: i64) -> i128 {
        WHOLE * i128::from(thousandths)
    }

    /// What a way is priced at, if all its doubt turned out well.
    pub fn of(&self, way: &Way) -> Option<i128> {
        let goods = way.goods.iter().map(|goods| self.goods(*goods)).sum::<Option<i128>>()?;
        let spare = self.spare * i128::from(way.spare_least) * i128::from(FINE);
        Some(self.plain(way.own - way.doubt) + goods + spare)
    }
}

impl Ways for Vec<Way> {
    fn sellers(&self) -> Vec<(usize, bool)> {
        self.iter().flat_map(|way| &way.goods).map(|goods| (goods.supplier, goods.long)).collect()
    }

    fn show(
        &self,
        at: &Pricing,
        mut below: i128,
        steps: &mut u64,
        met: &mut dyn FnMut(Way) -> i128,
    ) -> Option<i128> {
        *steps = steps.saturating_sub(self.len() as u64);
        for way in self {
            if at.of(way).is_some_and(|price| price < below) {
                below = met(way.clone());
            }
        }
        None
    }
}
