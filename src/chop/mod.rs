//! The bench's morning: which stick next, where the stop stands, what comes off.
//!
//! A plan says which rails come from which stick and where they lie; this says
//! in which order the sticks come to each machine, so that its stop is moved
//! seldom.

mod caution;
mod steps;

pub use caution::{Blade, Caution};
pub use steps::{Cut, Skip, StickSteps};

use std::collections::BTreeMap;

use crate::plan::{CutStick, PlacedRail, Plan};
use crate::shop::{Cutter, Shop, Stop};
use crate::stops::{Passage, few_settings};

/// Everything that is cut today, machine by machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Schedule {
    /// The machines that have work, by name.
    pub benches: Vec<MachineSheet>,
}

/// One machine's sticks in the order in which they are cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MachineSheet {
    /// The machine's name.
    pub cutter: String,
    /// What it cuts with.
    pub blade: Blade,
    /// What its scale reads.
    pub stop: Stop,
    /// The sticks in cutting order.
    pub sticks: Vec<StickSteps>,
    /// How often its stop is set, its mitre or both, the first time included.
    pub settings: u32,
    /// What to mind at this machine this morning.
    pub cautions: Vec<Caution>,
}

impl MachineSheet {
    /// How many rails are cut at this machine.
    pub fn rails(&self) -> usize {
        self.sticks.iter().map(|stick| stick.cuts.len()).sum()
    }
}

impl Schedule {
    /// How often machines are set, all of them together.
    pub fn settings(&self) -> u32 {
        self.benches.iter().map(|bench| bench.settings).sum()
    }

    /// The sticks of every machine, in cutting order.
    pub fn sticks(&self) -> impl Iterator<Item = &StickSteps> {
        self.benches.iter().flat_map(|bench| &bench.sticks)
    }
}

/// Lays out today's work: machines by name, each one's sticks by moulding in
/// an order that moves its stop seldom. Sticks are numbered through from 1.
///
/// # Panics
/// If the plan was not made from this shop and a name does not resolve.
pub fn schedule(plan: &Plan, shop: &Shop) -> Schedule {
    of_sticks(&plan.today, shop)
}

/// The same for sticks by themselves.
///
/// # Panics
/// As [`schedule`].
pub fn of_sticks(sticks: &[CutStick], shop: &Shop) -> Schedule {
    by_machine(sticks, shop, &|cutter, own| in_order(cutter, own))
}

/// The same in the order in which they were planned, when some were cut otherwise than now,
/// and some are cut no more. Those that were not planned come last.
///
/// # Panics
/// As [`schedule`].
pub fn of_bench(sticks: &[CutStick], planned: &[CutStick], shop: &Shop) -> Schedule {
    let before = of_sticks(planned, shop);
    let names: Vec<&str> = before.sticks().map(|steps| steps.stick.as_str()).collect();
    let place = |stick: &CutStick| names.iter().position(|name| *name == stick.stick);
    by_machine(sticks, shop, &|cutter, own| {
        let (mut known, new): (Vec<_>, Vec<_>) =
            own.iter().copied().partition(|stick| place(stick).is_some());
        known.sort_by_key(|stick| place(stick));
        [known, in_order(cutter, &new)].concat()
    })
}

/// How a machine's sticks are ordered.
type Ordering<'o> = &'o dyn for<'a, 'b> Fn(&'a Cutter, &'b [&'a CutStick]) -> Vec<&'a CutStick>;

fn by_machine(sticks: &[CutStick], shop: &Shop, ordered: Ordering) -> Schedule {
    let mut by_cutter: BTreeMap<&str, Vec<&CutStick>> = BTreeMap::new();
    for stick in sticks {
        let cutter = &shop.moulding(&stick.moulding).cutter;
        by_cutter.entry(cutter).or_default().push(stick);
    }
    let mut number = 0;
    let benches = by_cutter.into_iter().map(|(name, sticks)| {
        let cutter = &shop.cutters[name];
        bench(shop, cutter, &ordered(cutter, &sticks), &mut number)
    });
    Schedule { benches: benches.collect() }
}

/// In an order that sets the machine seldom.
fn in_order<'a>(cutter: &Cutter, sticks: &[&'a CutStick]) -> Vec<&'a CutStick> {
    few_settings(&passages(cutter, sticks)).into_iter().map(|index| sticks[index]).collect()
}

fn bench(shop: &Shop, cutter: &Cutter, sticks: &[&CutStick], number: &mut u32) -> MachineSheet {
    let mut standing = steps::MachineState::morning();
    let mut steps = Vec::with_capacity(sticks.len());
    for stick in sticks {
        *number += 1;
        steps.push(steps::of_stick(shop, cutter, stick, *number, &mut standing));
    }
    let set = |cut: &&Cut| cut.move_stop || cut.set_mitre;
    let settings = steps.iter().flat_map(|stick| &stick.cuts).filter(set).count();
    MachineSheet {
        cutter: cutter.name.clone(),
        blade: Blade::of(cutter),
        stop: cutter.stop,
        settings: u32::try_from(settings).expect("fewer than rails in a morning"),
        cautions: caution::for_bench(cutter, &steps),
        sticks: steps,
    }
}

/// What each stick does to the machine: how it must be set first and is left last.
fn passages<'a>(cutter: &Cutter, sticks: &[&'a CutStick]) -> Vec<Passage<'a>> {
    let setting = |rail: &PlacedRail| rail.setting(cutter.stop);
    sticks
        .iter()
        .map(|stick| Passage {
            moulding: &stick.moulding,
            first: stick.rails.first().map(setting),
            last: stick.rails.last().map(setting),
        })
        .collect()
}
