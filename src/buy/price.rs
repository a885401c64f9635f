//! Prices on what ties the mouldings together, moved so that they prove most.

use super::pool::Pool;
use super::question::{BuyingProblem, FINE, Pricing, WHOLE};
use super::states::SupplierState;

/// Steps of prices from one beginning.
const MOST_STEPS: usize = 400;

/// No price on a tie is higher: a minor unit of goods is then worth a million.
const HIGHEST: i128 = WHOLE << 20;

/// Prices in 1024ths.
#[derive(Clone)]
pub(super) struct ScaledPrices {
    /// A minor unit more of goods: for each supplier, worth this much less ...
    least: Vec<i128>,
    /// ... or costing this much more, ...
    most: Vec<i128>,
    /// ... or saving this much of what is made up to the minimum, at most all.
    made_up: Vec<i128>,
    /// A minor unit more of spare sticks costs this much.
    spare: i128,
}

/// One of the prices.
#[derive(Clone, Copy)]
enum Tie {
    Least(usize),
    Most(usize),
    MadeUp(usize),
    Spare,
}

impl ScaledPrices {
    pub fn none(suppliers: usize) -> ScaledPrices {
        let none = vec![0; suppliers];
        ScaledPrices { least: none.clone(), most: none.clone(), made_up: none, spare: 0 }
    }

    /// What the states cost by themselves at these prices.
    pub fn fixed(&self, question: &BuyingProblem, given: &[Option<SupplierState>]) -> i128 {
        let mut sum = 0;
        for (supplier, state) in given.iter().enumerate() {
            let Some(state) = state.filter(|state| state.used) else { continue };
            let minimum = question.suppliers[supplier].minimum;
            let parts = WHOLE * i128::from(state.charge)
                + self.least[supplier] * i128::from(state.from)
                - state.to.map_or(0, |to| self.most[supplier] * i128::from(to))
                + self.made_up[supplier] * i128::from(minimum);
            sum += parts * i128::from(FINE);
        }
        let budget = question.budget.unwrap_or(0);
        sum - self.spare * i128::from(budget) * i128::from(FINE)
    }

    /// Moves one price; whether it may be moved so.
    fn shift(&mut self, tie: Tie, by: i128) -> bool {
        let (price, most) = match tie {
            Tie::Least(supplier) => (&mut self.least[supplier], HIGHEST),
            Tie::Most(supplier) => (&mut self.most[supplier], HIGHEST),
            Tie::MadeUp(supplier) => (&mut self.made_up[supplier], WHOLE),
            Tie::Spare => (&mut self.spare, HIGHEST),
        };
        *price += by;
        (0..=most).contains(price)
    }
}

/// The ties that there are in these states.
fn ties(question: &BuyingProblem, given: &[Option<SupplierState>]) -> Vec<Tie> {
    let mut ties = Vec::new();
    for (supplier, state) in given.iter().enumerate() {
        let Some(state) = state.filter(|state| state.used) else { continue };
        if state.from > 1 {
            ties.push(Tie::Least(supplier));
        }
        if state.to.is_some() {
            ties.push(Tie::Most(supplier));
        }
        if question.suppliers[supplier].minimum > 0 {
            ties.push(Tie::MadeUp(supplier));
        }
    }
    ties.extend(question.budget.map(|_| Tie::Spare));
    ties
}

/// How ways are priced.
pub(super) fn pricing<'a>(
    given: &'a [Option<SupplierState>],
    prices: &ScaledPrices,
    question: &BuyingProblem,
) -> Pricing<'a> {
    let beyond = |(supplier, state): (usize, &Option<SupplierState>)| {
        let Some(state) = state else { return 0 };
        let most = if state.to.is_some() { prices.most[supplier] } else { 0 };
        most - prices.least[supplier] - prices.made_up[supplier]
    };
    let beyond = given.iter().enumerate().map(beyond).collect();
    // Without a budget there is no tie to price.
    let spare = if question.budget.is_some() { prices.spare } else { 0 };
    Pricing { states: given, beyond, spare }
}

/// What the states and prices prove of the ways that are known of, in parts of
/// thousandths; `None` if some moulding has none left.
fn value(
    question: &BuyingProblem,
    pool: &Pool,
    given: &[Option<SupplierState>],
    prices: &ScaledPrices,
) -> Option<i128> {
    let pricing = pricing(given, prices, question);
    let mut sum = prices.fixed(question, given);
    for ways in &pool.ways {
        sum += ways.iter().filter_map(|way| pricing.of(way)).min()?;
    }
    Some(sum)
}

/// Moves each price by growing and shrinking steps while that lifts the bound;
/// the bound, if each moulding has a way.
pub(super) fn ascend(
    question: &BuyingProblem,
    pool: &Pool,
    given: &[Option<SupplierState>],
    prices: &mut ScaledPrices,
    finest: i128,
    enough: i64,
    steps: &mut u64,
) -> Option<i64> {
    let mut best = value(question, pool, given, prices).map(up)?;
    let ties = ties(question, given);
    let size = pool.ways.iter().map(Vec::len).sum::<usize>() as u64;
    let (mut step, mut count) = (4 * WHOLE, 0);
    while step >= finest && best < enough && count < MOST_STEPS && *steps > 0 {
        let mut is_lifted = false;
        for &tie in &ties {
            for by in [step, -step] {
                let mut other = prices.clone();
                if !other.shift(tie, by) {
                    continue;
                }
                count += 1;
                *steps = steps.saturating_sub(size);
                let found = value(question, pool, given, &other).map(up);
                if let Some(found) = found.filter(|found| *found > best) {
                    (*prices, best, is_lifted) = (other, found, true);
                }
            }
        }
        step = if is_lifted { (step * 2).min(HIGHEST / 2) } else { step / 2 };
    }
    Some(best)
}

/// Up to a whole thousandth, since what a choice costs is one.
pub(super) fn up(sum: i128) -> i64 {
    let whole = sum.div_euclid(WHOLE) + i128::from(sum.rem_euclid(WHOLE) != 0);
    i64::try_from(whole).unwrap_or(i64::MAX)
}
