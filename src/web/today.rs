//! What the screens show of the book: read once for each step, for all of them.

use std::collections::{BTreeMap, BTreeSet};

use crate::book::{AtBench, Book, BookError, OwedRail, RackQuery};
use crate::chop::{MachineSheet, Schedule, StickSteps, of_bench};
use crate::measure::{Length, Mitre};
use crate::plan::CutStick;
use crate::shop::Shop;

/// The book as the screens show it, as long as no step comes.
pub struct Today {
    /// How many steps the book had.
    pub version: i64,
    /// The shop with every copy of every frame, and nothing on its rack.
    pub shop: Shop,
    /// The plans at the bench, each with its steps in the bench's order.
    pub plans: Vec<(AtBench, Schedule)>,
    /// What is owed of earlier days.
    pub owed: Vec<OwedRail>,
    /// The tickets whose promise the plan does not keep, each with what it said.
    pub broken: Vec<(String, String)>,
    /// How each machine was left by the last cut made on it: the stop's reading, and the
    /// mitre.
    pub standing: BTreeMap<String, (Length, Mitre)>,
    /// The lots of each moulding that there are.
    pub lots: BTreeSet<(String, String)>,
    /// The places where something lies.
    pub places: BTreeSet<String>,
}

impl Today {
    pub(super) fn of(book: &Book, version: i64) -> Result<Today, BookError> {
        let shop = book.shop()?;
        let plan = |at: AtBench| {
            let cards: Vec<CutStick> = at.sticks.iter().map(|stick| stick.card.clone()).collect();
            let schedule = of_bench(&cards, &at.planned, &shop);
            (at, schedule)
        };
        let plans: Vec<(AtBench, Schedule)> = book.bench()?.into_iter().map(plan).collect();
        let rack = book.rack(&RackQuery::default())?;
        let lots = rack.iter().map(|on| (on.stick.moulding.clone(), on.stick.lot.clone()));
        let places = rack.iter().map(|on| on.stick.place.clone());
        Ok(Today {
            version,
            owed: book.owed()?,
            broken: book.broken_promises()?,
            standing: standing(&shop, &plans, &book.last_cuts()?),
            lots: lots.collect(),
            places: places.filter(|place| !place.is_empty()).collect(),
            plans,
            shop,
        })
    }

    /// Every stick at the bench with its machine, in the order in which they are cut.
    pub fn steps(&self) -> impl Iterator<Item = (&AtBench, &MachineSheet, &StickSteps)> {
        self.plans.iter().flat_map(|(at, schedule)| {
            let machines = schedule.benches.iter();
            machines.flat_map(move |sheet| sheet.sticks.iter().map(move |steps| (at, sheet, steps)))
        })
    }
}

/// How each machine stands, by the cuts that were made last, the last first: as far back as
/// they are of sticks at the bench. What was cut before may have been on any machine; and where
/// the last cut was undone, nobody knows whether the machine was set for it.
fn standing(
    shop: &Shop,
    plans: &[(AtBench, Schedule)],
    last: &[(i64, bool)],
) -> BTreeMap<String, (Length, Mitre)> {
    let mut standing = BTreeMap::new();
    let sticks = || plans.iter().flat_map(|(at, _)| &at.sticks);
    for (rail, is_made) in last {
        let cut = sticks().find_map(|stick| {
            let at = stick.lay.rails.iter().position(|own| own.id() == *rail)?;
            Some((stick, stick.card.rails.get(at)?))
        });
        let Some((stick, placed)) = cut else { break };
        let cutter = shop.cutter_of(shop.moulding(&stick.lay.moulding));
        let stop = cutter.stop.reading(placed.long_point, placed.rabbet, placed.sight);
        let left = is_made.then_some((stop, placed.mitre));
        standing.entry(cutter.name.clone()).or_insert(left);
    }
    standing.into_iter().filter_map(|(machine, left)| Some((machine, left?))).collect()
}
