//! On which day each frame can have its moulding, and for which of its layers
//! that takes what is at hand.
//!
//! A frame's *day* is the last on which moulding may come for its due date, or the
//! first after it on which all of its moulding can be there; of a frame that is put first it is the first day of all.
//! A layer that nobody brings by that day must come from what is at hand.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::feasible::Feasible;
use super::offered::{chops, has_offers, supplies};
use super::work::{ClassLayer, Work};
use crate::cutting::Ask;
use crate::measure::Length;
use crate::shop::{Match, Shop};

/// When the layers of frames can be had from suppliers.
pub(crate) struct Elsewhere<'a> {
    shop: &'a Shop,
    date: Date,
    feasible: &'a Feasible<'a>,
    /// For each moulding and ask the first day on which somebody brings it.
    known: RefCell<BTreeMap<(String, usize, bool), Option<Date>>>,
}

/// A frame's day, and the layers that must come from what is at hand.
pub(crate) struct FrameDay {
    /// None where no day is too late, or none is known.
    pub by: Option<Date>,
    pub need: Vec<ClassLayer>,
}

impl<'a> Elsewhere<'a> {
    pub fn new(shop: &'a Shop, date: Date, feasible: &'a Feasible<'a>) -> Elsewhere<'a> {
        Elsewhere { shop, date, feasible, known: RefCell::default() }
    }

    /// The day of a task that is not cut today. `has_room` tells whether what is
    /// at hand by a day gives some layers.
    pub fn day(
        &self,
        work: &Work,
        task: usize,
        mut has_room: impl FnMut(&[ClassLayer], Option<Date>) -> bool,
    ) -> FrameDay {
        let of = &work.tasks[task];
        let layers = &work.classes[of.class].layers;
        let first: Vec<Option<Date>> = layers.iter().map(|layer| self.first(work, layer)).collect();
        let chopped = self.shop.frames[of.frame].coming(of.copy);
        let begun = chopped.into_iter().filter_map(|(.., arrives)| arrives).max();
        let is_by = |day: &Option<Date>, by: Option<Date>| match (day, by) {
            (None, _) => false,
            (Some(_), None) => true,
            (Some(day), Some(by)) => *day <= by,
        };
        let need = |by: Option<Date>| -> Vec<ClassLayer> {
            let late = layers.iter().zip(&first).filter(|(_, day)| !is_by(day, by));
            late.map(|(layer, _)| layer.clone()).collect()
        };
        let days: Vec<Option<Date>> = match (of.rush, of.due) {
            (false, None) => vec![None],
            (rush, due) => {
                let needed = due.filter(|_| !rush).map(|due| self.shop.needed_by(due));
                let least = needed.unwrap_or(self.date);
                let least = begun.map_or(least, |begun| begun.max(least));
                let coming = self.shop.coming.iter().filter_map(|coming| coming.arrives);
                let all = first.iter().flatten().copied().chain(coming).chain([least]);
                let all: BTreeSet<Date> = all.filter(|day| *day >= least).collect();
                all.into_iter().map(Some).collect()
            }
        };
        for by in days {
            let need = need(by);
            let is_chopped = need.iter().any(|layer| layer.chop_only);
            if !is_chopped && (need.is_empty() || has_room(&need, by)) {
                return FrameDay { by, need };
            }
        }
        FrameDay { by: None, need: Vec::new() }
    }

    /// The first day on which somebody brings what a layer takes; none if nobody
    /// does. A shop without offers buys from wherever, on a day that nobody knows, so
    /// that nothing is kept.
    pub fn first(&self, work: &Work, layer: &ClassLayer) -> Option<Date> {
        let key = (layer.moulding.clone(), layer.ask, layer.chop_only);
        if let Some(known) = self.known.borrow().get(&key) {
            return *known;
        }
        let ask = &work.asks[&layer.moulding][layer.ask];
        let first = match has_offers(self.shop) {
            true => self.brought(&layer.moulding, ask, layer.chop_only),
            false => Some(Date::MAX),
        };
        self.known.borrow_mut().insert(key, first);
        first
    }

    fn brought(&self, moulding: &str, ask: &Ask, chop_only: bool) -> Option<Date> {
        let chops = chops(self.shop, moulding, self.date);
        let chopped = chops.iter().filter(|chops| chops.can_cut(ask)).map(|chops| chops.arrives);
        let chopped = chopped.min();
        if chop_only {
            return chopped;
        }
        let supplies = supplies(self.shop, moulding, self.date);
        let days: BTreeSet<Date> = supplies.iter().map(|supply| supply.arrives).collect();
        let by_lot = matches!(ask.match_, Match::Lot | Match::Halves);
        let cut = days.into_iter().filter(|day| chopped.is_none_or(|chopped| *day < chopped)).find(
            |day| {
                // One delivery is one lot: each supplier by themselves.
                let mut by: BTreeMap<&str, Vec<Length>> = BTreeMap::new();
                for supply in supplies.iter().filter(|supply| supply.arrives <= *day) {
                    let supplier = &self.shop.offers[supply.offer].supplier;
                    let lengths = by.entry(if by_lot { supplier } else { "" }).or_default();
                    lengths.extend(supply.pieces.iter().map(|piece| piece.length));
                }
                by.values().any(|lengths| self.feasible.fits_lengths(moulding, ask, lengths))
            },
        );
        cut.or(chopped)
    }
}
