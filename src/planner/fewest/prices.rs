//! Prices that show early that cuts lead to no packing of the least cost.

use super::cuts::StockCut;
use crate::solve::{Certificate, Problem};

/// Steps of bettering the prices.
const ROUNDS: u32 = 40;

/// What one unit of cost counts.
const SCALE: i128 = 1 << 20;

/// A price for each item and a charge for a unit of each stock, such that no cut
/// is worth more than it costs and its charge. What it is worth less is its
/// slack. All cuts of a packing together, with the charges of the units that it
/// leaves alone, have just the slack of the packing's cost.
#[derive(Clone)]
pub(super) struct SlackPrices {
    items: Vec<i128>,
    charges: Vec<i128>,
    /// The slack of a packing of the least cost; not below zero.
    pub slack: i128,
}

impl SlackPrices {
    /// The best of these: of the certificate, of lengths, and what these can be
    /// bettered to.
    pub fn best(
        problem: &Problem,
        cuts: &[Vec<StockCut>],
        cost: i64,
        certificate: Option<&Certificate>,
    ) -> SlackPrices {
        let own = certificate.map(|certificate| {
            let price = |item| certificate.items.get(&item).copied().unwrap_or(0);
            let scaled = |item| i128::from(price(item)) * SCALE / i128::from(certificate.scale);
            SlackPrices::new(problem, cuts, cost, (0..problem.items.len()).map(scaled).collect())
        });
        let length: i128 = problem
            .items
            .iter()
            .map(|item| i128::from(item.length()) * i128::from(item.demand))
            .sum();
        let by_length = |item: usize| {
            let length_of = i128::from(problem.items[item].length());
            length_of * i128::from(cost) * SCALE / length.max(1)
        };
        let rate = SlackPrices::new(
            problem,
            cuts,
            cost,
            (0..problem.items.len()).map(by_length).collect(),
        );
        let best = own.into_iter().chain([rate]).min_by_key(|prices| prices.slack);
        best.expect("there are those by length").better(problem, cuts, cost)
    }

    fn new(problem: &Problem, cuts: &[Vec<StockCut>], cost: i64, items: Vec<i128>) -> SlackPrices {
        let mut prices = SlackPrices { items, charges: vec![0; cuts.len()], slack: 0 };
        prices.charges = cuts
            .iter()
            .map(|cuts| cuts.iter().map(|cut| -prices.uncharged(cut)).max().unwrap_or(0).max(0))
            .collect();
        let worth = |(item, price): (usize, &i128)| price * i128::from(problem.items[item].demand);
        let worth: i128 = prices.items.iter().enumerate().map(worth).sum();
        let charged = |(stock, charge): (usize, &i128)| charge * i128::from(units(problem, stock));
        let charged: i128 = prices.charges.iter().enumerate().map(charged).sum();
        prices.slack = i128::from(cost) * SCALE + charged - worth;
        prices
    }

    /// The same after some steps along the subgradient: what the best cut of each
    /// stock takes beyond the demand becomes cheaper, what it leaves dearer (M.
    /// Held, P. Wolfe and H. P. Crowder, Mathematical Programming 6, 1974).
    fn better(self, problem: &Problem, cuts: &[Vec<StockCut>], cost: i64) -> SlackPrices {
        let (mut best, mut at) = (self.clone(), self);
        let mut share = 1;
        for _ in 0..ROUNDS {
            if best.slack < SCALE {
                break;
            }
            let mut over: Vec<i128> =
                problem.items.iter().map(|item| -i128::from(item.demand)).collect();
            for (stock, cuts) in cuts.iter().enumerate().filter(|(stock, _)| at.charges[*stock] > 0)
            {
                let most = cuts.iter().min_by_key(|cut| at.uncharged(cut));
                for (over, count) in over.iter_mut().zip(most.iter().flat_map(|cut| &cut.counts)) {
                    *over += i128::from(*count) * i128::from(units(problem, stock));
                }
            }
            let norm: i128 = over.iter().map(|over| over * over).sum();
            if norm == 0 {
                break;
            }
            let step = at.slack / (share * norm);
            let items: Vec<i128> =
                at.items.iter().zip(&over).map(|(price, over)| price - step * over).collect();
            at = SlackPrices::new(problem, cuts, cost, items);
            if at.slack < best.slack {
                best = at.clone();
            } else {
                share += 1;
            }
        }
        best
    }

    /// The slack of a cut, without the charge of its stock.
    fn uncharged(&self, cut: &StockCut) -> i128 {
        let worth: i128 = cut
            .counts
            .iter()
            .zip(&self.items)
            .map(|(count, price)| i128::from(*count) * price)
            .sum();
        i128::from(cut.cost) * SCALE - worth
    }

    /// The slack of a cut.
    pub fn slack_of(&self, cut: &StockCut) -> i128 {
        self.uncharged(cut) + self.charge(cut.pattern.stock)
    }

    /// The slack of leaving a unit of a stock alone.
    pub fn charge(&self, stock: usize) -> i128 {
        self.charges[stock]
    }
}

/// How many units of a stock can be cut.
pub(super) fn units(problem: &Problem, stock: usize) -> u32 {
    let all = problem.items.iter().map(|item| item.demand).sum();
    problem.stock[stock].supply.map_or(all, |supply| supply.min(all))
}
