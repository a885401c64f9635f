//! What layers that are cut here use up at the least, each by itself, by the prices
//! of one linear program.
//!
//! Packing every layer that could be cut leaves prices that prove its bound: no
//! pattern is worth more than it costs and than is charged for its stick. The same
//! patterns, and no others, cut fewer of these layers, so the prices prove a bound
//! for every split at once: what its layers are worth less what is charged for all
//! sticks (Gilmore and Gomory 1961, "A linear programming approach to the
//! cutting-stock problem", Operations Research 9).

use std::collections::BTreeMap;

use super::packer::{Stick, demands, limited, rack_and_endless};
use super::pieces::{BOUNDS, Pieces, separate};
use super::wants::Wants;
use crate::plan::effort::Effort;
use crate::plan::fit::Fit;
use crate::plan::lots::Placed;
use crate::plan::packing::Counts;
use crate::plan::packing::Packing;

/// Fewer layers that suppliers chop too are not priced: each split is packed.
const FEW_LAYERS: usize = 3;

/// What the layers of each ask are worth.
pub(super) struct Rates {
    /// For each ask how many layers were priced, and what one is worth.
    asks: BTreeMap<usize, (u32, i128)>,
    /// What is charged for all sticks.
    charged: i128,
    /// What one unit of worth used up counts in these.
    scale: i128,
}

impl Rates {
    /// For each list of premiums the rates of what is cut from the rack and from pieces
    /// without end; nothing where there are few ways to split the layers.
    pub fn all(wants: &Wants, pieces: &Pieces, effort: Effort) -> [Option<Rates>; BOUNDS] {
        let is_priced = !wants.chops.is_empty() && wants.layers.len() >= FEW_LAYERS;
        let rates =
            |bound| Rates::new(wants, rack_and_endless(wants, pieces, bound, &|_| true), effort);
        std::array::from_fn(|bound| is_priced.then(|| rates(bound)).flatten())
    }

    /// The rates of all layers that can be cut here, from these sticks; dates and
    /// lots are left aside. `None` where no prices are known to prove anything.
    fn new(wants: &Wants, sticks: Vec<Stick>, effort: Effort) -> Option<Rates> {
        let cut: Vec<_> = wants.layers.iter().filter(|layer| !layer.chop_only).copied().collect();
        let sources: Vec<Placed> = sticks.into_iter().map(|stick| stick.placed).collect();
        let effort = limited(effort);
        let packing = Packing::new(wants.bench(), wants.asks, sources, effort);
        let asked = match separate(wants) {
            true => packing.freely(&Wants::counts(&cut)),
            false => demands(wants, &cut, &|_| false),
        };
        let fit = packing.settle(asked, effort).fit()?;
        Rates::of(&fit)
    }

    fn of(fit: &Fit) -> Option<Rates> {
        let certificate = fit.solution.certificate.as_ref()?;
        if fit.posed.relaxed.is_some() {
            return None;
        }
        let worth = fit.posed.worth(&certificate.items);
        let mut asks: BTreeMap<usize, (u32, i128)> = BTreeMap::new();
        for ((demand, &ask), worth) in fit.demands.iter().zip(&fit.of).zip(worth) {
            if demand.count > 0 {
                asks.insert(ask, (demand.count, worth / i128::from(demand.count)));
            }
        }
        let charged = certificate.charged(&fit.posed.problem);
        let scale = i128::from(certificate.scale) * i128::from(fit.posed.scale);
        Some(Rates { asks, charged, scale })
    }

    /// What so many layers of each ask use up at the least. What sticks cost in the
    /// solver's question beyond their worth is less than one unit of it.
    pub fn least(&self, counts: &Counts) -> i64 {
        let worth = |(ask, count): (&usize, &u32)| {
            let (priced, each) = self.asks.get(ask).copied().unwrap_or_default();
            each * i128::from(priced.min(*count))
        };
        let all: i128 = counts.iter().map(worth).sum();
        i64::try_from((all - self.charged).div_euclid(self.scale)).unwrap_or(i64::MIN / 4)
    }

    /// What one layer of an ask is worth.
    pub fn worth(&self, ask: usize) -> i64 {
        let (_, each) = self.asks.get(&ask).copied().unwrap_or_default();
        i64::try_from(each / self.scale).unwrap_or(i64::MAX)
    }
}
