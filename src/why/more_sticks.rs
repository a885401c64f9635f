//! What more sticks would change: the shortest that would help.

use std::collections::BTreeSet;

use super::changes::{Asking, Change, Tried, WantedStick, What};
use super::shortage::{bench, together};
use super::trials::Effect;
use crate::measure::{Length, Unit};
use crate::plan::Wishes;
use crate::rails::frame_rails;
use crate::shop::Match;

impl Asking<'_, '_, '_> {
    /// The shortest sticks that would help: one of each moulding that is
    /// lacking, of a lot of its own, and shorter ones of a lot that is at hand.
    pub fn sticks(&mut self, layers: &[usize]) -> Tried<Vec<Change>> {
        let mut wanted: Vec<WantedStick> = Vec::new();
        for layer in layers {
            let (moulding, length) = (&self.frame.layers[layer - 1].moulding, self.longest(*layer));
            match wanted.iter_mut().find(|stick| stick.moulding == *moulding) {
                Some(stick) => stick.length = stick.length.max(length),
                None => wanted.push(WantedStick {
                    moulding: moulding.clone(),
                    lot: String::new(),
                    length,
                }),
            }
        }
        let mut changes = Vec::new();
        let mut whole = if wanted.is_empty() { None } else { self.help(&wanted)? };
        if whole.is_none() && wanted.len() == 1 {
            // Another frame may take the first.
            wanted.extend_from_within(..);
            whole = self.help(&wanted)?;
        }
        let mut best = wanted.clone();
        if let Some(mut effect) = whole {
            for place in 0..wanted.len() {
                effect = self.shorten(&mut best, place, effect)?;
            }
            changes.push(Change { what: What::Sticks(best.clone()), effect });
        }
        let alike = wanted.windows(2).any(|pair| pair[0].moulding == pair[1].moulding);
        for place in (0..wanted.len()).filter(|_| !alike) {
            for lot in self.lots(layers, &wanted[place].moulding) {
                let mut other = if changes.is_empty() { wanted.clone() } else { best.clone() };
                other[place].lot = lot;
                let Some(effect) = self.help(&other)? else { continue };
                let effect = self.shorten(&mut other, place, effect)?;
                if changes.is_empty() || other[place].length < best[place].length {
                    changes.push(Change { what: What::Sticks(other), effect });
                }
            }
        }
        Ok(changes)
    }

    fn help(&mut self, sticks: &[WantedStick]) -> Tried<Option<Effect>> {
        let shop = self.with_sticks(sticks);
        self.trials.better(&shop, &Wishes::default())
    }

    /// Makes one of the sticks as short as still helps, by halving.
    fn shorten(
        &mut self,
        sticks: &mut [WantedStick],
        place: usize,
        mut effect: Effect,
    ) -> Tried<Effect> {
        let step = self.step();
        let (mut too_short, mut helps) = (0, sticks[place].length.nm() / step.nm());
        while too_short + 1 < helps {
            let middle = too_short + (helps - too_short) / 2;
            sticks[place].length = step * middle;
            match self.help(sticks)? {
                Some(better) => (helps, effect) = (middle, better),
                None => too_short = middle,
            }
        }
        sticks[place].length = step * helps;
        Ok(effect)
    }

    /// The steps in which sticks are tried: a quarter of an inch, or 5 mm.
    pub fn step(&self) -> Length {
        match self.shop.settings.unit {
            Unit::Inch => Length::from_64ths(16),
            Unit::Millimetre => Length::from_mm(5),
        }
    }

    /// A stick long enough for a layer, whatever else is cut.
    fn longest(&self, layer: usize) -> Length {
        let moulding = self.shop.moulding(&self.frame.layers[layer - 1].moulding);
        let bench = bench(self.shop, &moulding.id);
        let rails = &frame_rails(self.shop, self.frame)[layer - 1].rails;
        let ends = bench.cutter.first_trim + bench.cutter.last_trim.max(bench.cutter.grip);
        let points = together(&bench, self.frame, rails);
        let nested = bench.overlap(self.frame.mitre) * 16;
        moulding.stick.max(points + nested + ends).round_up(self.step())
    }

    /// The lots at hand of a moulding, if it matters which lot its rails are of.
    fn lots(&self, layers: &[usize], moulding: &str) -> BTreeSet<String> {
        let by_lot = layers.iter().map(|layer| &self.frame.layers[layer - 1]).any(|layer| {
            layer.moulding == moulding && (Match::Lot..=Match::Wrap).contains(&layer.match_)
        });
        let rack = self.shop.rack.iter().filter(|stick| by_lot && stick.moulding == moulding);
        let lots = rack.map(|stick| stick.lot.clone());
        lots.filter(|lot| !lot.is_empty()).collect()
    }
}
