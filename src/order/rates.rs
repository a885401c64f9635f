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

use jiff::civil::Date;

use super::packer::{PURSE, PackStick, by_date, is_before, limited, rack_and_endless};
use super::pieces::{BOUNDS, IN_TIME, Pieces};
use super::wants::{WantedLayer, Wants};
use crate::planner::effort::Effort;
use crate::planner::fit::Fit;
use crate::planner::lots::Placed;
use crate::planner::packing::Packing;

/// Fewer layers that suppliers chop too are not priced: each split is packed.
const FEW_LAYERS: usize = 3;

/// What the layers of each ask are worth.
pub(super) struct Rates {
    /// Layers wanted before this are urgent.
    from: Option<Date>,
    /// For each ask, and whether they are urgent, how many layers were priced, and
    /// what one is worth.
    asks: BTreeMap<(usize, bool), (u32, i128)>,
    /// What is charged for all sticks.
    charged: i128,
    /// What one unit of worth used up counts in these.
    scale: i128,
}

/// For each list of premiums the rates.
pub(super) type Each = [Option<Rates>; BOUNDS];

impl Rates {
    /// For each lateness of the pieces, and each list of premiums, the rates of what is
    /// cut from the rack and from pieces without end that are no later; nothing where
    /// there are few ways to split the layers.
    pub fn all(wants: &Wants, pieces: &Pieces, effort: Effort) -> Vec<Each> {
        let is_priced = !wants.chops.is_empty() && wants.layers.len() >= FEW_LAYERS;
        let rates = |late: usize| {
            let rates = |bound: usize| {
                let sticks = rack_and_endless(wants, pieces, bound, &|kind| kind.is_by(late));
                Rates::new(wants, pieces, sticks, late, effort)
            };
            let is_told = |bound: usize| is_priced && (bound != IN_TIME || late > 0);
            std::array::from_fn(|bound| is_told(bound).then(|| rates(bound)).flatten())
        };
        pieces.lateness().into_iter().map(rates).collect()
    }

    /// The rates by which all layers use up the least, at the first premiums.
    pub fn cheapest<'r>(all: &'r [Each], wants: &Wants) -> Option<&'r Rates> {
        all.iter().filter_map(|rates| rates[0].as_ref()).min_by_key(|of| of.least(&wants.layers))
    }

    /// The rates of all layers that can be cut here, from these sticks; lots are left
    /// aside. `None` where no prices are known to prove anything.
    fn new(
        wants: &Wants,
        pieces: &Pieces,
        mut sticks: Vec<PackStick>,
        late: usize,
        effort: Effort,
    ) -> Option<Rates> {
        let cut: Vec<_> = wants.layers.iter().filter(|layer| !layer.chop_only).copied().collect();
        let from = wants.urgent_before(&wants.layers, late);
        let is_late = |kind: usize| pieces.kinds[kind].late > 0;
        let demands = by_date(wants, &cut, &mut sticks, &is_late, from);
        let sources: Vec<Placed> = sticks.into_iter().map(|stick| stick.placed).collect();
        let effort = limited(effort, PURSE);
        let packing = Packing::new(wants.bench(), wants.asks, sources, effort);
        let fit = packing.settle(demands, effort).fit()?;
        Rates::of(&fit, from)
    }

    fn of(fit: &Fit, from: Option<Date>) -> Option<Rates> {
        let certificate = fit.solution.certificate.as_ref()?;
        if fit.posed.relaxed.is_some() {
            return None;
        }
        let worth = fit.posed.worth(&certificate.items);
        let mut asks: BTreeMap<(usize, bool), (u32, i128)> = BTreeMap::new();
        for ((demand, &ask), worth) in fit.demands.iter().zip(&fit.of).zip(worth) {
            if demand.count > 0 {
                let each = worth / i128::from(demand.count);
                asks.insert((ask, demand.lot.is_some()), (demand.count, each));
            }
        }
        let charged = certificate.charged(&fit.posed.problem);
        let scale = i128::from(certificate.scale) * i128::from(fit.posed.scale);
        Some(Rates { from, asks, charged, scale })
    }

    /// What these layers use up at the least. What sticks cost in the solver's question
    /// beyond their worth is less than one unit of it.
    pub fn least(&self, layers: &[WantedLayer]) -> i64 {
        let mut counts: BTreeMap<(usize, bool), u32> = BTreeMap::new();
        for layer in layers {
            *counts.entry((layer.ask, is_before(layer, self.from))).or_default() += 1;
        }
        let worth = |(of, count): (&(usize, bool), &u32)| {
            let (priced, each) = self.asks.get(of).copied().unwrap_or_default();
            each * i128::from(priced.min(*count))
        };
        let all: i128 = counts.iter().map(worth).sum();
        i64::try_from((all - self.charged).div_euclid(self.scale)).unwrap_or(i64::MIN / 4)
    }

    /// What one layer is worth.
    pub fn worth(&self, layer: &WantedLayer) -> i64 {
        let of = (layer.ask, is_before(layer, self.from));
        let (_, each) = self.asks.get(&of).copied().unwrap_or_default();
        i64::try_from(each / self.scale).unwrap_or(i64::MAX)
    }
}
