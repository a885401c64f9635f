//! What should have come before the day of a plan, and which frames wait for it.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::Plan;
use crate::shop::Shop;

/// What should have come from one supplier on one day, and has not.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Overdue {
    /// How many sticks of each moulding.
    pub sticks: BTreeMap<String, u32>,
    /// How many layers of each moulding that they chop.
    pub chops: BTreeMap<String, u32>,
    /// The frame copies that wait for some of it, in the order of the pile.
    pub frames: Vec<(String, u32)>,
}

/// Frame copies.
type CopyNames<'a> = BTreeSet<(&'a str, u32)>;

impl Plan {
    /// What is overdue, by the day on which it should have come and by supplier.
    pub fn overdue(&self, shop: &Shop) -> BTreeMap<(Date, String), Overdue> {
        let mut all: BTreeMap<(Date, String), Overdue> = BTreeMap::new();
        let mut waits: BTreeMap<(Date, String), CopyNames> = BTreeMap::new();
        let is_late = |day: &Date| *day < self.date;
        for coming in shop.coming.iter().filter(|coming| !coming.at_bench) {
            let Some(day) = coming.arrives.filter(is_late) else { continue };
            let of = (day, coming.supplier.clone());
            let cut = self.order.coming.iter().filter(|stick| stick.stick == coming.stick.id);
            let rails = cut.flat_map(|stick| &stick.rails);
            let waits = waits.entry(of.clone()).or_default();
            waits.extend(rails.map(|rail| (rail.frame.as_str(), rail.copy)));
            let sticks = &mut all.entry(of).or_default().sticks;
            *sticks.entry(coming.stick.moulding.clone()).or_default() += 1;
        }
        for frame in &shop.frames {
            for copy in frame.pending() {
                for (layer, supplier, arrives) in frame.coming(copy) {
                    let Some(day) = arrives.filter(is_late) else { continue };
                    let of = (day, supplier.to_owned());
                    waits.entry(of.clone()).or_default().insert((frame.id.as_str(), copy));
                    let chops = &mut all.entry(of).or_default().chops;
                    *chops.entry(frame.layers[layer - 1].moulding.clone()).or_default() += 1;
                }
            }
        }
        for (of, overdue) in &mut all {
            let held_up = self.waiting.iter().map(|waiting| (waiting.frame.as_str(), waiting.copy));
            let held_up = held_up.filter(|copy| waits[of].contains(copy));
            overdue.frames = held_up.map(|(frame, copy)| (frame.to_owned(), copy)).collect();
        }
        all
    }
}
