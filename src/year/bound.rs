//! What no practice can beat: each moulding's whole year packed at once, by somebody
//! who knew every customer beforehand.
//!
//! The rails of a year, from whichever stick, are packed into the rack as it was at
//! first and new sticks so that as few whole sticks as possible are begun; the solver's
//! bound is what counts, not its packing. A practice that cuts a stick over many days
//! loses no less between its rails and at its ends than one that cuts it at once, so it
//! begins no less.
//!
//! # Why money follows from length
//!
//! Let an offcut count the share `s` of its list price by length, `R`. A whole stick of
//! length `L` that is begun loses at least `(1 - s) R L`, and `s R` for each length that
//! is cut of it: its first trim, its rails, and all but the last of their joints. An
//! offcut loses the latter. So a year comes to no less than `s R` times what is cut and
//! `(1 - s) R` times what is begun. Offcuts that count nothing are given as a present,
//! and of every figure that was rounded down one unit.

use rayon::prelude::*;

use super::customers::{Customers, bench};
use super::yardstick::rate;
use crate::cutting::{Ask, Bench, Demand, Paid, Source, pose};
use crate::measure::{Length, Rate, Worth};
use crate::rails::frame_rails;
use crate::shop::{Flaw, Match, Shop, Stick};
use crate::solve::{Limits, Outcome, least, solve};

/// No practice buys less, or comes to less.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Clairvoyant {
    /// What is bought at least.
    pub bought: Length,
    /// What the year comes to at least.
    pub money: Worth,
    /// For how many mouldings the packing is proven best, of how many.
    pub proven: (u32, u32),
}

impl std::ops::Add for Clairvoyant {
    type Output = Clairvoyant;
    fn add(self, other: Clairvoyant) -> Clairvoyant {
        Clairvoyant {
            bought: self.bought + other.bought,
            money: self.money + other.money,
            proven: (self.proven.0 + other.proven.0, self.proven.1 + other.proven.1),
        }
    }
}

/// The year of these customers, known beforehand.
pub(super) fn clairvoyant(shop: &Shop, customers: &Customers, work: u64) -> Clairvoyant {
    let ids: Vec<&String> = shop.mouldings.keys().collect();
    let of = |id: &&String| of_moulding(shop, id, customers, work);
    let each: Vec<Clairvoyant> = ids.par_iter().map(of).collect();
    each.into_iter().fold(Clairvoyant::default(), |all, one| all + one)
}

fn of_moulding(shop: &Shop, id: &str, customers: &Customers, work: u64) -> Clairvoyant {
    let bench = bench(shop, id);
    let demands = demands(shop, id, customers);
    if demands.is_empty() {
        return Clairvoyant::default();
    }
    let rack: Vec<&Stick> = shop.rack.iter().filter(|stick| stick.moulding == id).collect();
    let usual = bench.moulding.stick;
    let whole = |stick: &&&Stick| stick.length == usual;
    let mut sources: Vec<Source> = rack.iter().map(|stick| source(stick, usual)).collect();
    sources.push(begun(usual, Vec::new(), (true, true)));
    let posed = pose(&bench, &demands, &sources);
    let problem = posed.relaxed.as_ref().unwrap_or(&posed.problem);
    let limits = Limits { work: work.max(SEARCH), deadline: None, stop: None, watch: None };
    let (bound, is_proven) = match solve(problem, &limits) {
        Outcome::Solved(solution) => (solution.bound, solution.is_proven()),
        Outcome::Interrupted { bound, .. } => (bound, false),
        Outcome::Impossible(_) => (least(problem), false),
    };
    let begun = usual * (bound.div_euclid(posed.scale) + PRICE - 1).div_euclid(PRICE);
    let had: Length = rack.iter().filter(whole).map(|stick| stick.length).sum();
    Clairvoyant {
        bought: (begun - had).max(Length::ZERO),
        money: money(&bench, &demands, &rack, begun),
        proven: (u32::from(is_proven && posed.relaxed.is_none()), 1),
    }
}

/// A stick of the rack: free, but for whole ones. What is left of any counts nothing.
fn source(stick: &Stick, usual: Length) -> Source {
    let is_whole = stick.length == usual;
    begun(stick.length, stick.flaws.clone(), (is_whole, false))
}

/// What it costs to begin a whole stick: enough that the solver's prices of rails, which
/// are whole numbers, say what share of a stick each takes.
const PRICE: i64 = 100_000;

/// The steps that a moulding's year may take at the least: it has many more rails than a
/// morning, and is packed once.
const SEARCH: u64 = 10_000_000;

/// A stick that may be cut from.
fn begun(length: Length, flaws: Vec<Flaw>, (is_whole, is_new): (bool, bool)) -> Source {
    let back = Rate { amount: Worth(0), per: Length::from_mm(1) };
    let paid = Paid { price: Worth(if is_whole { PRICE } else { 0 }), back, endless: is_new };
    Source { length, flaws, lot: 0, is_new, paid: Some(paid) }
}

/// All that is cut of a moulding, from whichever stick.
fn demands(shop: &Shop, id: &str, customers: &Customers) -> Vec<Demand> {
    let mut demands = Vec::new();
    for customer in &customers.all {
        let frame = &customer.frame;
        for (layer, rails) in frame.layers.iter().zip(frame_rails(shop, frame)) {
            if layer.moulding == id {
                let (mitre, rails) = (rails.mitre, rails.rails);
                let ask = Ask { mitre, match_: Match::Any, rails, like: None };
                demands.push(Demand { ask, lot: None, together: false, count: 1 });
            }
        }
    }
    demands
}

/// What a year comes to at least in which so much is begun of whole sticks.
fn money(bench: &Bench, demands: &[Demand], rack: &[&Stick], begun: Length) -> Worth {
    if bench.moulding.price.is_none() {
        return Worth(0);
    }
    let trim = bench.cutter.first_trim;
    let joints = demands.iter().map(|demand| bench.joint_loss(demand.ask.mitre));
    let with_joints = joints.max().is_some_and(|joint| joint <= trim);
    let mut cut = Length::ZERO;
    let mut slack = i128::try_from(rack.len()).unwrap_or(0);
    for Demand { ask, .. } in demands {
        let joint = if with_joints { bench.joint_loss(ask.mitre) } else { Length::ZERO };
        let lost = joint - bench.overlap(ask.mitre);
        cut += ask.rails.iter().map(|rail| rail.long_point + lost).sum();
        slack += i128::try_from(ask.rails.len()).unwrap_or(0);
    }
    let joint = demands.iter().map(|demand| bench.joint_loss(demand.ask.mitre)).max();
    let end = if with_joints { trim - joint.unwrap_or_default() } else { trim };
    cut += end * (begun.nm() / bench.moulding.stick.nm());
    let keep = bench.settings.keep;
    cut -= rack.iter().filter(|stick| stick.length < keep).map(|stick| stick.length).sum();
    let share = i128::from(bench.settings.buying.spare);
    let lengths = share * i128::from(cut.nm()) + (1_000_000 - share) * i128::from(begun.nm());
    let Rate { amount, per } = rate(bench.moulding);
    let least = (lengths * i128::from(amount.0)).div_euclid(1_000_000 * i128::from(per.nm()));
    Worth(i64::try_from((least - slack).max(0)).unwrap_or(i64::MAX))
}
