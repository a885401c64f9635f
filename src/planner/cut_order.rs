//! In which order the rails of each stick are cut, so that stops are moved seldom and
//! what is short is cut while there is stick to hold.

use std::collections::BTreeMap;

use crate::measure::Length;
use crate::plan::{CutStick, PlacedRail};
use crate::shop::{Cutter, Shop, Stop};
use crate::stops::{Block, Free, StopPosition, choose};

/// A stick that is laid out, and for each of its runs how many rails each block
/// has: blocks of a run may change places.
pub(crate) struct Laid {
    pub stick: CutStick,
    pub blocks: Vec<Vec<usize>>,
}

/// The same sticks with their cuts in an order that moves the stops seldom; of such
/// orders one that has few sticks end with a rail that must be clamped. What they use
/// up and what is left of them stays as it is.
pub(crate) fn few_settings(shop: &Shop, mut laid: Vec<Laid>) -> Vec<CutStick> {
    let mut by_cutter: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (place, laid) in laid.iter().enumerate() {
        let cutter = &shop.moulding(&laid.stick.moulding).cutter;
        by_cutter.entry(cutter).or_default().push(place);
    }
    for (cutter, places) in by_cutter {
        let cutter = &shop.cutters[cutter];
        let free = |place: &usize| free(cutter, &laid[*place]);
        let orders = choose(&places.iter().map(free).collect::<Vec<_>>());
        for (place, orders) in places.into_iter().zip(orders) {
            laid[place].put_in_order(&orders);
        }
    }
    laid.into_iter().map(|laid| laid.stick).collect()
}

fn free<'a>(cutter: &Cutter, laid: &'a Laid) -> Free<'a> {
    let stop = cutter.stop;
    let run = |blocks: Vec<&[PlacedRail]>| blocks.into_iter().map(|b| block(stop, b)).collect();
    let runs = laid.runs().into_iter().map(run).collect();
    let short = laid.stick.rails.iter().filter(|rail| cutter.needs_clamp(rail.long_point));
    let short = short.map(|rail| rail.setting(stop)).collect();
    Free { moulding: &laid.stick.moulding, runs, short }
}

fn block(stop: Stop, rails: &[PlacedRail]) -> Block {
    let settings: Vec<StopPosition> = rails.iter().map(|rail| rail.setting(stop)).collect();
    Block::of(&settings)
}

impl Laid {
    /// The blocks of each run.
    fn runs(&self) -> Vec<Vec<&[PlacedRail]>> {
        let mut rest = self.stick.rails.as_slice();
        let mut take = |count: usize| {
            let (block, then) = rest.split_at(count);
            rest = then;
            block
        };
        self.blocks.iter().map(|run| run.iter().map(|&count| take(count)).collect()).collect()
    }

    /// Puts the blocks of each run into these orders.
    fn put_in_order(&mut self, orders: &[Vec<usize>]) {
        let runs = self.runs();
        let runs = runs.iter().zip(orders).map(|(run, order)| in_order(run, order));
        self.stick.rails = runs.collect::<Vec<_>>().concat();
    }
}

/// The blocks of one run in another order, in the same room: between two blocks
/// there is always the same, and every other one is turned where one is.
fn in_order(run: &[&[PlacedRail]], order: &[usize]) -> Vec<PlacedRail> {
    let begin = |block: &[PlacedRail]| block[0].from;
    let end = |block: &[PlacedRail]| block[block.len() - 1].to;
    let between = match run {
        [first, second, ..] => begin(second) - end(first),
        _ => Length::ZERO,
    };
    let mut from = begin(run[0]);
    let mut rails = Vec::new();
    for (place, &of) in order.iter().enumerate() {
        let by = from - begin(run[of]);
        let turned = run[place][0].turned;
        let moved = |rail: &PlacedRail| {
            let (from, to) = (rail.from + by, rail.to + by);
            PlacedRail { from, to, turned, ..rail.clone() }
        };
        rails.extend(run[of].iter().map(moved));
        from = end(run[of]) + by + between;
    }
    rails
}
