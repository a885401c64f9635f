//! What waits for one moulding: which layers, by when, and what could make them.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::worth::LengthWorth;
use crate::cutting::{Ask, Bench};
use crate::measure::Length;
use crate::planner::feasible::bench;
use crate::planner::lots::Placed;
use crate::planner::offered::{Chops, Supply, chops, supplies};
use crate::planner::packing::Counts;
use crate::planner::work::Work;
use crate::shop::{Match, Moulding, Shop};

/// One moulding's part of an order.
#[derive(Clone)]
pub(super) struct Wants<'a> {
    pub shop: &'a Shop,
    pub moulding: &'a Moulding,
    pub asks: &'a [Ask],
    /// The layers that wait, earliest wanted first.
    pub layers: Vec<WantedLayer>,
    /// What the rack has left.
    pub rack: Vec<Placed>,
    /// What can be bought as sticks.
    pub supplies: Vec<Supply>,
    /// What can be had chopped.
    pub chops: Vec<Chops>,
    /// What it counts.
    pub counted: LengthWorth,
}

/// A layer of a waiting frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct WantedLayer {
    pub task: usize,
    pub ask: usize,
    /// When the moulding must have arrived at the latest.
    pub by: Option<Date>,
    /// Whether only a supplier can make it.
    pub chop_only: bool,
}

impl<'a> Wants<'a> {
    pub fn new(
        shop: &'a Shop,
        work: &'a Work,
        moulding: &'a str,
        layers: Vec<WantedLayer>,
        rack: Vec<Placed>,
        date: Date,
    ) -> Wants<'a> {
        let supplies = supplies(shop, moulding, date);
        let chops = chops(shop, moulding, date);
        let (asks, moulding) = (&work.asks[moulding][..], shop.moulding(moulding));
        let counted = LengthWorth::new(shop, &bench(shop, moulding), &supplies);
        Wants { shop, moulding, asks, layers, rack, supplies, chops, counted }
    }

    /// The tasks whose layers these are.
    pub fn tasks(&self) -> BTreeSet<usize> {
        self.layers.iter().map(|layer| layer.task).collect()
    }

    /// What holds for every stick of it.
    pub fn bench(&self) -> Bench<'a> {
        bench(self.shop, self.moulding)
    }

    /// The widest joint of these layers.
    pub fn widest_joint(&self, layers: &[WantedLayer]) -> Length {
        let joints = layers.iter().map(|layer| self.bench().joint_loss(self.asks[layer.ask].mitre));
        joints.max().unwrap_or_default()
    }

    /// What these layers ask, counted.
    pub fn counts(layers: &[WantedLayer]) -> Counts {
        let mut counts = Counts::new();
        for layer in layers {
            *counts.entry(layer.ask).or_default() += 1;
        }
        counts
    }

    /// Before which date layers must be wanted so that pieces which are late for so
    /// many dates are too late for them.
    pub fn urgent_before(&self, layers: &[WantedLayer], late: usize) -> Option<Date> {
        let dates: BTreeSet<Date> = layers.iter().filter_map(|layer| layer.by).collect();
        let last = dates.iter().nth(late.checked_sub(1)?)?;
        last.tomorrow().ok()
    }

    /// Whether some of these layers must come from one lot.
    pub fn is_by_lot(&self, layers: &[WantedLayer]) -> bool {
        layers.iter().any(|layer| self.is_one_lot(layer))
    }

    /// Whether a layer must come from one lot.
    pub fn is_one_lot(&self, layer: &WantedLayer) -> bool {
        matches!(self.asks[layer.ask].match_, Match::Lot | Match::Halves)
    }

    /// The rails of a layer laid end to end.
    pub fn perimeter(&self, layer: &WantedLayer) -> Length {
        self.asks[layer.ask].rails.iter().map(|rail| rail.long_point).sum()
    }

    /// The layers by what they ask, each list earliest wanted first.
    pub fn by_ask(layers: &[WantedLayer]) -> BTreeMap<usize, Vec<WantedLayer>> {
        let mut by_ask: BTreeMap<usize, Vec<WantedLayer>> = BTreeMap::new();
        for layer in layers {
            by_ask.entry(layer.ask).or_default().push(*layer);
        }
        by_ask
    }
}
